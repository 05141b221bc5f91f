"""Checks of the pages of documentation."""
