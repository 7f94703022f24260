"""Names for the few array shapes the program passes about."""

import numpy as np
from numpy.typing import NDArray

Rgb = NDArray[np.uint8]
"""A displayed picture: shape (M, N, 3), sRGB-coded, row 0 at the top, orientation applied."""

Plane = NDArray[np.float32]
"""One value per pixel, shape (M, N)."""

Mask = NDArray[np.bool_]
"""True per pixel, shape (M, N)."""

Numbers = NDArray[np.int64]
"""Whole numbers, one for each frame, shape (N,)."""
