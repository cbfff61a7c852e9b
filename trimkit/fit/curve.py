"""A motor's torque curve from readings of a torque meter, by least squares.

Two figures of the loop are fitted: its section, which sets where on the curve its turns lie, and
its strength, which multiplies the torque. The section is held near what balance and ruler say.
Readings on the way down also fit how much a dry or tired loop loses.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from trimkit import rules
from trimkit.fit.readings import TorqueReading
from trimkit.motor import RubberMotor
from trimkit.rules.card import BATCH_HIGH, BATCH_LOW
from trimkit.units import Floats

FEWEST = 5  # readings for a curve
METER_MNM, METER_SHARE = 0.05, 0.02  # what a reading may be wrong by; common practice, no source
WEIGHED, RULED = 0.02, 0.06  # how well the section is known from mass, or from a ruler; assumed
CONFIDENCE = 0.90
FAR = 4.0  # times the scatter: a reading so far off is named and left out
MOST_LEFT_OUT = 0.25  # of the readings; when more are far off, the curve is not believed
FEWEST_DOWN = 3
STRONGEST, WEAKEST = BATCH_HIGH, 0.6 * BATCH_LOW
LEAST_SCATTER = 0.1  # of the usual error: nobody reads a meter better
WIDEST = 1.3  # times the section that balance and ruler say, either way


class TooFewError(ValueError):
    """Not enough readings for a curve."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A figure with the interval that holds it with 90 %.

    Parameters
    ----------
    value, low, high : float
        Best figure and the two ends [in the figure's unit].
    """

    value: float
    low: float
    high: float

    def words(self, unit: str = "", digits: int = 2) -> str:
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
            Such as "3.40 mN m (3.31 to 3.49)" [-].
        """
        value, low, high = (f"{one:.{digits}f}" for one in (self.value, self.low, self.high))
        return f"{value}{' ' if unit else ''}{unit} ({low} to {high})"


@dataclass(frozen=True, slots=True, kw_only=True)
class MotorCurve:
    """The torque curve of one motor.

    Parameters
    ----------
    number : str
        Number on the bag [-].
    motor : RubberMotor
        The loop with the fitted figures [-].
    section_mm2, strength, lubrication : Interval
        What was fitted; lubrication is a point when nothing was read on the way down [mm², -, -].
    used, left_out : tuple of TorqueReading
        Readings that the curve follows, and those that are too far off [-].
    scatter : float
        Standard deviation of a reading over its usual error, 1 for as usual [-].
    covariance : tuple of tuple of float
        Of the logarithms of section and strength, and of lubrication [-].
    quantile : float
        Student's t for the intervals [-].
    """

    number: str
    motor: RubberMotor
    section_mm2: Interval
    strength: Interval
    lubrication: Interval
    used: tuple[TorqueReading, ...]
    left_out: tuple[TorqueReading, ...]
    scatter: float
    covariance: tuple[tuple[float, ...], ...]
    quantile: float

    @property
    def from_turns(self) -> float:
        """Fewest turns at which the meter was read [turns]."""
        return min(one.turns for one in self.used)

    @property
    def to_turns(self) -> float:
        """Most turns at which the meter was read [turns]."""
        return max(one.turns for one in self.used)

    @property
    def strength_error(self) -> float:
        """Standard error of the strength, as a share of it [-]."""
        return math.sqrt(self.covariance[1][1])

    def torque_mNm(
        self, turns: float, wound: float | None = None, temperature_c: float = 22.0
    ) -> Interval:
        """Read the curve, within the turns at which the meter was read.

        Parameters
        ----------
        turns : float
            Turns on the motor [turns].
        wound : float or None
            Most turns that were on it; None while winding [turns].
        temperature_c : float
            Temperature, 0 to 40 [°C].

        Returns
        -------
        Interval
            Torque with 90 % [mN m].

        Raises
        ------
        ValueError
            When it lies outside the turns that were read.
        """
        most = turns if wound is None else wound
        if not self.from_turns <= turns <= most <= self.to_turns:
            raise ValueError(
                f"motor {self.number}: {turns:g} of {most:g} turns is asked for; the meter was "
                f"read from {self.from_turns:g} to {self.to_turns:g} turns, and beyond that "
                "nothing is known. Take readings there first"
            )
        at = TorqueReading(0, self.number, turns, 1.0, most, temperature_c)
        middle = np.array([0.0, 0.0, self.lubrication.value])
        torque = float(_torques(self.motor, middle, (at,))[0])
        slope = _slopes(self.motor, middle, (at,))[0] / torque
        reach = self.quantile * math.sqrt(max(slope @ np.array(self.covariance) @ slope, 0.0))
        return Interval(torque, torque * math.exp(-reach), torque * math.exp(reach))

    def words(self) -> str:
        """Say the curve.

        Returns
        -------
        str
            A few sentences, with the readings that were left out [-].
        """
        told = [
            f"Motor {self.number}: {len(self.used)} readings from {self.from_turns:g} to "
            f"{self.to_turns:g} turns. Torque {self.strength.words()} times that of usual rubber; "
            f"section {self.section_mm2.words('mm²')}; at {self.to_turns:g} turns "
            f"{self.torque_mNm(self.to_turns).words('mN m')}. The brackets hold the true figure "
            "nine times in ten. Beyond the turns that were read it says nothing."
        ]
        told += [
            f"Left out, too far from the others: {one.words()}; the curve has "
            f"{self._at(one):.2f}. Read it again."
            for one in self.left_out
        ]
        if self.scatter > 2:
            told.append(
                f"The readings scatter {self.scatter:.1f} times as much as usual: is the meter "
                "touching something, or were two motors mixed up?"
            )
        return "\n".join(told)

    def _at(self, reading: TorqueReading) -> float:
        middle = np.array([0.0, 0.0, self.lubrication.value])
        return float(_torques(self.motor, middle, (reading,))[0])

    def in_stock(self, motor: rules.Motor) -> rules.Motor:
        """Put the fitted figures into a motor of the list.

        Parameters
        ----------
        motor : rules.Motor
            The motor in its bag [-].

        Returns
        -------
        rules.Motor
            With section, strength and the turns that were read [-].
        """
        return replace(
            motor,
            section_mm2=self.section_mm2.value,
            strength=self.strength.value,
            strength_error=self.strength_error,
            lubrication=self.lubrication.value,
            read_from_turns=self.from_turns,
            read_to_turns=self.to_turns,
        )

    def as_data(self) -> dict[str, Any]:
        """Give the same as plain data.

        Returns
        -------
        dict
            Figures with their intervals, lines used and left out [-].
        """
        return {
            "motor": self.number,
            "section_mm2": asdict(self.section_mm2),
            "strength": asdict(self.strength),
            "lubrication": asdict(self.lubrication),
            "from_turns": self.from_turns,
            "to_turns": self.to_turns,
            "torque_at_most_turns_mNm": asdict(self.torque_mNm(self.to_turns)),
            "scatter": round(self.scatter, 3),
            "readings": len(self.used),
            "left_out": [asdict(one) for one in self.left_out],
        }


def fit_curve(
    readings: Sequence[TorqueReading], loop: RubberMotor, weighed: bool = True
) -> MotorCurve:
    """Fit the curve of one motor.

    Parameters
    ----------
    readings : sequence of TorqueReading
        Of one motor, five or more [-].
    loop : RubberMotor
        The loop as balance and ruler have it [-].
    weighed : bool
        Whether its section comes from a balance [-].

    Returns
    -------
    MotorCurve
        The curve, with intervals and the readings that were left out [-].

    Raises
    ------
    TooFewError
        When there are fewer than five readings.
    ValueError
        When the readings do not fit the loop, or too many are far off.
    """
    if len(readings) < FEWEST:
        number = readings[0].motor if readings else "?"
        raise TooFewError(
            f"motor {number} has {len(readings)} readings; allowed is {FEWEST} or more, spread "
            "from few turns to many. Take more readings"
        )
    _check_turns(readings, loop)
    problem = _Problem(loop, WEIGHED if weighed else RULED)
    start = problem.solved(readings, gentle=True)
    misses = np.abs(problem.misses(start, readings))
    limit = FAR * max(float(np.median(misses)) * 1.4826, 0.5)
    used = tuple(one for one, miss in zip(readings, misses, strict=True) if miss <= limit)
    out = tuple(one for one in readings if one not in used)
    if len(out) > MOST_LEFT_OUT * len(readings) or len(used) < FEWEST:
        listed = "; ".join(one.words() for one in out[:6])
        raise ValueError(
            f"motor {readings[0].motor}: {len(out)} of {len(readings)} readings lie far from any "
            f"one curve ({listed}), and the others are too few. Was a meter or a line misread, "
            "were two motors mixed up, or is the torque in another unit? Read those again"
        )
    return problem.curve(used, out, start)


def _check_turns(readings: Sequence[TorqueReading], loop: RubberMotor) -> None:
    most = max(one.turns for one in readings)
    if most > loop.limit_turns * WIDEST ** (1 / 2):
        raise ValueError(
            f"motor {readings[0].motor}: {most:g} turns were read, and a loop of "
            f"{loop.loop_mm:.0f} mm and {loop.mass_g:.2f} g breaks near {loop.limit_turns:.0f}; "
            "is its length or mass mistyped, or is it another motor?"
        )


def _torques(loop: RubberMotor, unknown: Floats, readings: Sequence[TorqueReading]) -> Floats:
    """Torque at each reading, for the logarithms of section and strength, and lubrication."""
    grown = math.exp(float(unknown[0]) / 2)
    sized = replace(
        loop,
        strip_width_mm=loop.strip_width_mm * grown,
        strip_thickness_mm=loop.strip_thickness_mm * grown,
        lubrication=min(max(float(unknown[2]), 0.0), 1.0),
    )
    found = [
        sized.unwinding_torque_mNm(
            min(one.turns, sized.limit_turns), min(one.wound, sized.limit_turns), one.temperature_c
        )
        for one in readings
    ]
    return np.array(found) * math.exp(float(unknown[1]))


def _slopes(loop: RubberMotor, unknown: Floats, readings: Sequence[TorqueReading]) -> Floats:
    columns = []
    for place, step in enumerate((0.01, 0.01, 0.02)):
        high, low = unknown.copy(), unknown.copy()
        high[place] += step
        low[place] -= step
        if place == 2:
            high, low = np.clip(high, None, [9, 9, 1]), np.clip(low, [-9, -9, 0], None)
        change = _torques(loop, high, readings) - _torques(loop, low, readings)
        columns.append(change / (high[place] - low[place]))
    return np.stack(columns, axis=1)


class _Problem:
    """Least squares for one loop. The unknowns are logarithms, but for lubrication."""

    def __init__(self, loop: RubberMotor, section_error: float) -> None:
        self.loop = replace(loop, batch_strength=1.0, freshness=1.0)
        self.section_error = section_error
        first = math.log(loop.batch_strength * loop.freshness)
        self.first = np.array([0.0, first, loop.lubrication])

    def misses(self, unknown: Floats, readings: Sequence[TorqueReading]) -> Floats:
        read = np.array([one.torque_mNm for one in readings])
        error = np.hypot(METER_MNM, METER_SHARE * read)
        return np.asarray((_torques(self.loop, unknown, readings) - read) / error)

    def free(self, readings: Sequence[TorqueReading]) -> int:
        return 3 if sum(not one.up for one in readings) >= FEWEST_DOWN else 2

    def solved(self, readings: Sequence[TorqueReading], gentle: bool) -> Floats:
        from scipy.optimize import least_squares

        count = self.free(readings)
        high = np.array([math.log(WIDEST), math.log(STRONGEST), 1.0])[:count]
        low = np.array([-math.log(WIDEST), math.log(WEAKEST), 0.0])[:count]

        def left(part: Floats) -> Floats:
            whole = self.whole(part)
            return np.append(self.misses(whole, readings), whole[0] / self.section_error)

        loss = "soft_l1" if gentle else "linear"
        begin = np.clip(self.first[:count], low + 1e-3, high - 1e-3)
        return self.whole(least_squares(left, begin, bounds=(low, high), loss=loss).x)

    def whole(self, part: Floats) -> Floats:
        return np.concatenate([part, self.first[len(part) :]])

    def curve(
        self, used: Sequence[TorqueReading], out: Sequence[TorqueReading], start: Floats
    ) -> MotorCurve:
        from scipy.special import stdtrit

        best = self.solved(used, gentle=False)
        count = self.free(used)
        read = np.array([one.torque_mNm for one in used])
        slopes = _slopes(self.loop, best, used)[:, :count]
        slopes /= np.hypot(METER_MNM, METER_SHARE * read)[:, None]
        freedom = max(len(used) - count + 1, 1)  # what is known of the section counts as one
        tied = best[0] / self.section_error
        squares = float(np.sum(self.misses(best, used) ** 2)) + tied**2
        scatter = max(math.sqrt(squares / freedom), LEAST_SCATTER)
        inverse = slopes.T @ slopes / scatter**2
        inverse[0, 0] += 1 / self.section_error**2
        covariance = np.zeros((3, 3))
        covariance[:count, :count] = np.linalg.inv(inverse)
        quantile = float(stdtrit(freedom, (1 + CONFIDENCE) / 2))
        reach = quantile * np.sqrt(np.diag(covariance))
        section = self.loop.section_mm2
        lubrication = Interval(best[2], max(best[2] - reach[2], 0.0), min(best[2] + reach[2], 1.0))
        return MotorCurve(
            number=used[0].motor,
            motor=self._fitted(best),
            section_mm2=_spread(section, best[0], reach[0]),
            strength=_spread(1.0, best[1], reach[1]),
            lubrication=lubrication,
            used=tuple(used),
            left_out=tuple(out),
            scatter=scatter,
            covariance=tuple(tuple(float(one) for one in row) for row in covariance),
            quantile=quantile,
        )

    def _fitted(self, best: Floats) -> RubberMotor:
        grown, strength = math.exp(best[0] / 2), math.exp(best[1])
        batch = min(max(strength, BATCH_LOW), BATCH_HIGH)
        sized = replace(
            self.loop,
            strip_width_mm=self.loop.strip_width_mm * grown,
            strip_thickness_mm=self.loop.strip_thickness_mm * grown,
            batch_strength=batch,
            freshness=min(strength / batch, 1.0),
            lubrication=float(best[2]),
        )
        density = self.loop.density_g_cm3 * self.loop.mass_g / sized.mass_g
        return replace(sized, density_g_cm3=min(max(density, 0.85), 1.05))


def _spread(unit: float, middle: float, reach: float) -> Interval:
    return Interval(
        unit * math.exp(middle), unit * math.exp(middle - reach), unit * math.exp(middle + reach)
    )
