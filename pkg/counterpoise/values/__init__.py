"""Numbers as people write them, and numbers one is not quite sure of."""
