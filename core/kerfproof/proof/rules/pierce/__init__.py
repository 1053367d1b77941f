"""Where and how the plate is pierced."""
