"""What the plate view paints, made ready: an outcome or a drawing as Qt paths, and what lies where on it."""
