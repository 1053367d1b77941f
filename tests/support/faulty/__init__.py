"""Faults to plant in correct programs, by what they change at the table."""
