"""Programs that exist already: what they say of themselves, and where that contradicts what they do."""
