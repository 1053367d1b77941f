"""The simulated tables, and a program played on them."""
