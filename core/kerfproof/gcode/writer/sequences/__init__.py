"""One file per way of starting a cut."""
