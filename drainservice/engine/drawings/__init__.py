"""Drawings of what is in the ground and when we go: frozen facts in, SVG text out, no clock."""
