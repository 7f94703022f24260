"""The library of decisions, in SQLite."""
