"""Built-in machines, charts, drawings and guide."""
