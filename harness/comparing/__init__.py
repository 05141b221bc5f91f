"""Two designs of one machine against each other: what differs, why, and what there is to buy for it."""
