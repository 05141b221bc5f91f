"""Designs the new wiring of an old working machine, from a survey to a loom that can be built."""

import os

# Our matrices are small. Sums shared out among threads take up to 25 times as long, spent in waiting, and may
# end in other last digits on another number of processors. It is read once, as numpy loads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
