"""What is typed on site: hours, receipts, miles. Forms turn text into values and say what would be right."""
