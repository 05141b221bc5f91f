"""The drawings, from the design alone."""
