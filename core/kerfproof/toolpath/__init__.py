"""From parts to kerf paths, leads and order."""
