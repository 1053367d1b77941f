"""What the comparison and the simulated tables tell, a page each; rules on single programs have their own folder."""
