"""Pages for: technician."""
