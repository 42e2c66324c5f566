"""Pages for: anyone."""
