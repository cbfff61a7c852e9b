"""What to expect of one motor: figures with their spread, and what to try when it differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from trimkit.motor import WindingPlan

LOW, HIGH = 0.10, 0.90  # the spread that is told: eight flights in ten lie inside


@dataclass(frozen=True, slots=True)
class Spread:
    """What flights will show: the middle one, and where eight in ten lie.

    Parameters
    ----------
    middle, low, high : float
        Half of all flights are above the middle, one in ten below low, one in ten above high
        [in the figure's unit].
    """

    middle: float
    low: float
    high: float

    @classmethod
    def of(cls, values: Sequence[float]) -> Spread:
        """Work it out from many flights.

        Parameters
        ----------
        values : sequence of float
            One for each flight [in the figure's unit].

        Returns
        -------
        Spread
            Median and the two tenths [in the same unit].
        """
        ends = [LOW, 0.5, HIGH]  # Weibull's places: right for the next flight, also from a few
        low, middle, high = np.quantile(np.asarray(values, dtype=float), ends, method="weibull")
        return cls(float(middle), float(low), float(high))

    def words(self, unit: str, digits: int = 0) -> str:
        """Say it.

        Parameters
        ----------
        unit : str
            Unit [-].
        digits : int
            Places behind the point [-].

        Returns
        -------
        str
            Such as "95 s, 8 in 10 from 88 to 103" [-].
        """
        middle, low, high = (f"{one:.{digits}f}" for one in (self.middle, self.low, self.high))
        return f"{middle} {unit}, 8 in 10 from {low} to {high}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What to do with one motor, and what to expect.

    Parameters
    ----------
    number : str
        Number of the motor [-].
    winding : WindingPlan
        Turns on, turns taken off, torque, stretch [-].
    time_s, height_m, turns_left, revs_per_s : Spread
        What flights will show [s, m, turns, 1/s].
    touch_chance : float
        Chance to touch the ceiling [-].
    held_by : str
        What keeps it from being wound further: "ceiling", "breaking" or "readings" [-].
    winds : int
        How often it has been wound [-].
    flights : int
        Computed flights behind it [-].
    """

    number: str
    winding: WindingPlan
    time_s: Spread
    height_m: Spread
    turns_left: Spread
    revs_per_s: Spread
    touch_chance: float
    held_by: str
    winds: int
    flights: int

    def words(self) -> str:
        """Say what to do and what to expect.

        Returns
        -------
        str
            Some lines [-].
        """
        w = self.winding
        return "\n".join(
            [
                f"Motor {self.number}: wind {w.turns_on} turns, take {w.backed_off} off again. "
                f"The meter should show {w.peak_torque_mNm:.2f} mN m at the top and "
                f"{w.launch_torque_mNm:.2f} at the launch. When turns and torque disagree, go by "
                "the torque.",
                f"  time {self.time_s.words('s')}; height {self.height_m.words('m', 1)}",
                f"  turns left {self.turns_left.words('turns')}; "
                f"{self.revs_per_s.words('turns a second', 1)}",
                f"  chance to touch the ceiling: {_chance(self.touch_chance, self.flights)}. "
                f"{_HELD[self.held_by]}",
            ]
        )

    def if_it_differs(self) -> tuple[str, ...]:
        """Say what to try first when a flight differs from the plan.

        Returns
        -------
        tuple of str
            One sentence for each way to differ, the first that applies counts [-].
        """
        w = self.winding
        half = 0.9 * w.launch_torque_mNm
        return (
            f"The meter shows under {half:.2f} mN m after {w.turns_at_launch} turns: wind on to "
            "the torque, not past 95 % of the breaking turns; the rubber is cold, old or another "
            "batch. Read its curve again.",
            "It dives, stalls or spirals: that is trim, not power. Fly low power and ask trimkit "
            "diagnose.",
            f"It is higher than {self.height_m.high:.1f} m or touches: take 5 to 10 % more turns "
            "off.",
            f"Over {self.turns_left.high:.0f} turns left and lower than {self.height_m.low:.1f} m: "
            "something holds the power back. Feel the bearing, look for a knot on the hook, then "
            "3° less pitch or a loop 5 % thicker.",
            f"Under {self.turns_left.low:.0f} turns left and over {self.revs_per_s.high:.1f} turns "
            "a second: the propeller turns too fast. 3° more pitch, or a longer loop.",
            f"Under {self.time_s.low:.0f} s and nothing else differs: fly the same again first. "
            "Half of all surprises are launch and air.",
        )

    def as_data(self) -> dict[str, Any]:
        """Give the same as plain data.

        Returns
        -------
        dict
            Winding, figures with spread, chance [-].
        """
        return {**asdict(self), "if_it_differs": list(self.if_it_differs())}


_HELD = {
    "ceiling": "More turns would touch it too often.",
    "breaking": "More turns would be too close to breaking.",
    "readings": "Its torque was read no further; to wind it more, read it further.",
}


def _chance(share: float, flights: int) -> str:
    count = round(share * flights)
    if count == 0:
        return f"none of {flights} computed flights did"
    return f"{share:.0%} ({count} of {flights} computed flights)"
