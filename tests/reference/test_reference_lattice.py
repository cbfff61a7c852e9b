"""AeroSandbox's vortex lattice: what it says now, and what was written down of it."""

from __future__ import annotations

import importlib.metadata

import pytest

from tests.published.test_published_flight_models import FIN, SHAPES, TWISTED, WHOLE, WING
from tests.reference.lattice import VERSION, lattice_downwash_slope, lattice_of

pytestmark = pytest.mark.reference

NEAR = 1e-3  # of the figures written down
COARSE, FINE = (8, 4), (24, 10)


def test_it_is_the_version_that_was_written_down() -> None:
    assert importlib.metadata.version("aerosandbox") == VERSION


@pytest.mark.parametrize("name", SHAPES)
def test_the_figures_written_down_are_the_lattices(name: str) -> None:
    shape = SHAPES[name]
    for lifting, table in (("wing", WING), ("wing and tail", WHOLE), ("fin", FIN)):
        found = lattice_of(shape, lifting)
        for quantity, value in table.get(name, {}).items():
            measure = getattr(found, quantity, None)
            now = measure() if measure else lattice_downwash_slope(shape)
            assert now == pytest.approx(value, rel=NEAR), quantity


@pytest.mark.parametrize("name", TWISTED)
def test_the_roll_of_wash_in_written_down_is_the_lattices(name: str) -> None:
    shape, roll = TWISTED[name]
    assert lattice_of(shape, "wing").roll() == pytest.approx(roll, rel=NEAR)


@pytest.mark.parametrize("name", WHOLE)
def test_the_lattice_has_converged(name: str) -> None:
    """Tail and wing are not in one plane: a finer grid moves the neutral point by .003."""
    points = [
        lattice_of(SHAPES[name], "wing and tail", grid).neutral_point() for grid in (COARSE, FINE)
    ]
    assert points[0] == pytest.approx(points[1], abs=0.01)
    assert WHOLE[name]["neutral_point"] == pytest.approx(points[1], abs=0.003)
