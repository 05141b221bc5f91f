"""Sheets to take to the machine: what is known filled in, room to write for the rest."""
