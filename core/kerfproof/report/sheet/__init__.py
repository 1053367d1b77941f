"""The setup sheet as PDF."""
