"""What the hand does on the plate view: select, slide a lead, measure, pick an order."""
