"""What the shop has: machines and cut charts."""
