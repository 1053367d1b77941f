"""The shop as values and files: machines, cut charts, materials, what a control can do."""
