"""Figures that no test run includes.

One thread for numpy's products, as in the recogniser's own process: with more, products of its
size take fifty times the processor time.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")
