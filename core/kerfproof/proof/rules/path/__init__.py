"""The path of the cuts and their order."""
