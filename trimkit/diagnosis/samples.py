"""The flights of the library, as drawn: aeroplanes with faults, as hands build and fly them.

Every number is drawn from the seed and the count of the pair alone, so neither the workers nor a
stop and a new start change a result. Each aeroplane flies twice: the second flight is an unchanged
repeat, or at other turns, or with another change of settings. Each has errors of building of its
own that nobody measured, so the response knows how far an aeroplane without any fault may be from
its plan, and how much of that two of its flights share.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from trimkit import aeroplane as records
from trimkit import faults, settings
from trimkit.aeroplane import Aeroplane, Setting
from trimkit.diagnosis import deviations
from trimkit.diagnosis.deviations import Design
from trimkit.flight import Job, canon
from trimkit.settings import SETTINGS, Change
from trimkit.units import Floats, quantities

NO_FAULT, ONE_FAULT = 0.1, 0.8  # the rest has two
SMALLER = 0.4  # sizes reach below the catalogue's smallest by so much, so that its end is safe
LEAST_RATIO, MOST_RATIO = 0.8, 2.7
COMMON_RATIOS = (1.25, 2.0, 2.6)  # low, middle and launch power
HIGHEST_WIND = 0.97  # of the most turns
CHANGES = (0.45, 0.4, 0.15)  # chances of none, one and two changes of settings
REPEATED, SAME_SETTING = 1 / 3, 2 / 3  # second flights: unchanged, or only at other turns
TRIES = 20
KNOWN_ONES = 3  # one pair in so many flies a demo aeroplane, the others a drawn one
# How far careful building misses the plan, root mean square; assumed
BUILT: Mapping[str, float] = MappingProxyType({
    "wing_station_mm": 0.8, "shim_mm": 0.12, "left_wash_in_deg": 0.2, "right_wash_in_deg": 0.2,
    "fin_deg": 0.2, "tail_tilt_deg": 0.5, "side_thrust_deg": 0.25, "down_thrust_deg": 0.25,
})  # fmt: skip


def scattered(aeroplane: Aeroplane, seed: int | Sequence[int]) -> Aeroplane:
    """Build an aeroplane from its plan, as carefully as hands can.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned [-].
    seed : int or sequence of int
        The same seed gives the same small errors [-].

    Returns
    -------
    Aeroplane
        With errors of `BUILT` in its settings, which nobody has measured [-].
    """
    chance = np.random.default_rng(seed)
    limits, now = quantities(Setting), aeroplane.setting
    moved = {}
    for name, spread in BUILT.items():
        value = getattr(now, name) + spread * float(np.clip(chance.standard_normal(), -2.5, 2.5))
        moved[name] = min(max(value, limits[name].low), limits[name].high)
    return records.replace(aeroplane, **moved)


@dataclass(frozen=True, slots=True)
class Sample:
    """One flight of the library, before it is flown.

    Parameters
    ----------
    pair : int
        Number of the aeroplane with its faults and its own build [-].
    repeat : bool
        Flown like the one before it [-].
    plane : int
        Which of the aeroplanes [-].
    deviations : tuple of float
        Of faults and changes, in the order of `deviations.NAMES` [-].
    ratio : float
        Torque over level torque, by the log's turns [-].
    turns : float
        Turns by the log [turns].
    faults : mapping of str to float
        Sizes by name [in the fault's unit].
    change : Change
        Of the settings, against the plan [-].
    job : Job
        The flight, with everything that the log does not know [-].
    """

    pair: int
    repeat: bool
    plane: int
    deviations: tuple[float, ...]
    ratio: float
    turns: float
    faults: Mapping[str, float]
    change: Change
    job: Job


def draw(planes: Sequence[Design], pair: int, seed: int) -> tuple[Sample, Sample]:
    """Draw two flights of one aeroplane with its faults.

    Parameters
    ----------
    planes : sequence of Design
        The demo aeroplanes first, then those of the fleet [-].
    pair : int
        Count of the pair, from 0 [-].
    seed : int
        Of the build [-].

    Returns
    -------
    (Sample, Sample)
        Both flights [-].
    """
    chance = np.random.default_rng([seed, 81, pair])
    demos = len(canon.NAMES)
    known = pair % KNOWN_ONES == 0 or len(planes) == demos
    among = (0, demos) if known else (demos, len(planes))
    plane = int(chance.integers(*among))
    plan = planes[plane]
    built = scattered(plan.aeroplane, [seed, 82, pair])
    for _ in range(TRIES):
        try:
            return _two(plan, built, (pair, plane, seed), chance)
        except ValueError:  # two faults, or a fault and a change, that go beyond what can be built
            continue
    raise ValueError(f"pair {pair}: no faults were found that {plan.aeroplane.name} can have")


def _two(
    plan: Design, built: Aeroplane, numbers: tuple[int, int, int], chance: np.random.Generator
) -> tuple[Sample, Sample]:
    """The second flight is an unchanged repeat, or at other turns, or with another change."""
    ill = _faults(chance)
    luck = chance.uniform()
    changes, ratios = [_change(plan, ill, chance)], [_ratio(chance)]
    changes.append(changes[0] if luck < SAME_SETTING else _change(plan, ill, chance))
    ratios.append(ratios[0] if luck < REPEATED else _ratio(chance))
    first, second = (
        _sample(plan, built, ill, changes[one], ratios[one], (*numbers, 2 * numbers[0] + one))
        for one in (0, 1)
    )
    return first, replace(second, repeat=luck < REPEATED)


def _faults(chance: np.random.Generator) -> dict[str, float]:
    """Names and sizes; each fault as often as the others, for the fit needs them all."""
    luck = chance.uniform()
    count = 0 if luck < NO_FAULT else 1 if luck < NO_FAULT + ONE_FAULT else 2
    names = chance.choice(list(faults.CATALOGUE), size=count, replace=False)
    drawn = {}
    for name in map(str, names):
        known = faults.CATALOGUE[name]
        fixed = known.low == known.high
        size = chance.uniform(SMALLER * known.low, known.high)
        drawn[name] = known.low if fixed else float(size)
    return drawn


def _ratio(chance: np.random.Generator) -> float:
    if chance.uniform() < 0.5:
        return float(chance.uniform(LEAST_RATIO, MOST_RATIO))
    return float(chance.choice(COMMON_RATIOS) * chance.uniform(0.98, 1.02))


def _deviations(plan: Design, ill: dict[str, float], change: Change) -> Floats:
    total = deviations.of_change(plan, change)
    for name, size in ill.items():
        total = total + deviations.of_fault(plan, name, size)
    return total


@functools.lru_cache(maxsize=256)
def directions(plan: Design) -> dict[str, Floats]:
    """Say what each setting does to an aeroplane, for one unit of it.

    Parameters
    ----------
    plan : Design
        The aeroplane before any change [-].

    Returns
    -------
    dict of str to numpy.ndarray
        Deviations for each unit of a setting, by its name; turns are left out [-].
    """
    found = {}
    for name, known in SETTINGS.items():
        if name != "turns":
            found[name] = deviations.of_change(plan, Change({name: known.step})) / known.step
    return found


def _change(plan: Design, ill: dict[str, float], chance: np.random.Generator) -> Change:
    """None, one or two changes, more often such as a hand would try against these faults."""
    count = int(chance.choice(len(CHANGES), p=CHANGES))
    against = _deviations(plan, ill, Change())
    ways = directions(plan)
    amounts: dict[str, float] = {}
    for _ in range(count):
        gains = np.array([(against @ way) ** 2 / (way @ way) for way in ways.values()]) + 0.05
        name = str(chance.choice(list(ways), p=gains / gains.sum()))
        best = -float(against @ ways[name]) / float(ways[name] @ ways[name])
        amounts[name] = _amount(plan, name, best * chance.uniform(0.3, 1.4), chance)
        against = against + amounts[name] * ways[name]
    return Change({name: amount for name, amount in amounts.items() if amount})


def _amount(plan: Design, name: str, wanted: float, chance: np.random.Generator) -> float:
    known, limit = SETTINGS[name], quantities(Setting)[name]
    any_way = float(chance.uniform(-known.usual, known.usual))
    amount = wanted if abs(wanted) > known.step / 2 else any_way
    held = min(max(amount, -1.5 * known.usual), 1.5 * known.usual)
    now = getattr(plan.aeroplane.setting, name)
    return float(round(min(max(now + held, limit.low), limit.high) - now, 3))


def wound(plan: Design, ratio: float) -> float:
    """Say how many whole turns come nearest to a torque, without breaking the loop.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].
    ratio : float
        Torque over level torque that is wanted [-].

    Returns
    -------
    float
        Turns [turns].
    """
    most = HIGHEST_WIND * plan.aeroplane.setting.motor.max_turns(plan.job().hall.temperature_c)
    return float(round(most if ratio >= plan.torque_ratio(most) else plan.turns(ratio)))


def _sample(
    plan: Design,
    built: Aeroplane,
    ill: dict[str, float],
    change: Change,
    ratio: float,
    numbers: tuple[int, int, int, int],
) -> Sample:
    pair, plane, seed, number = numbers
    turns = wound(plan, ratio)
    own = int(np.random.default_rng([seed, 83, number]).integers(2**31))
    job = replace(plan.job(turns, own, scatter=1.0), aeroplane=built)
    for name, size in ill.items():
        job = faults.afflict(job, name, size)
    job = replace(job, aeroplane=settings.changed(job.aeroplane, change))
    total = tuple(_deviations(plan, ill, change).tolist())
    ratio = plan.torque_ratio(turns)
    return Sample(pair, False, plane, total, ratio, turns, ill, change, job)
