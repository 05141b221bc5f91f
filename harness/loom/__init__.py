"""Where the wires lie: ways along the runs, splices, bundles, looms, numbers."""
