"""Read a card, and only read it: list, headers, pixels, verified copy."""
