"""The proof: what the program text would do to the plate."""
