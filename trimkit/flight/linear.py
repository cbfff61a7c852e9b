"""Small movements about a steady flight: the right-hand side made linear by differences."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from trimkit.units import Floats

DIFFERENCE = 1e-6  # of a number of size 1: between rounding and curvature


def slopes(function: Callable[[Floats], Floats], point: Floats) -> Floats:
    """Make a function linear about a point, by central differences.

    Parameters
    ----------
    function : callable
        Takes n numbers, returns m numbers [-].
    point : numpy.ndarray
        Where (n,) [in the function's units].

    Returns
    -------
    numpy.ndarray
        Slopes (m, n) [in the function's units].

    Examples
    --------
    >>> slopes(lambda x: x**2, np.array([1.0, 3.0])).round(6).tolist()
    [[2.0, 0.0], [0.0, 6.0]]
    """
    columns = []
    for i in range(point.size):
        step = np.zeros_like(point)
        step[i] = DIFFERENCE * max(1.0, abs(float(point[i])))
        columns.append((function(point + step) - function(point - step)) / (2 * step[i]))
    return np.stack(columns, axis=1)


def modes(matrix: Floats) -> NDArray[np.complex128]:
    """Return the ways in which a linear system moves by itself.

    Parameters
    ----------
    matrix : numpy.ndarray
        Slopes of the rates (n, n) [1/s].

    Returns
    -------
    numpy.ndarray
        Its eigenvalues, the slowest to die out first [1/s].
    """
    found = np.linalg.eigvals(matrix).astype(np.complex128)
    return np.asarray(found[np.argsort(-found.real)])
