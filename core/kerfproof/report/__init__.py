"""What came out, as data and pictures."""
