"""Short pages of all that is told of drawings, plans, readings and programs and is no rule: one file for each field."""
