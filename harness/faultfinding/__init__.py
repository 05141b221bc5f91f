"""Where a fault can sit: the network solved with single faults in it, held against what a meter reads."""
