"""Air against ISO 2533:1975 / US Standard Atmosphere 1976."""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import air

# Computed with ambiance 1.3.1 (fluids 1.3.1 agrees to 1e-6). Tolerance: their printed digits.
STANDARD = [
    # altitude m, K, Pa, kg/m3, Pa s, m2/s
    (0, 288.150, 101325, 1.225000, 1.789380e-5, 1.460719e-5),
    (500, 284.900, 95461.3, 1.167273, 1.773657e-5, 1.519488e-5),
    (1000, 281.651, 89876.3, 1.111660, 1.757850e-5, 1.581285e-5),
]
# The same formulas at 101325 Pa, computed with ambiance's constants; 2 m/s and 0.1 m.
WARMTH = [
    # deg C, Pa s, kg/m3, Reynolds number
    (0, 1.71608e-5, 1.29227, 15061),
    (10, 1.76515e-5, 1.24663, 14125),
    (20, 1.81341e-5, 1.20411, 13280),
    (30, 1.86087e-5, 1.16439, 12514),
]


@pytest.mark.parametrize(("altitude", "kelvin", "pascal", "density", "viscosity", "nu"), STANDARD)
def test_standard_atmosphere(
    altitude: float, kelvin: float, pascal: float, density: float, viscosity: float, nu: float
) -> None:
    found = air.standard(altitude)
    assert found.temperature_k == pytest.approx(kelvin, abs=6e-4)
    assert found.pressure_pa == pytest.approx(pascal, rel=1e-6)
    assert found.density_kg_m3 == pytest.approx(density, rel=1e-6)
    assert found.viscosity_pa_s == pytest.approx(viscosity, rel=1e-5)
    assert found.viscosity_pa_s / found.density_kg_m3 == pytest.approx(nu, rel=1e-5)


def test_standard_atmosphere_as_an_array() -> None:
    rows = np.array(STANDARD)
    found = air.standard(rows[:, 0])
    assert found.density_kg_m3 == pytest.approx(rows[:, 3], rel=1e-6)


@pytest.mark.parametrize(("celsius", "viscosity", "density", "number"), WARMTH)
def test_warmth(celsius: float, viscosity: float, density: float, number: float) -> None:
    found = air.at_temperature(celsius)
    assert found.viscosity_pa_s == pytest.approx(viscosity, rel=4e-6)
    assert found.density_kg_m3 == pytest.approx(density, rel=5e-6)
    assert air.reynolds(2.0, 100.0, found) == pytest.approx(number, abs=0.6)
