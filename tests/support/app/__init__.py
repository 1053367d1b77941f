"""Hands and helpers for tests of window and batch."""
