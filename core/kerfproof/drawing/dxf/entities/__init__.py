"""One file per DXF entity kind."""
