"""The job itself, without a window: plans, light, checks, lists and layouts."""

import os

# NumPy's matrix products (OpenBLAS, and read when it is loaded) keep their threads turning idly for a tenth of a second
# after each. On two processors that takes one away from the rays which come next; now they rest after 0.1 ms.
os.environ.setdefault("OPENBLAS_THREAD_TIMEOUT", "18")
