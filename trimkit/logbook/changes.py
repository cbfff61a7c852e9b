"""One change at a time, and what each change did, with the scatter of the flights."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from trimkit.log import MOVED
from trimkit.logbook.record import FlightRow, Logbook
from trimkit.settings import SETTINGS

# What counts as the same; assumed. Two readings of a torque meter, each ±5 %, differ by 7 %.
SAME_TURNS, SAME_TORQUE, SAME_C = 0.03, 0.10, 3.0


@dataclass(frozen=True, slots=True)
class Step:
    """Two following flights of one aeroplane on one evening, and in what they differ.

    Parameters
    ----------
    before, after : FlightRow
        The flights [-].
    changed : tuple of str
        What differs, in words; "" for none [-].
    """

    before: FlightRow
    after: FlightRow
    changed: tuple[str, ...]

    def words(self) -> str:
        """Say whether the pair answers a question.

        Returns
        -------
        str
            One sentence [-].
        """
        head = f"{self.after.date}, line {self.before.line} to {self.after.line}: "
        if not self.changed:
            return f"{head}nothing changed, a repeat"
        if len(self.changed) == 1:
            return f"{head}one change, {self.changed[0]}"
        listed = ", ".join(self.changed)
        return f"{head}{len(self.changed)} changes at once ({listed}): nobody can tell which did it"


def steps(logbook: Logbook) -> tuple[Step, ...]:
    """Compare each flight with the one before of the same aeroplane and evening.

    Parameters
    ----------
    logbook : Logbook
        The logbook [-].

    Returns
    -------
    tuple of Step
        In the order of the flights [-].
    """
    found = []
    for group in _by_evening(logbook):
        found += [Step(a, b, differences(a, b)) for a, b in pairwise(group)]
    return tuple(found)


def differences(before: FlightRow, after: FlightRow) -> tuple[str, ...]:
    """Say in what the set-up of two flights differs; what is not written down counts as the same.

    Turns within 3 %, torque within 10 % and temperatures within 3 °C are the same. Where both
    flights have a launch torque it decides, not the turns or the motor: torque travels, turns do
    not.

    Parameters
    ----------
    before, after : FlightRow
        The flights [-].

    Returns
    -------
    tuple of str
        What differs, in words [-].
    """
    names = [n for n in MOVED if before.setting.get(n, 0.0) != after.setting.get(n, 0.0)]
    told = [
        f"{SETTINGS[n].title} {_signed(before.setting.get(n, 0.0))} to "
        f"{_signed(after.setting.get(n, 0.0))} {SETTINGS[n].unit}"
        for n in names
    ]
    torques = before.launch_torque_mNm and after.launch_torque_mNm
    told += _power_differs(before, after)
    for what, a, b in (
        ("motor", "" if torques else before.motor, "" if torques else after.motor),
        ("launcher", before.launcher, after.launcher),
        ("hall", before.hall, after.hall),
    ):
        told += [f"{what} {a} to {b}"] if a and b and a != b else []
    cold = (before.temperature_c, after.temperature_c)
    if cold[0] is not None and cold[1] is not None and abs(cold[1] - cold[0]) > SAME_C:
        told.append(f"temperature {cold[0]:g} to {cold[1]:g} °C")
    return tuple(told)


def _signed(amount: float) -> str:
    return f"{amount:+g}" if amount else "0"


def _power_differs(before: FlightRow, after: FlightRow) -> list[str]:
    for what, a, b, same in (
        ("launch torque", before.launch_torque_mNm, after.launch_torque_mNm, SAME_TORQUE),
        ("turns at the launch", before.launch_turns, after.launch_turns, SAME_TURNS),
    ):
        if a and b:
            return [f"{what} {a:g} to {b:g}"] if abs(math.log(b / a)) > same else []
    return []


def _by_evening(logbook: Logbook) -> Iterator[list[FlightRow]]:
    """Flights of one aeroplane on one day, in the order of the file."""
    groups: dict[tuple[datetime.date, str], list[FlightRow]] = {}
    for flight in logbook.flights:
        groups.setdefault((flight.date, flight.aeroplane), []).append(flight)
    for key in sorted(groups, key=lambda one: one[0]):
        yield groups[key]


# --- what each change did ---------------------------------------------------------------------

CLAIM, FEW, ENOUGH = 0.10, 2, 3  # under 10 % three repeats on each side; common practice
SURE = 0.95


@dataclass(frozen=True, slots=True)
class Effect:
    """What one change did to the time of the flights, with its scatter.

    Parameters
    ----------
    date : datetime.date
        The evening [-].
    aeroplane : str
        Which [-].
    change : str
        What was changed, in words [-].
    before_s, after_s : tuple of float
        Times on both sides of the change, flights that hit something left out [s].
    share : float
        Time after over time before, minus 1; of the geometric means [-].
    low, high : float
        Interval that holds the share with 95 %, nan without any repeats [-].
    left_out : int
        Flights that hit something [-].
    """

    date: datetime.date
    aeroplane: str
    change: str
    before_s: tuple[float, ...]
    after_s: tuple[float, ...]
    share: float
    low: float
    high: float
    left_out: int = 0

    @property
    def verdict(self) -> str:
        """ "longer", "shorter" or "cannot tell yet" [-]."""
        if self._too_few or not (self.low > 0 or self.high < 0):
            return "cannot tell yet"
        return "longer" if self.share > 0 else "shorter"

    def words(self) -> str:
        """Say what the change did, and how sure that is.

        Returns
        -------
        str
            Two or three sentences [-].
        """
        means = [_geometric(times) for times in (self.before_s, self.after_s)]
        counts = f"{len(self.before_s)} and {len(self.after_s)} flights"
        head = f"{self.date}, {self.aeroplane or 'the aeroplane'}, {self.change}: "
        body = f"{means[0]:.1f} s before, {means[1]:.1f} s after ({counts}), {self.share:+.0%}"
        if not math.isnan(self.low):
            body += f", between {self.low:+.0%} and {self.high:+.0%} with 95 %"
        hits = f" Not counted, as it hit something: {self.left_out}." if self.left_out else ""
        return f"{head}{body}. {self._judged()}{hits}"

    @property
    def _wanted(self) -> int:
        return ENOUGH if abs(self.share) < CLAIM else FEW

    @property
    def _too_few(self) -> bool:
        return min(len(self.before_s), len(self.after_s)) < self._wanted

    def _judged(self) -> str:
        if self.verdict != "cannot tell yet":
            return f"The flights became {self.verdict}."
        if self._too_few:
            return f"Cannot tell yet: fly each setting at least {self._wanted} times."
        return "Cannot tell yet: the flights scatter as much. Fly both again."


def effects(logbook: Logbook) -> tuple[Effect, ...]:
    """Work out what each single change did to the time.

    Flights of one evening with the same set-up go together. The scatter is that of repeats, as
    a share of the time, from all evenings of the aeroplane; the interval is Student's t for a
    difference of means of the logarithms. Only set-ups that followed each other and differ in one
    thing are compared.

    Parameters
    ----------
    logbook : Logbook
        The logbook [-].

    Returns
    -------
    tuple of Effect
        In the order in which the changes were made [-].
    """
    found: list[Effect] = []
    scatters = {name: scatter(logbook, name) for name in logbook.aeroplanes}
    for group in _by_evening(logbook):
        blocks = set_ups(group)
        done: set[tuple[int, int]] = set()
        for a, b in pairwise(group):
            ends = (_block_of(blocks, a), _block_of(blocks, b))
            changed = differences(blocks[ends[0]][0], blocks[ends[1]][0])
            if len(changed) != 1 or ends in done or ends[::-1] in done:
                continue
            done.add(ends)
            effect = _effect(blocks[ends[0]], blocks[ends[1]], changed[0], scatters[a.aeroplane])
            found += [effect] if effect else []
    return tuple(found)


def set_ups(flights: Sequence[FlightRow]) -> list[list[FlightRow]]:
    """Put flights with the same set-up together, whatever was flown between them.

    Parameters
    ----------
    flights : sequence of FlightRow
        Flights of one aeroplane on one evening, in order [-].

    Returns
    -------
    list of list of FlightRow
        A list for each set-up, in the order of their first flights [-].
    """
    blocks: list[list[FlightRow]] = []
    for flight in flights:
        same = next((block for block in blocks if not differences(block[0], flight)), None)
        if same is None:
            blocks.append([flight])
        else:
            same.append(flight)
    return blocks


def _block_of(blocks: Sequence[Sequence[FlightRow]], flight: FlightRow) -> int:
    return next(n for n, block in enumerate(blocks) if any(one is flight for one in block))


def _times(block: Sequence[FlightRow]) -> tuple[float, ...]:
    return tuple(flight.time_s for flight in block if flight.time_s and not flight.hits)


@dataclass(frozen=True, slots=True)
class Scatter:
    """How much repeats of one aeroplane differ.

    Parameters
    ----------
    share : float
        Standard deviation of a time as a share of it, nan without repeats [-].
    freedom : int
        Repeats behind it: flights less set-ups [-].
    """

    share: float
    freedom: int


def scatter(logbook: Logbook, aeroplane: str) -> Scatter:
    """Pool the scatter of repeats over all evenings of an aeroplane.

    Parameters
    ----------
    logbook : Logbook
        The logbook [-].
    aeroplane : str
        Its name [-].

    Returns
    -------
    Scatter
        Of the logarithm of the time, which is a share of the time [-].
    """
    squares, freedom = 0.0, 0
    for group in _by_evening(logbook):
        if group[0].aeroplane != aeroplane:
            continue
        for block in set_ups(group):
            logs = [math.log(time) for time in _times(block)]
            mean = math.fsum(logs) / len(logs) if logs else 0.0
            squares += math.fsum((one - mean) ** 2 for one in logs)
            freedom += max(len(logs) - 1, 0)
    return Scatter(math.sqrt(squares / freedom) if freedom else math.nan, freedom)


def _effect(
    before: Sequence[FlightRow], after: Sequence[FlightRow], change: str, spread: Scatter
) -> Effect | None:
    times = (_times(before), _times(after))
    if not (times[0] and times[1]):
        return None
    logs = math.log(_geometric(times[1]) / _geometric(times[0]))
    reach = math.nan
    if spread.freedom:
        error = spread.share * math.sqrt(1 / len(times[0]) + 1 / len(times[1]))
        reach = error * _t_quantile(spread.freedom)
    all_flown = [flight for flight in (*before, *after) if flight.time_s]
    return Effect(
        date=before[0].date,
        aeroplane=before[0].aeroplane,
        change=change,
        before_s=times[0],
        after_s=times[1],
        share=math.expm1(logs),
        low=math.expm1(logs - reach),
        high=math.expm1(logs + reach),
        left_out=len(all_flown) - len(times[0]) - len(times[1]),
    )


def _geometric(times: Sequence[float]) -> float:
    return math.exp(math.fsum(math.log(time) for time in times) / len(times))


def _t_quantile(freedom: int) -> float:
    """Student's t for a 95 % interval, both sides."""
    from scipy.special import stdtrit

    return float(stdtrit(freedom, (1 + SURE) / 2))
