"""Drawings as they were drawn."""
