"""How fast the ground takes the water: percolation tests, drain times and published limits."""
