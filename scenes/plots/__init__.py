"""Two dimensions, matplotlib only."""
