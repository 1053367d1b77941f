"""What a program does to torch and plate, worked out once for all that judge it."""
