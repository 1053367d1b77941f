"""Contours, features and parts as values."""
