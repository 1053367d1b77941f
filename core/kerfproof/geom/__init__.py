"""Plane geometry of lines and arcs, in mm."""
