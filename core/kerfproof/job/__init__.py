"""A job as a value and as a file: what is wanted, read, placed and looked at before anything is planned."""
