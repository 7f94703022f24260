"""Qt models: thin adapters over the state of sorting."""
