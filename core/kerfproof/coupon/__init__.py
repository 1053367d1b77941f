"""Test pieces: programs that measure the machine, and what the measurements say."""
