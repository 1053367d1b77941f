"""The programs around the library: command line and window."""
