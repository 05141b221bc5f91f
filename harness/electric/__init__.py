"""What the currents ask of the wires: circuit graph, solve, fuses, sizes."""
