"""Bringing a new loom to life: what to measure in which order, what to expect, and what a reading means."""
