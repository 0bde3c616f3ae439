"""What a phone keeps of open jobs, to be read without signal: rooms, work, days, phone numbers."""
