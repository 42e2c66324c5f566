"""Water in pit, pump and line: what the parts should do, and what a test says they did."""
