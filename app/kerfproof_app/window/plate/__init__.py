"""The plate view: what is painted there, and what the hand does on it."""
