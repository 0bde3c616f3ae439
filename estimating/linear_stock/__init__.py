"""What is sold by the stick: pieces, cut list, proof."""
