"""Drawings for tests, as bytes."""
