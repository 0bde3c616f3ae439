"""Reading, copying, naming, ordering, retiring."""
