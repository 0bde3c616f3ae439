"""Letters to who pays late."""
