"""A quote: the cheapest basket out of price lists for the materials of one or several machines."""
