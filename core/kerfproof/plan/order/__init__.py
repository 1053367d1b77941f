"""In which order the cuts are made and how the torch travels between them."""
