"""How the plate view is painted: plate and grid, the scene, what lies over it, the legend."""
