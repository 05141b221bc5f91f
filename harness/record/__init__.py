"""What happened to a machine after it was wired: its record, and the survey as it is today."""
