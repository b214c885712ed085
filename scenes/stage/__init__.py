"""Three dimensions, pyvista only."""
