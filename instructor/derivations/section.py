"""How the fitted constants of `trimkit.section` were found. Run it; it prints both sets.

Least squares through lift and drag of thin circular arcs by NeuralFoil 0.3.3 "xlarge" (rows as
in tests/published). Lift slope, zero lift, Reynolds power and separation are held: the fit is
flat in them, and they were chosen as the module says. Drag counts 0.6 of lift, for the rows
scatter more. It ends with status 1 when the constants in use are not those of the fit.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from trimkit import section
from trimkit.section import plate

TABLE = Path(__file__).parents[2] / "tests" / "published" / "data" / "neuralfoil_plates.csv"
CAMBER, REYNOLDS, ALPHA, LIFT, DRAG = np.loadtxt(TABLE, delimiter=",", skiprows=3, unpack=True)
IN_USE = {
    "LOWER_SEPARATION_PER_PERCENT": section.LOWER_SEPARATION_PER_PERCENT,
    "WIDTH_DEG": section.WIDTH_DEG,
    "LEAST_DRAG": section.LEAST_DRAG,
    "LEAST_DRAG_PER_PERCENT": section.LEAST_DRAG_PER_PERCENT,
    "DRAG_RISE": section.DRAG_RISE,
    "LEAST_DRAG_LIFT_PER_PERCENT": section.LEAST_DRAG_LIFT_PER_PERCENT,
}
DRAG_WEIGHT = 0.6
SMALL_LIFT = 0.25  # below this a lift counts by its difference, not by its share


def misfits(constants: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weighted misfit of every row, lift and drag."""
    lower, width, drag, drag_per_percent, rise, best_lift = constants
    found = []
    for camber, reynolds in sorted(set(zip(CAMBER, REYNOLDS, strict=True))):
        rows = (camber == CAMBER) & (reynolds == REYNOLDS)
        made = replace(
            plate(float(camber)),
            negative_stall_deg=section.LOWER_SEPARATION_DEG + lower * camber,
            stall_width_deg=width,
            least_drag=drag + drag_per_percent * camber,
            drag_rise=rise,
            least_drag_lift=best_lift * camber,
        ).coefficients(ALPHA[rows], reynolds)
        found.append((made.lift - LIFT[rows]) / np.maximum(LIFT[rows], SMALL_LIFT))
        found.append(DRAG_WEIGHT * (made.drag / DRAG[rows] - 1))
    return np.concatenate(found)


def main() -> int:
    start = np.array(list(IN_USE.values()))
    fit = least_squares(misfits, start, x_scale=start)
    for (name, used), best in zip(IN_USE.items(), fit.x, strict=True):
        print(f"{name:30s} in use {used:8.4f}   fit {best:8.4f}")
    spread, best_spread = (np.sqrt(np.mean(misfits(c) ** 2)) for c in (start, fit.x))
    print(f"misfit, root mean square: {spread:.4f} in use, {best_spread:.4f} at best")
    return 0 if spread < 1.05 * best_spread else 1


if __name__ == "__main__":
    sys.exit(main())
