"""Feeds, and how well the control keeps path and feed."""
