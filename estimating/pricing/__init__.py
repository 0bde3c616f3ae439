"""Cost -> price -> tax; hidden conditions; comparisons."""
