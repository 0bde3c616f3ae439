"""The page on how clients reach the firm."""
