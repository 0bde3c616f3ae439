"""What a firm's papers carry at their top beside its name: a logo and a color of its own.

`svg_logo` rebuilds a drawing from what is known to be harmless, `contrast` says whether a color can be read
on white paper. Pure: it imports nothing of ours.
"""
