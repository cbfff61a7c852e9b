"""How the aeroplane leaves the hand."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from trimkit.units import check_ranges, quantity

# One hand differs from launch to launch by about so much at scatter 1; assumed.
SPEED_SCATTER, PITCH_SCATTER_DEG, BANK_SCATTER_DEG, HEADING_SCATTER_DEG = 0.06, 2.5, 2.5, 4.0
HEIGHT_SCATTER_M = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Launch:
    """A launch by hand: the propeller is let go first, then the aeroplane.

    Parameters
    ----------
    turns : float
        Turns on the rubber at the launch [turns].
    backed_off : float
        Turns that were taken off again before it [turns].
    speed_m_s : float
        Speed out of the hand; 0 for the speed of the aeroplane's own glide [m/s].
    pitch_deg : float
        Nose above the level [deg].
    bank_deg : float
        Roll angle, + right wing down [deg].
    heading_deg : float
        Direction, 0 north and 90 east [deg].
    height_m : float
        Height of the balance point above the floor [m].
    north_m, east_m : float
        Place on the floor, from its middle [m].
    hold_s : float
        Time between letting the propeller go and letting the aeroplane go [s].
    scatter : float
        0 for the same launch every time, 1 for a practised hand, 2 for a beginner [-].
    """

    turns: float = quantity("", 0, 20000, "Turns on the rubber at the launch")
    backed_off: float = quantity("", 0, 5000, "Turns taken off before it", 0.0)
    speed_m_s: float = quantity("m/s", 0, 15, "Speed out of the hand, 0 for the glide's", 0.0)
    pitch_deg: float = quantity("°", -80, 80, "Nose above the level", 3.0)
    bank_deg: float = quantity("°", -90, 90, "Roll angle, + right wing down", -5.0)
    heading_deg: float = quantity("°", -360, 360, "Direction, 0 north, 90 east", 0.0)
    height_m: float = quantity("m", 0.3, 100, "Height above the floor", 1.7)
    north_m: float = quantity("m", -250, 250, "Place, north of the middle", 0.0)
    east_m: float = quantity("m", -250, 250, "Place, east of the middle", 0.0)
    hold_s: float = quantity("s", 0, 5, "From letting the propeller go to the throw", 0.3)
    scatter: float = quantity("", 0, 4, "0 exact, 1 practised, 2 beginner", 0.0)

    def __post_init__(self) -> None:
        check_ranges(self)

    def thrown(self, seed: int) -> Launch:
        """Return the launch as the hand really did it.

        Parameters
        ----------
        seed : int
            The same seed gives the same throw [-].

        Returns
        -------
        Launch
            With its scatter drawn and set to 0 [-].
        """
        if self.scatter == 0:
            return self
        draw = np.random.default_rng([seed, 0]).standard_normal(5) * self.scatter
        draw = np.clip(draw, -3 * self.scatter, 3 * self.scatter)
        return replace(
            self,
            speed_m_s=min(self.speed_m_s * math.exp(SPEED_SCATTER * draw[0]), 15.0),
            pitch_deg=_held(self.pitch_deg + PITCH_SCATTER_DEG * draw[1], 80),
            bank_deg=_held(self.bank_deg + BANK_SCATTER_DEG * draw[2], 90),
            heading_deg=_held(self.heading_deg + HEADING_SCATTER_DEG * draw[3], 360),
            height_m=max(self.height_m + HEIGHT_SCATTER_M * draw[4], 0.3),
            scatter=0.0,
        )


def _held(value: float, most: float) -> float:
    return float(min(max(value, -most), most))
