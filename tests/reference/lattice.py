"""The same shape in AeroSandbox's vortex lattice, about the same point, in the same axes.

The library is imported when it is needed: the other tests do without it. It turns an aeroplane
about the origin of its geometry, so that is where the point that counts is put.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from tests.reference.engine_loads import (
    HIGH_DEG,
    LOW_DEG,
    SPEED_M_S,
    STEP_RAD,
    Measured,
    Shape,
)
from trimkit.units import Floats

VERSION = "4.2.10"
SPANWISE, CHORDWISE = 16, 8  # of each half of a surface


def _surface(rows: list[tuple[float, float, float, float, float]]) -> Any:
    """Leading edge aft, right and up, chord [mm], twist [deg], from one end to the other."""
    import aerosandbox as asb

    flat = asb.Airfoil("naca0012")  # the lattice sees its camber line alone: a flat plate
    return asb.Wing(
        xsecs=[
            asb.WingXSec(
                xyz_le=[x / 1000, y / 1000, z / 1000], chord=chord / 1000, twist=twist, airfoil=flat
            )
            for x, y, z, chord, twist in rows
        ]
    )


def _wing(shape: Shape) -> Any:
    half, nose = shape.span / 2, -shape.about_mm
    tip, rise = nose + (shape.root - shape.tip) / 4, half * math.tan(math.radians(shape.dihedral))
    return _surface(
        [
            (tip, -half, shape.height + rise, shape.tip, shape.left_wash_in),
            (nose, 0.0, shape.height, shape.root, 0.0),
            (tip, half, shape.height + rise, shape.tip, 0.0),
        ]
    )


def _tail(shape: Shape) -> Any:
    half, nose = shape.tail_span / 2, shape.tail_place - shape.about_mm
    return _surface(
        [(nose, y, shape.tail_height, shape.tail_chord, 0.0) for y in (-half, 0.0, half)]
    )


def _fin(shape: Shape) -> Any:
    chord, half = shape.fin_area / shape.fin_span, shape.fin_span / 2
    nose = shape.fin_place - shape.about_mm - chord / 4
    return _surface([(nose, 0.0, shape.fin_height + z, chord, 0.0) for z in (-half, 0.0, half)])


SURFACES = {"wing": (_wing,), "wing and tail": (_wing, _tail), "fin": (_fin,)}


def _solved(
    wings: list[Any], alpha_deg: float, beta_deg: float, turning: Floats, grid: tuple[int, int]
) -> tuple[Any, dict[str, Any]]:
    import aerosandbox as asb

    p, q, r = (float(part) for part in turning)
    lattice = asb.VortexLatticeMethod(
        airplane=asb.Airplane(wings=wings, xyz_ref=[0, 0, 0], s_ref=1, c_ref=1, b_ref=1),
        op_point=asb.OperatingPoint(
            velocity=SPEED_M_S, alpha=alpha_deg, beta=beta_deg, p=p, q=q, r=r
        ),
        xyz_ref=[0, 0, 0],
        spanwise_resolution=grid[0],
        chordwise_resolution=grid[1],
    )
    return lattice, lattice.run()


def lattice_of(
    shape: Shape, lifting: str, grid: tuple[int, int] = (SPANWISE, CHORDWISE)
) -> Measured:
    """Force [N] and moment [N m] in body axes, x forward, z down."""
    import aerosandbox as asb

    wings = [made(shape) for made in SURFACES[lifting]]

    def loads(alpha_deg: float, beta_deg: float, turning: Floats) -> Floats:
        _, found = _solved(wings, alpha_deg, beta_deg, turning, grid)
        return np.array([float(part) for part in (*found["F_b"], *found["M_b"])])

    return Measured(shape, loads, float(asb.OperatingPoint().atmosphere.density()))


def lattice_downwash_slope(shape: Shape) -> float:
    """Mean along the tail's quarter chord, behind the wing alone [-]."""
    across = ((np.arange(20) + 0.5) / 20 - 0.5) * shape.tail_span
    x = shape.tail_place + shape.tail_chord / 4 - shape.about_mm
    points = np.array([(x, y, shape.tail_height) for y in across]) / 1000
    angles = []
    for alpha in (LOW_DEG, HIGH_DEG):
        lattice, _ = _solved([_wing(shape)], alpha, 0.0, np.zeros(3), (SPANWISE, CHORDWISE))
        angles.append(-lattice.get_induced_velocity_at_points(points)[:, 2].mean() / SPEED_M_S)
    return float(angles[1] - angles[0]) / STEP_RAD
