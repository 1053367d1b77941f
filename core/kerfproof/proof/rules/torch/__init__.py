"""Torch on and off, the waits around them, stops."""
