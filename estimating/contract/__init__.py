"""What was signed: sum, lines, unit prices, right to cancel."""
