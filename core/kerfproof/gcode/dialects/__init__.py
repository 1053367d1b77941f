"""One file per dialect of the control language."""
