"""How the arc is started, one file per kind of torch and touch-off."""
