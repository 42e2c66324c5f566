"""Pages for: dispatcher."""
