"""One file per lead shape."""
