"""From parts to a cut plan: kerf paths, leads, order."""
