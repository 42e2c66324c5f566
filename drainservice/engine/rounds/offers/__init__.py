"""Good times for one visit: every place of every round tried, priced, and said with its reason."""
