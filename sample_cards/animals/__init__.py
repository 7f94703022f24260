"""Animals, built from their proportions."""
