"""The hash chain and the states of a document."""
