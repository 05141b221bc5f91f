"""Every result file and what makes it, and the second process that designs and makes some of them."""
