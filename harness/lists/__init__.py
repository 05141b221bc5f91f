"""The design as lists: what to cut, to lay, to land and to buy, and in which order."""
