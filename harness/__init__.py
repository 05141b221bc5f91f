"""Designs the new wiring of an old working machine, from a survey to a loom that can be built."""

__version__ = "0.1.0"
