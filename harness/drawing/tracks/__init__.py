"""The circuit diagram as current tracks: supply rails above, ground rails below, a column for each load."""
