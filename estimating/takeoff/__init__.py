"""Work on rooms -> quantities -> purchases."""
