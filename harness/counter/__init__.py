"""The parts counter: price lists as counters keep them, and which line of a list serves which material."""
