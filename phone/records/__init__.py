"""What a phone kept on site and sends later: each kind is read by the form of its page, and saved by it."""
