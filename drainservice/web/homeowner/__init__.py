"""Pages for: homeowner."""
