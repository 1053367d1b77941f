"""A program proven from its text: what the rules see, what is compared, on which tables it is played."""
