"""The kinds of arrays; shapes stand in the docstrings of what takes and returns them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Floats32 = NDArray[np.float32]
