"""Names for the array shapes of the renderer."""

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]
"""Values in single precision; the last axis is 3 for points, directions, normals and linear colours."""

Whole = NDArray[np.int32]
"""Whole numbers, such as which shape covers a pixel."""

Bytes8 = NDArray[np.uint8]
"""A developed picture, sRGB-coded."""


def vector(*values: float) -> Field:
    """Make a vector in single precision."""
    return np.array(values, dtype=np.float32)


def unit(directions: Field) -> Field:
    """Scale directions to length 1 along the last axis."""
    length = np.sqrt(np.einsum("...i,...i->...", directions, directions))
    scaled: Field = (directions / np.maximum(length, 1e-9)[..., None]).astype(np.float32)
    return scaled
