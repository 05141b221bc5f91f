"""Everything of one machine in one folder that the next owner reads with a browser alone."""
