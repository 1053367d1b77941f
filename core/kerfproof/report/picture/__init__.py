"""A program and its parts as a display list."""
