"""Checks of the shipped surveys."""
