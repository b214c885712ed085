"""Types of arrays, named once: plain numpy, double precision."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Complexes = NDArray[np.complex128]
Bools = NDArray[np.bool_]
