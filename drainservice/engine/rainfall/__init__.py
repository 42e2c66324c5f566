"""Rain: what it brings into a pit, how often it needs the pump, and which warnings matter."""
