"""A small shop for tests: machines, processes, plans and outcomes."""
