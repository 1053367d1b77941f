"""The shop's files: machines, charts, defaults, what was measured, the tip's life. No Qt."""
