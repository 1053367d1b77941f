"""A cut plan written as a program."""
