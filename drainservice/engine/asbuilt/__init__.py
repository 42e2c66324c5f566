"""As-built rules: what is in the ground, what follows from it, and what nobody knows yet."""
