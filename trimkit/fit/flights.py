"""An aeroplane's lift, drag and propeller from its logbook, by least squares.

Five figures that ruler and balance leave open are changed until computed flights show what the
logbook says: the tail's angle as it flies (which sets the lift that the wing flies at), the drag
of what nobody drew, the drag of the blades, the bend of the fin, and the torque of the rubber.
Each is held near what was measured, as far as that may be off, so that a figure of which the
flights say nothing stays where it was, and is said to.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.fit.curve import CONFIDENCE, Interval, TooFewError
from trimkit.fit.evidence import SIGNS, Evidence, read_off
from trimkit.fit.level import LevelFlight, level_flight
from trimkit.fit.unknowns import MOTOR_SHARE, NAMES, UNKNOWNS, moved
from trimkit.logbook import FlightRow
from trimkit.units import Floats

FEWEST_FLIGHTS = 3
STEP = 0.25  # of the central differences, in standard deviations
FARTHEST = 3.5  # standard deviations that a figure may move
FAR = 4.0  # standard deviations: a flight so far off is named and left out
MOST_LEFT_OUT = 1 / 3
MOST_ROUNDS = 8
LOST = 25.0  # what counts where nothing was flown, in standard deviations
TOLD = 0.8  # an error that shrank to less than this share of the measured one was told by flights

Progress = Callable[[int, float], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedFigure:
    """One figure of the aeroplane before and after.

    Parameters
    ----------
    name, title, unit : str
        What it is [-].
    measured : float
        As ruler and balance had it [in the unit].
    fitted : Interval
        As the flights have it [in the unit].
    told : bool
        Whether the flights told it; otherwise it is still the measured one [-].
    digits : int
        Places behind the point [-].
    """

    name: str
    title: str
    unit: str
    measured: float
    fitted: Interval
    told: bool
    digits: int = 2

    def words(self) -> str:
        """Say it.

        Returns
        -------
        str
            One line [-].
        """
        before = f"{self.measured:.{self.digits}f}"
        line = f"{self.title}: {self.fitted.words(self.unit, self.digits)}, measured {before}"
        return line if self.told else f"{line}; the flights say little about it"


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedAeroplane:
    """An aeroplane that flies as its logbook says.

    Parameters
    ----------
    aeroplane : Aeroplane
        With the fitted figures, at its marks [-].
    before : Aeroplane
        As it was measured [-].
    figures : tuple of FittedFigure
        What was changed [-].
    level : tuple of (str, Interval)
        Lift, drag and propeller in level flight; empty when it has none [-].
    covariance : tuple of tuple of float
        Of the five figures, in standard deviations of what was measured [-].
    used, left_out : tuple of FlightRow
        Flights that count, and those too far off [-].
    remarks : tuple of str
        Why flights do not count [-].
    scatter : float
        Scatter of the flights over the usual, 1 for as usual [-].
    """

    aeroplane: Aeroplane
    before: Aeroplane
    figures: tuple[FittedFigure, ...]
    level: tuple[tuple[str, Interval], ...]
    covariance: tuple[tuple[float, ...], ...]
    used: tuple[FlightRow, ...]
    left_out: tuple[FlightRow, ...]
    remarks: tuple[str, ...]
    scatter: float

    def words(self) -> str:
        """Say the result.

        Returns
        -------
        str
            Figures with their intervals, then the flights that do not count [-].
        """
        lines = [
            f"{self.before.name}, from {len(self.used)} flights. The brackets hold the true figure "
            "nine times in ten, if the aeroplane was as written down."
        ]
        lines += [f"- {one.words()}" for one in self.figures]
        lines += ["In level flight:"] if self.level else []
        lines += [f"- {what}: {one.words()}" for what, one in self.level]
        lines += [f"Not counted: {one}" for one in self.remarks]
        if self.scatter > 2:
            lines.append(
                f"The flights scatter {self.scatter:.1f} times as much as usual; was something "
                "changed that is not in the logbook?"
            )
        return "\n".join(lines)

    def as_data(self) -> dict[str, Any]:
        """Give the same as plain data.

        Returns
        -------
        dict
            Figures, level flight, lines used and left out [-].
        """
        return {
            "aeroplane": self.before.name,
            "flights": len(self.used),
            "figures": [asdict(one) for one in self.figures],
            "level": {what: asdict(one) for what, one in self.level},
            "left_out_lines": [one.line for one in self.left_out],
            "remarks": list(self.remarks),
            "scatter": round(self.scatter, 3),
        }


def fit_flights(
    evidence: Evidence,
    aeroplane: Aeroplane,
    remarks: Sequence[str] = (),
    motor_error: float | None = None,
    progress: Progress | None = None,
) -> FittedAeroplane:
    """Fit an aeroplane to its flights.

    Parameters
    ----------
    evidence : Evidence
        From `gather` [-].
    aeroplane : Aeroplane
        As measured, at its marks [-].
    remarks : sequence of str
        Why other flights were left out already [-].
    motor_error : float or None
        How well the torque of the rubber is known, as a share; None for an unread motor [-].
    progress : callable or None
        Called with the round and the misfit in it [-].

    Returns
    -------
    FittedAeroplane
        The aeroplane, figures with intervals, and what was left out [-].

    Raises
    ------
    TooFewError
        When fewer than three flights count.
    ValueError
        When most flights are far from anything this aeroplane can do.
    """
    _check_enough(evidence, remarks)
    problem = _Problem(evidence, aeroplane, motor_error, progress)
    best = problem.solved()
    out = problem.far_off(best)
    if out:
        if len(out) > MOST_LEFT_OUT * len(evidence.flights):
            lines = ", ".join(str(row.line) for row, _ in out)
            raise ValueError(
                f"{len(out)} of {len(evidence.flights)} flights (lines {lines}) are far from what "
                f"{aeroplane.name} can do as measured; is it the right aeroplane file, and are its "
                "mass, propeller and motor as they flew?"
            )
        kept = evidence.without([row for row, _ in out])
        told = [*remarks, *(words for _, words in out)]
        _check_enough(kept, told)
        problem, remarks = _Problem(kept, aeroplane, motor_error, progress), told
        best = problem.solved(best)
    return problem.fitted(best, tuple(row for row, _ in out), tuple(remarks))


def _check_enough(evidence: Evidence, remarks: Sequence[str]) -> None:
    count = len(evidence.flights)
    if count < FEWEST_FLIGHTS:
        listed = "".join(f"\n- {one}" for one in remarks[:20])
        raise TooFewError(
            f"{count} flights can be used; allowed is {FEWEST_FLIGHTS} or more, at two powers if "
            f"you can. Fly and write down turns, turns left, time and laps.{listed}"
        )


class _Problem:
    """Least squares for one aeroplane, in standard deviations of what was measured."""

    def __init__(
        self,
        evidence: Evidence,
        aeroplane: Aeroplane,
        motor_error: float | None,
        progress: Progress | None,
    ) -> None:
        self.evidence, self.aeroplane = evidence, aeroplane
        self.progress, self.motor_error = progress, motor_error
        self.known = np.ones(len(UNKNOWNS))
        if motor_error is not None:
            self.known[-1] = max(motor_error, 0.01) / MOTOR_SHARE
        self.read = np.full((len(evidence.set_ups), len(SIGNS)), np.nan)
        self.error = np.full_like(self.read, np.inf)
        for place, rows in enumerate(evidence.rows):
            self._pool(place, rows)
        self.rounds = 0

    def _pool(self, place: int, rows: Sequence[FlightRow]) -> None:
        """Repeats together: the weighted mean of each sign, and its error."""
        told = [read_off(row) for row in rows]
        for column, sign in enumerate(SIGNS):
            pairs = [one[sign] for one in told if sign in one]
            if not pairs:
                continue
            weights = np.array([1 / error**2 for _, error in pairs])
            values = np.array([value for value, _ in pairs])
            self.read[place, column] = float(weights @ values / weights.sum())
            self.error[place, column] = float(weights.sum() ** -0.5)

    def figures(self, amounts: Sequence[Floats]) -> Floats:
        """(amounts, set-ups, signs) of computed flights, logarithms."""
        aeroplanes = [moved(self.aeroplane, one) for one in amounts]
        shares = [math.exp(MOTOR_SHARE * float(one[-1])) for one in amounts]
        return self.evidence.figures(aeroplanes, shares)

    def left(self, figures: Floats, amounts: Floats) -> Floats:
        """What is left over: each sign of each set-up, then what was measured."""
        seen = np.isfinite(self.read)
        off = ((figures - self.read) / self.error)[seen]
        return np.concatenate([np.where(np.isfinite(off), off, LOST), amounts / self.known])

    def slopes(self, amounts: Floats) -> Floats:
        steps = np.eye(len(UNKNOWNS)) * STEP
        found = self.figures(
            [amounts + step for step in steps] + [amounts - step for step in steps]
        )
        seen, count = np.isfinite(self.read), len(UNKNOWNS)
        columns = []
        for place in range(count):
            change = (found[place] - found[count + place]) / (2 * STEP) / self.error
            columns.append(np.nan_to_num(change[seen], nan=0.0, posinf=0.0, neginf=0.0))
        return np.vstack([np.stack(columns, axis=1), np.diag(1 / self.known)])

    def solved(self, begin: Floats | None = None) -> Floats:
        from scipy.optimize import least_squares

        start = np.zeros(len(UNKNOWNS)) if begin is None else begin

        def missed(amounts: Floats) -> Floats:
            off = self.left(self.figures([amounts])[0], amounts)
            self.rounds += 1
            if self.progress:
                self.progress(self.rounds, float(off @ off))
            return off

        found = least_squares(
            missed, start, jac=self.slopes, bounds=(-FARTHEST, FARTHEST), max_nfev=MOST_ROUNDS,
            ftol=1e-2, xtol=1e-2, gtol=1e-3, loss="soft_l1", f_scale=2.0,
        )  # fmt: skip
        return np.asarray(found.x)

    def far_off(self, best: Floats) -> list[tuple[FlightRow, str]]:
        """Flights far from the computed ones, with the sign that is farthest off."""
        found = self.figures([best])[0]
        out = []
        for figures, rows in zip(found, self.evidence.rows, strict=True):
            for row in rows:
                worst = max(_misses(row, figures), default=(0.0, ""))
                if worst[0] > FAR:
                    out.append((row, worst[1]))
        return out

    def fitted(
        self, best: Floats, left_out: tuple[FlightRow, ...], remarks: tuple[str, ...]
    ) -> FittedAeroplane:
        from scipy.special import stdtrit

        slopes = self.slopes(best)
        off = self.left(self.figures([best])[0], best)
        seen = len(off) - len(UNKNOWNS)
        scatter = math.sqrt(float(off @ off) / max(seen, 1))
        covariance = np.asarray(np.linalg.inv(slopes.T @ slopes) * max(scatter, 1.0) ** 2, float)
        freedom = len(self.evidence.flights) - 1  # the signs of one flight hang together
        quantile = float(stdtrit(freedom, (1 + CONFIDENCE) / 2))
        error = np.sqrt(np.diag(covariance))
        reach = quantile * error
        made = moved(self.aeroplane, best)
        return FittedAeroplane(
            aeroplane=replace(made, note=self._note()),
            before=self.aeroplane,
            figures=tuple(
                self._figure(place, best, reach, float(error[place]))
                for place in range(len(UNKNOWNS))
            ),
            level=_level(made, covariance, quantile),
            covariance=tuple(tuple(float(one) for one in row) for row in covariance),
            used=self.evidence.flights,
            left_out=left_out,
            remarks=remarks,
            scatter=scatter,
        )

    def _figure(self, place: int, best: Floats, reach: Floats, error: float) -> FittedFigure:
        one = UNKNOWNS[place]
        alone = np.eye(len(UNKNOWNS))[place]

        def at(amount: float) -> float:
            return one.value_of(moved(self.aeroplane, amount * alone))

        ends = sorted((at(best[place] - reach[place]), at(best[place] + reach[place])))
        return FittedFigure(
            name=one.name, title=one.title, unit=one.unit, digits=one.digits,
            measured=one.value_of(self.aeroplane),
            fitted=Interval(at(best[place]), ends[0], ends[1]),
            told=error < TOLD * float(self.known[place]),
        )  # fmt: skip

    def _note(self) -> str:
        count = len(self.evidence.flights)
        days = sorted({row.date for row in self.evidence.flights})
        span = f"{days[0]}" if days[0] == days[-1] else f"{days[0]} to {days[-1]}"
        before = self.aeroplane.note.split(" Fitted to ")[0]
        return f"{before} Fitted to {count} flights, {span}.".strip()


def _misses(row: FlightRow, figures: Floats) -> list[tuple[float, str]]:
    found = []
    for sign, (value, error) in read_off(row).items():
        column = list(SIGNS).index(sign)
        title, unit = SIGNS[sign]
        there, here = math.exp(figures[column]), math.exp(value)
        miss = abs(figures[column] - value) / error
        words = (
            f"line {row.line}, {row.date}: {title} {here:.3g} {unit}, and a computed flight with "
            f"the fitted figures has {there:.3g} {unit}: too far off. "
        )
        words += (
            "Was the motor swapped, or the number on its bag mistyped?"
            if sign == "torque"
            else "Did it touch something, or was it set or wound otherwise than written?"
        )
        found.append((float(miss) if math.isfinite(miss) else LOST, words))
    return found


def _level(
    made: Aeroplane, covariance: Floats, quantile: float
) -> tuple[tuple[str, Interval], ...]:
    """Lift, drag and propeller in level flight, with errors carried over from the figures."""
    try:
        middle = level_flight(made)
        values = np.array([middle.values])
        slopes = []
        for place in range(len(NAMES)):
            step = np.eye(len(NAMES))[place] * STEP
            ends: list[LevelFlight] = [level_flight(moved(made, sign * step)) for sign in (1, -1)]
            slopes.append((np.array(ends[0].values) - np.array(ends[1].values)) / (2 * STEP))
    except ValueError:
        return ()
    steep = np.array(slopes)
    reach = quantile * np.sqrt(np.einsum("ki,kl,li->i", steep, covariance, steep))
    return tuple(
        (title, Interval(float(value), float(value - far), float(value + far)))
        for title, value, far in zip(LevelFlight.TITLES, values[0], reach, strict=True)
    )
