"""What can be billed; credit notes."""
