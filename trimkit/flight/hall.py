"""The hall: its walls, its ceiling and its air."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from trimkit.air import Air, at_temperature
from trimkit.units import Floats, check_ranges, quantity

SMALLEST_M, LARGEST_M = 2.0, 500.0  # assumed: a corridor to an airship shed
MOST_DRIFT_M_S = 2.0  # assumed: more is not indoors
QUIET_HALL_M_S = 0.07  # calibration to common practice: repeats scatter 5 to 10 %
SWINGS_S = (9.0, 23.0, 61.0, 157.0)  # periods of the slow swings; assumed, none divides another


@dataclass(frozen=True, slots=True)
class Hall:
    """A hall with a flat floor, four walls and a ceiling.

    The aeroplane starts above the middle of the floor unless its `Launch` says otherwise.

    Parameters
    ----------
    size_m : (float, float, float)
        Length north-south, width east-west, and height of the ceiling, 2 to 500 [m].
    air : Air or None
        The hall's air; None for normal pressure at `temperature_c`. A density of 0 is a vacuum,
        for checks [-].
    temperature_c : float
        Temperature of hall and rubber [°C].
    drift_m_s : (float, float, float)
        Steady drift of the air to the north, to the east and up, each up to 2 [m/s].
    restless_m_s : float
        Root mean square of slow swings of the air along each axis, up and down as well: far
        from floor and ceiling (assumed). `QUIET_HALL_M_S` is a quiet hall with people in it;
        0 is air that stands still, so that flights can be compared [m/s].
    """

    size_m: tuple[float, float, float] = (40.0, 30.0, 15.0)
    air: Air | None = None
    temperature_c: float = quantity("°C", 0, 40, "Temperature of hall and rubber", 20.0)
    drift_m_s: tuple[float, float, float] = (0.0, 0.0, 0.0)
    restless_m_s: float = quantity("m/s", 0, 0.5, "Slow swings of the hall's air", 0.0)
    _air: Air = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        check_ranges(self)
        if not (len(self.size_m) == 3 and all(SMALLEST_M <= s <= LARGEST_M for s in self.size_m)):
            raise ValueError(
                f"Hall: size_m is {self.size_m}; allowed is three lengths of {SMALLEST_M:g} to "
                f"{LARGEST_M:g} m; are they in feet or mm?"
            )
        if not (len(self.drift_m_s) == 3 and all(abs(s) <= MOST_DRIFT_M_S for s in self.drift_m_s)):
            raise ValueError(
                f"Hall: drift_m_s is {self.drift_m_s}; allowed is three speeds up to "
                f"{MOST_DRIFT_M_S:g} m/s either way; are they in km/h?"
            )
        object.__setattr__(self, "_air", self.air or at_temperature(self.temperature_c))

    @property
    def density_kg_m3(self) -> float:
        """Density of the air, 0 in a vacuum [kg/m³]."""
        return self._air.density_kg_m3

    @property
    def kinematic_viscosity_m2_s(self) -> float:
        """Viscosity over density, that of normal air in a vacuum [m²/s]."""
        return self._air.viscosity_pa_s / (self._air.density_kg_m3 or 1.2)

    def swings(self, seed: int) -> tuple[Floats, Floats, Floats]:
        """Choose the slow swings of the air for one flight.

        Parameters
        ----------
        seed : int
            The same seed gives the same air [-].

        Returns
        -------
        (numpy.ndarray, numpy.ndarray, numpy.ndarray)
            Angular frequencies [rad/s], amplitudes north, east, down [m/s], phases [rad].
        """
        chance = np.random.default_rng([seed, 1])
        rates = 2 * math.pi / np.array(SWINGS_S)
        each = self.restless_m_s * math.sqrt(2 / len(SWINGS_S))
        speeds = np.full((len(SWINGS_S), 3), each)
        return rates, speeds, chance.uniform(0, 2 * math.pi, speeds.shape)


def vacuum() -> Air:
    """Return no air at all, for checks of energy and momentum.

    Returns
    -------
    Air
        At 20 °C, with a density and pressure of 0 [-].
    """
    room = at_temperature(20.0)
    return Air(room.temperature_k, 0.0, 0.0, room.viscosity_pa_s)
