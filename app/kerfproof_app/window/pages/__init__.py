"""The pages beside the plate: what is drawn, what the torch does, cuts, pierces, going on."""
