"""Tags of the forms that save: a builtin library, loaded everywhere."""
