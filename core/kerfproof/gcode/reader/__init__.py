"""A program read as a control would: what the proof trusts."""
