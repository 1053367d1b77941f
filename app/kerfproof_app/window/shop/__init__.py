"""Machines and charts in the window: editors, first set-up, guide."""
