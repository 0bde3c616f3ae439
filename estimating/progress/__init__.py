"""How far a job is, and its next step."""
