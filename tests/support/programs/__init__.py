"""Programs for tests: by others, edited, respelled, gone on with."""
