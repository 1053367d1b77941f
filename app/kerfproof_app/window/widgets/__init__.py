"""Fields, questions, colors and small things that all panels use."""
