"""One file per kind of test piece."""
