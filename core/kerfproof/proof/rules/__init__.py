"""One file per rule, by what it is about."""
