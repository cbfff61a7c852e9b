"""The lineariser."""

from __future__ import annotations

import numpy as np
import pytest

from trimkit.flight.linear import modes, slopes


def test_a_linear_function_gives_its_own_matrix() -> None:
    matrix = np.array([[0.0, 1.0], [-4.0, -0.4]])
    found = slopes(lambda x: matrix @ x, np.array([3.0, -200.0]))
    np.testing.assert_allclose(found, matrix, atol=1e-8)


def test_modes_of_an_oscillator() -> None:
    found = modes(np.array([[0.0, 1.0], [-4.0, -0.4]]))
    assert found[0].real == pytest.approx(-0.2)
    assert abs(found[0]) == pytest.approx(2.0)


def test_modes_come_slowest_first() -> None:
    assert modes(np.diag([-3.0, 1.0, -1.0])).real.tolist() == [1.0, -1.0, -3.0]
