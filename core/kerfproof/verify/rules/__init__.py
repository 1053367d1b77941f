"""One file per rule."""
