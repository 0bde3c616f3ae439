"""What an invoice and a statement show."""
