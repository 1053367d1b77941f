"""What is wrong, where, and what can be done about it."""
