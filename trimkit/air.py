"""The air: density, viscosity and Reynolds number.

The standard atmosphere is that of ISO 2533:1975 (the same as the US Standard Atmosphere 1976
below 11 km); the viscosity is Sutherland's, with the constants of that standard.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from trimkit.units import Floats, as_given, checked

GAS_CONSTANT_J_KG_K = 287.05287  # ISO 2533:1975, table 1
SEA_LEVEL_K = 288.15  # ISO 2533:1975
SEA_LEVEL_PA = 101325.0  # ISO 2533:1975
LAPSE_K_M = 0.0065  # ISO 2533:1975, to 11 km
PRESSURE_POWER = 5.25588  # g / (R lapse), ISO 2533:1975
EARTH_RADIUS_M = 6356766.0  # ISO 2533:1975
SUTHERLAND, SUTHERLAND_K = 1.458e-6, 110.4  # ISO 2533:1975, eq. for dynamic viscosity
ZERO_CELSIUS_K = 273.15

LOWEST_M, HIGHEST_M = -1000.0, 11000.0
COLDEST_C, WARMEST_C = -40.0, 60.0
LEAST_PA, MOST_PA = 20_000.0, 120_000.0


@dataclass(frozen=True, slots=True)
class Air:
    """Still air at one place.

    Parameters
    ----------
    temperature_k : float or numpy.ndarray
        Temperature [K].
    pressure_pa : float or numpy.ndarray
        Pressure [Pa].
    density_kg_m3 : float or numpy.ndarray
        Density [kg/m³].
    viscosity_pa_s : float or numpy.ndarray
        Dynamic viscosity [Pa s].
    """

    temperature_k: float
    pressure_pa: float
    density_kg_m3: float
    viscosity_pa_s: float


def standard(altitude_m: ArrayLike) -> Air:
    """Return the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude_m : float or array_like
        Geometric altitude, -1000 to 11000 [m].

    Returns
    -------
    Air
        Scalars for a scalar, arrays for an array [-].

    Raises
    ------
    ValueError
        When the altitude is outside that range.

    Examples
    --------
    >>> round(standard(0.0).density_kg_m3, 3)
    1.225
    """
    height = checked("altitude_m", altitude_m, LOWEST_M, HIGHEST_M, "is it in feet?")
    geopotential = EARTH_RADIUS_M * height / (EARTH_RADIUS_M + height)
    temperature = SEA_LEVEL_K - LAPSE_K_M * geopotential
    pressure = SEA_LEVEL_PA * (temperature / SEA_LEVEL_K) ** PRESSURE_POWER
    return _air(temperature, pressure)


def at_temperature(temperature_c: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA) -> Air:
    """Return the air of a hall from its thermometer and barometer.

    Parameters
    ----------
    temperature_c : float or array_like
        Temperature, -40 to 60 [°C].
    pressure_pa : float or array_like
        Pressure, 20,000 to 120,000 [Pa].

    Returns
    -------
    Air
        Scalars for scalars, arrays for arrays [-].

    Raises
    ------
    ValueError
        When temperature or pressure is outside its range.

    Examples
    --------
    >>> round(at_temperature(20.0).density_kg_m3, 3)
    1.204
    """
    celsius = checked("temperature_c", temperature_c, COLDEST_C, WARMEST_C, "is it in kelvin?")
    pressure = checked("pressure_pa", pressure_pa, LEAST_PA, MOST_PA, "is it in hPa?")
    return _air(celsius + ZERO_CELSIUS_K, pressure)


def reynolds(speed_m_s: ArrayLike, length_mm: ArrayLike, air: Air) -> float:
    """Reynolds number: speed times length over kinematic viscosity.

    Parameters
    ----------
    speed_m_s : float or array_like
        Speed through the air, 0 or more [m/s].
    length_mm : float or array_like
        Chord or other length, 0 or more [mm].
    air : Air
        The air [-].

    Returns
    -------
    float or numpy.ndarray
        Reynolds number [-].

    Raises
    ------
    ValueError
        When speed or length is negative.

    Examples
    --------
    >>> round(reynolds(2.0, 100.0, ROOM))
    13280
    """
    speed = checked("speed_m_s", speed_m_s, 0, 400, "is it in km/h?")
    length = checked("length_mm", length_mm, 0, 100_000, "a length is not negative")
    return as_given(speed * length / 1000 * air.density_kg_m3 / air.viscosity_pa_s)


def _air(temperature_k: Floats, pressure_pa: Floats) -> Air:
    temperature, pressure = np.broadcast_arrays(temperature_k, pressure_pa)
    viscosity = SUTHERLAND * temperature**1.5 / (temperature + SUTHERLAND_K)
    density = pressure / (GAS_CONSTANT_J_KG_K * temperature)
    return Air(*(as_given(value) for value in (temperature, pressure, density, viscosity)))


ROOM = at_temperature(20.0)
