"""Drawn lines and arcs joined to closed contours."""
