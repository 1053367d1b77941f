"""What judges the product from outside: own readers, a simulated table, published values."""
