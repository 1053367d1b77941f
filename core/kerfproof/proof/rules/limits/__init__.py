"""What the machine has: room, plate, air, duty, tip."""
