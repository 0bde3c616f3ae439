"""A draft read, checked, and its pages filled."""
