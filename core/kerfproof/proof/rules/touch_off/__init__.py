"""The search for the plate and the Z datum set by it."""
