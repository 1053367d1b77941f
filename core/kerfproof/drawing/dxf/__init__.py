"""Reading DXF, the only door to ezdxf."""
