"""The best rounds of one or several days: whole rounds, breaks mended, exact single changes."""
