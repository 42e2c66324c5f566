"""Reading what was found, what is wrong, and what is due."""
