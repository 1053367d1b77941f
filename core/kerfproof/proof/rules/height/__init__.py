"""The heights of cuts and of travel."""
