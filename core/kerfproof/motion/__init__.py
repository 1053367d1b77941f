"""Program text: written, read back, timed."""
