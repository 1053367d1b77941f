"""A job planned: from its drawings to a program and its proof."""
