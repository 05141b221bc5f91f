"""The sheet that hangs in the cab: volts, fuses, relays and grounds of a machine on one page."""
