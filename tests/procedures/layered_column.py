"""Vertical consolidation of layers by finite volumes: the exact interface of pressure and flow, no equivalent depth."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import eigh

CELLS = 200  # in each layer


def pressures_left(
    h: ArrayLike, c_v: ArrayLike, m_v: ArrayLike, times: ArrayLike, *, both: bool
) -> NDArray[np.float64]:
    """Mean share of an even first pressure left in each layer, shape (times, layers), drained above, or on both sides.

    ``m_v`` are compressibilities up to one factor; the permeability is c_v·m_v.
    """
    width = np.repeat(np.asarray(h, dtype=float) / CELLS, CELLS)
    stored = np.repeat(np.asarray(m_v, dtype=float), CELLS) * width
    half = width / 2 / np.repeat(np.asarray(c_v, dtype=float) * np.asarray(m_v, dtype=float), CELLS)
    passing = 1 / (half[:-1] + half[1:])
    flow = np.zeros((width.size, width.size))
    inner = np.arange(width.size - 1)
    flow[inner, inner] += passing
    flow[inner + 1, inner + 1] += passing
    flow[inner, inner + 1] -= passing
    flow[inner + 1, inner] -= passing
    flow[0, 0] += 1 / half[0]
    flow[-1, -1] += both / half[-1]
    root = np.sqrt(stored)
    rates, modes = eigh(flow / np.outer(root, root))
    fading: Any = np.exp(-np.outer(np.asarray(times, dtype=float), rates)) * (modes.T @ root)
    left = (fading @ modes.T) / root
    return np.asarray(left.reshape(len(fading), -1, CELLS).mean(axis=2))
