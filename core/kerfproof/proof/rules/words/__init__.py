"""Words of the program as a control reads them, and what it leaves behind."""
