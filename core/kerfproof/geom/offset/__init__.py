"""Offsets of closed paths by half a kerf: the curve, its pieces and their check."""
