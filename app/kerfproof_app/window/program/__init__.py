"""The program's text and its time: margin, height trace, scrubber."""
