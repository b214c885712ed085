"""How one part bends, order by order."""
