"""A day that went wrong: who takes over what, whom that disturbs, and why a plan is as it is."""
