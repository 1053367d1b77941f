"""Copies of parts on plates."""
