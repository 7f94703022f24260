"""Long work off the window's thread: reading a card, decoding pictures, copying."""
