"""The box that a thing takes up."""

Box = tuple[float, float, float, float]
"""xmin, ymin, xmax, ymax, mm."""
