"""Model and form fields."""
