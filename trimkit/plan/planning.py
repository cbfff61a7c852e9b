"""The plan for a hall: every motor of the stock tried, the ceiling kept, the best named."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from trimkit import aeroplane as records
from trimkit import rules
from trimkit.aeroplane import Aeroplane
from trimkit.fit import FitRecord
from trimkit.fit.evidence import COARSE_STEP_S
from trimkit.fit.unknowns import MOTOR_SHARE, UNKNOWNS, moved
from trimkit.flight import Flight, Hall, Job, Launch, fly_many
from trimkit.flight.fly import launch_speed_m_s
from trimkit.flight.hall import QUIET_HALL_M_S
from trimkit.motor import RubberMotor, WindingPlan, winding_plan
from trimkit.plan.outlook import Outlook, Spread
from trimkit.units import Floats, check_ranges, quantity

MOST_SHARE = 0.85  # of the breaking turns; 80 to 90 % is common practice, no source
LEAST_SHARE = 0.30  # with fewer turns nothing is learned; assumed
TRIES = 7  # halvings of the range of turns
FLOOR_M = 500.0  # walls far away: a plan is about the ceiling
LAUNCH_M = 1.7
LOWER = 0.97  # of the turns, when too many flights touch
MOST_LOWER = 5
ALIKE = 0.5  # two motors are alike when their times differ by less than this share of the spread
WORN_WINDS = 8  # common practice, no source
LONGEST_S = 900.0
MOST_WIDER = 4.0  # times; a draw of Student's t farther out tells nothing; assumed
LEAST_FLIGHT_S = 12.0  # what is shorter in still air is a dive or a stall

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """The hall and what is wanted of the flights.

    Parameters
    ----------
    height_m : float
        From the floor to the lowest thing under the roof [m].
    temperature_c : float
        Of the hall [°C].
    free_m : float
        Room to keep under the ceiling; .5 to 1 is common practice [m].
    touch_chance : float
        Chance to touch the ceiling that is still good [-].
    back_off : float
        Share of the turns to take off again; .03 to .08 is common practice [-].
    flights : int
        Computed flights for each motor [-].
    seed : int
        The same seed gives the same plan [-].
    """

    height_m: float = quantity("m", 3, 60, "From the floor to the lowest thing under the roof")
    temperature_c: float = quantity("°C", 0, 40, "Temperature of the hall", 20.0)
    free_m: float = quantity("m", 0, 10, "Room to keep under the ceiling", 0.5)
    touch_chance: float = quantity("", 0.01, 0.9, "Chance to touch the ceiling", 0.1)
    back_off: float = quantity("", 0, 0.2, "Share of the turns to take off again", 0.05)
    flights: int = quantity("", 10, 400, "Computed flights for each motor", 24)
    seed: int = 0

    def __post_init__(self) -> None:
        check_ranges(self)
        if self.free_m > self.height_m - LAUNCH_M - 0.5:
            raise ValueError(
                f"free_m is {self.free_m:g} under a ceiling of {self.height_m:g} m; allowed is up "
                f"to {self.height_m - LAUNCH_M - 0.5:.1f} m, or there is no room to fly"
            )


@dataclass(frozen=True, slots=True)
class Refusal:
    """A motor without a plan.

    Parameters
    ----------
    number : str
        Number of the motor [-].
    why : str
        Why, and what to do [-].
    """

    number: str
    why: str

    def words(self) -> str:
        """Say it.

        Returns
        -------
        str
            One line [-].
        """
        return f"motor {self.number}: {self.why}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plan of a hall.

    Parameters
    ----------
    aeroplane : str
        Name of the aeroplane [-].
    want : Want
        What was asked [-].
    outlooks : tuple of Outlook
        For each motor, the best first [-].
    refused : tuple of Refusal
        Motors without a plan [-].
    fitted : bool
        Whether the aeroplane was fitted to flights [-].
    """

    aeroplane: str
    want: Want
    outlooks: tuple[Outlook, ...]
    refused: tuple[Refusal, ...]
    fitted: bool

    def choice(self) -> str:
        """Say which motor to take.

        Returns
        -------
        str
            One or two sentences, "" when there is no motor [-].
        """
        if not self.outlooks:
            return ""
        best, *others = self.outlooks
        told = f"Take motor {best.number}."
        near = [one.number for one in others if _alike(best, one)]
        if near:
            told += f" Motor {' and '.join(near)} would do as well: the spread is larger."
        if best.winds >= WORN_WINDS:
            told += f" It has been wound {best.winds} times: look for nicks, and keep it for tests."
        return told

    def words(self) -> str:
        """Say the whole plan.

        Returns
        -------
        str
            Lines to take to the hall [-].
        """
        want = self.want
        lines = [
            f"{self.aeroplane}, ceiling {want.height_m:g} m, {want.temperature_c:g} °C, "
            f"{want.free_m:g} m to stay free."
        ]
        lines += [self.choice()] if self.outlooks else ["No motor has a plan."]
        lines += [one.words() for one in self.outlooks]
        lines += [f"No plan for {one.words()}" for one in self.refused]
        if self.outlooks:
            lines.append(f"If motor {self.outlooks[0].number} flies otherwise, try first:")
            lines += [f"- {one}" for one in self.outlooks[0].if_it_differs()]
        lines.append(FITTED if self.fitted else NOT_FITTED)
        return "\n".join(lines)

    def heights_words(self) -> str:
        """Say what a picture of the heights shows.

        Returns
        -------
        str
            A sentence for the hall and one for each motor [-].
        """
        want = self.want
        told = [f"A hall of {want.height_m:g} m, {want.free_m:g} m of it to stay free."]
        told += [
            f"Motor {one.number} with {one.winding.turns_on} turns: height "
            f"{one.height_m.words('m', 1)}; time {one.time_s.words('s')}."
            for one in self.outlooks
        ]
        return " ".join([*told, self.choice()])

    def as_data(self) -> dict[str, Any]:
        """Give the same as plain data.

        Returns
        -------
        dict
            Hall, motors in order, refusals [-].
        """
        return {
            "aeroplane": self.aeroplane,
            "height_m": self.want.height_m,
            "temperature_c": self.want.temperature_c,
            "free_m": self.want.free_m,
            "fitted": self.fitted,
            "choice": self.choice(),
            "motors": [one.as_data() for one in self.outlooks],
            "refused": [{"motor": one.number, "why": one.why} for one in self.refused],
        }


FITTED = (
    "Counted: hand, air, rubber, and how well the fit knows the aeroplane. Not counted: walls, and "
    "anything changed since."
)
NOT_FITTED = (
    "Counted: hand, air and rubber. Not counted: that the aeroplane may fly otherwise than its "
    "measured figures say, and walls. Fit it to your logbook first: trimkit fit flights."
)


def _alike(best: Outlook, other: Outlook) -> bool:
    return best.time_s.middle - other.time_s.middle < ALIKE * (best.time_s.high - best.time_s.low)


def plan_flights(
    aeroplane: Aeroplane,
    want: Want,
    motors: Sequence[rules.Motor] = (),
    fitted: FitRecord | None = None,
    progress: Progress | None = None,
) -> Plan:
    """Plan the flights of an aeroplane in a hall.

    Parameters
    ----------
    aeroplane : Aeroplane
        As set for the flight [-].
    want : Want
        The hall and what is wanted [-].
    motors : sequence of rules.Motor
        The stock; none for the aeroplane's own motor [-].
    fitted : FitRecord or None
        How well a fit knows the aeroplane [-].
    progress : callable or None
        Called with the number of each motor when it is begun [-].

    Returns
    -------
    Plan
        Every motor, the best first [-].
    """
    stock = motors or (own_motor(aeroplane),)
    found: list[Outlook] = []
    refused: list[Refusal] = []
    for motor in stock:
        if progress:
            progress(motor.number)
        loop = motor.rubber() if motors else aeroplane.setting.motor
        if loop is None:
            why = "its length or mass is not known; measure it and write loop_mm and mass_g"
            refused.append(Refusal(motor.number, why))
            continue
        trial = _Trial(aeroplane, want, motor, loop, fitted)
        try:
            found.append(trial.outlook())
        except ValueError as error:
            refused.append(Refusal(motor.number, str(error)))
    ordered = sorted(found, key=lambda one: -one.time_s.middle)
    if ordered:  # of those that nobody can tell apart, the one wound least
        near = [one for one in ordered if one is ordered[0] or _alike(ordered[0], one)]
        first = min(near, key=lambda one: (one.winds >= WORN_WINDS, -one.time_s.middle))
        ordered = [first, *(one for one in ordered if one is not first)]
    return Plan(
        aeroplane=aeroplane.name,
        want=want,
        outlooks=tuple(ordered),
        refused=tuple(refused),
        fitted=fitted is not None,
    )


def own_motor(aeroplane: Aeroplane) -> rules.Motor:
    """Make a stock's entry of the motor in an aeroplane file.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane [-].

    Returns
    -------
    rules.Motor
        With the number "own" [-].
    """
    loop = aeroplane.setting.motor
    return rules.Motor(number="own", mass_g=loop.mass_g, loop_mm=loop.loop_mm)


class _Trial:
    """One motor in the hall."""

    def __init__(
        self,
        aeroplane: Aeroplane,
        want: Want,
        motor: rules.Motor,
        loop: RubberMotor,
        fitted: FitRecord | None,
    ) -> None:
        self.want, self.motor, self.loop = want, motor, loop
        self.aeroplane = records.replace(aeroplane, motor=loop)
        self.speed_m_s = launch_speed_m_s(self.aeroplane)
        self.draws = self._draws(fitted)

    def _draws(self, fitted: FitRecord | None) -> Floats:
        """What nobody knows exactly, for each computed flight, in standard deviations."""
        chance = np.random.default_rng([self.want.seed, 3])
        normal = chance.standard_normal((self.want.flights, len(UNKNOWNS)))
        if fitted is None:
            found = np.zeros_like(normal)
        else:
            values, axes = np.linalg.eigh(fitted.covariance)
            found = (normal * np.sqrt(np.maximum(values, 0.0))) @ axes.T
            found *= self._few_flights(fitted, chance)
        error = self.motor.strength_error
        if error is None and fitted is None:
            error = MOTOR_SHARE
        if error is not None:
            found[:, -1] = normal[:, -1] * error / MOTOR_SHARE
        return np.asarray(found, dtype=np.float64)

    def _few_flights(self, fitted: FitRecord, chance: np.random.Generator) -> Floats:
        """Widen the draws for a scatter that is known from few flights: Student's t, not normal."""
        freedom = max(fitted.flights - 1, 1)
        square = chance.chisquare(freedom, (self.want.flights, 1)) / freedom
        return np.minimum(1 / np.sqrt(square), MOST_WIDER)

    def outlook(self) -> Outlook:
        want = self.want
        most = self._most_share()
        share, by_ceiling = self._share_under(want.height_m - want.free_m, most)
        outlook = self._flown(share, by_ceiling)
        for _ in range(MOST_LOWER):
            if outlook.touch_chance <= want.touch_chance:
                break
            share, by_ceiling = share * LOWER, True
            outlook = self._flown(share, by_ceiling)
        return outlook

    def _most_share(self) -> float:
        limit = self.loop.max_turns(self.want.temperature_c)
        read = self.motor.read_to_turns
        return MOST_SHARE if read is None else min(MOST_SHARE, math.floor(read) / limit)

    def _winding(self, share: float) -> WindingPlan:
        return winding_plan(
            self.loop,
            share=share,
            back_off=self.want.back_off,
            temperature_c=self.want.temperature_c,
        )

    def _job(self, aeroplane: Aeroplane, share: float, ceiling_m: float, seed: int) -> Job:
        winding = self._winding(share)
        still = seed < 0
        return Job(
            aeroplane=aeroplane,
            launch=Launch(
                turns=winding.turns_at_launch,
                backed_off=winding.backed_off,
                height_m=LAUNCH_M,
                speed_m_s=self.speed_m_s,
                scatter=0.0 if still else 1.0,
            ),
            hall=Hall(
                size_m=(FLOOR_M, FLOOR_M, ceiling_m),
                temperature_c=self.want.temperature_c,
                restless_m_s=0.0 if still else QUIET_HALL_M_S,
            ),
            seed=max(seed, 0),
            longest_s=LONGEST_S,
            step_s=COARSE_STEP_S,
        )

    def _share_under(self, height_m: float, most: float) -> tuple[float, bool]:
        """The largest share of the turns with which a flight in still air stays under a height."""
        if most < LEAST_SHARE:
            raise ValueError(
                f"its torque was read only to {self.motor.read_to_turns:g} turns; read it further"
            )

        def flown(share: float) -> Flight:
            return self._job(self.aeroplane, share, 100.0, -1).fly()

        best = flown(most)
        if best.duration_s < LEAST_FLIGHT_S:
            raise ValueError(
                f"{self.aeroplane.name} is down after {best.duration_s:.0f} s with "
                f"{self._winding(most).turns_at_launch} turns: it dives or stalls. Trim it at low "
                "power first"
            )
        if best.peak_height_m <= height_m:
            return most, False
        low, high = LEAST_SHARE, most
        for _ in range(TRIES):
            middle = (low + high) / 2
            under = flown(middle).peak_height_m <= height_m
            low, high = (middle, high) if under else (low, middle)
        return low, True

    def _flown(self, share: float, by_ceiling: bool) -> Outlook:
        want, winding = self.want, self._winding(share)
        seeds = range(want.flights)
        jobs = [
            self._job(moved(self.aeroplane, self.draws[n]), share, want.height_m, n + want.seed)
            for n in seeds
        ]
        flights = [one for one in fly_many(jobs, refused="keep") if isinstance(one, Flight)]
        if len(flights) < 0.8 * want.flights:
            raise ValueError("most computed flights cannot be followed; inspect the aeroplane")
        touched = [any("ceiling" in event.what for event in one.events) for one in flights]
        used = [winding.turns_at_launch - one.turns_at_landing for one in flights]
        held = "readings" if self._most_share() < MOST_SHARE else "breaking"
        return Outlook(
            number=self.motor.number,
            winding=winding,
            time_s=Spread.of([one.duration_s for one in flights]),
            height_m=Spread.of([one.peak_height_m for one in flights]),
            turns_left=Spread.of([max(one.turns_at_landing, 0.0) for one in flights]),
            revs_per_s=Spread.of(
                [turns / one.duration_s for turns, one in zip(used, flights, strict=True)]
            ),
            touch_chance=sum(touched) / len(flights),
            held_by="ceiling" if by_ceiling else held,
            winds=self.motor.winds,
            flights=len(flights),
        )
