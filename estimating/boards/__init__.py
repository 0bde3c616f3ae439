"""Which board or tile lies on which surface of a room; its drawings and words."""
