"""Forms of billing, one file a subject.

A form turns what was typed into domain values and refuses in plain words what can't be; it saves nothing but
its own row. It imports the models and asks the rules of `payment_plan` and of the pure packages.
"""
