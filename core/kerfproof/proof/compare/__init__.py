"""What is left of the plate against the drawing."""
