"""Going through a card: what passes, what fails and by how much, and what to do."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from trimkit import balance, logbook, motor
from trimkit.aeroplane import Aeroplane
from trimkit.rules.card import (
    FIGURES,
    MOTOR_MASS,
    FlightPlan,
    Limit,
    LogRule,
    Motor,
    MotorPlan,
    ReadingErrors,
    Rules,
    shown,
)
from trimkit.rules.table import Contest, Item, State, Stock

CLOCK_SHARE = 0.10  # by how much a team's minutes differ from its plan; assumed
GUESSED = re.compile(r"guessed[^:]*:\s*([^.]*)", re.I)  # as `trimkit measure` writes in the note


@dataclass(frozen=True, slots=True)
class Logged:
    """What a logbook says about one aeroplane.

    Parameters
    ----------
    flights : int
        Flights of this aeroplane in it [-].
    full : int
        Of them, those with every column that the card asks for [-].
    longest_s : float or None
        Its longest flight, None when no time is written down [s].
    bad_rows : int
        Rows that cannot be read; they count for nothing [-].
    missing : str
        The column that is empty most often, "" for none [-].
    """

    flights: int
    full: int
    longest_s: float | None
    bad_rows: int = 0
    missing: str = ""


def check(
    rules: Rules,
    aeroplane: Aeroplane,
    motors: Sequence[Motor] | None = None,
    logged: Logged | None = None,
) -> Contest:
    """Go through a card.

    Parameters
    ----------
    rules : Rules
        The card [-].
    aeroplane : Aeroplane
        The aeroplane as set [-].
    motors : sequence of Motor or None
        The motors in their bags, None when nobody listed them [-].
    logged : Logged or None
        What the logbook says, None when there is none [-].

    Returns
    -------
    Contest
        The table [-].
    """
    guessed = guesses(aeroplane)
    items: list[Item] = []
    for limit in rules.limits:
        if limit.name == MOTOR_MASS:
            items += _motor_masses(limit, rules.errors, aeroplane, motors, guessed)
        else:
            items.append(_limited(limit, rules.errors, aeroplane, guessed))
    items += _motor_count(rules.motors, motors) if rules.motors else []
    items += [_log_item(rules.log, logged)] if rules.log else []
    items += [_window_item(rules.flights, logged)] if rules.flights else []
    for group in ("marking", "box", "papers"):
        items += [Item(group, one, one, "", "look") for one in getattr(rules, group)]
    stock = stock_of(rules.motors) if rules.motors else None
    return Contest(rules, aeroplane.name, tuple(items), stock, tuple(motors or ()))


def guesses(aeroplane: Aeroplane) -> frozenset[str]:
    """Name what of an aeroplane was guessed, as the note in its file says.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane [-].

    Returns
    -------
    frozenset of str
        Names of readings that were never taken [-].
    """
    found = GUESSED.search(aeroplane.note)
    return frozenset(one.strip() for one in found[1].split(",")) if found else frozenset()


def judged(value: float, limit: Limit, error: float) -> State:
    """Judge a figure with its reading error.

    Parameters
    ----------
    value, error : float
        The figure, and what it may be wrong by [in the figure's unit].
    limit : Limit
        The rule [-].

    Returns
    -------
    str
        "pass", "fail" or "measure again" [-].

    Examples
    --------
    >>> span = Limit("wing_span_mm", most=460)
    >>> [judged(value, span, 0.5) for value in (459.4, 459.5, 460.5, 460.6)]
    ['pass', 'measure again', 'measure again', 'fail']
    """
    room = math.inf
    if limit.least is not None:
        room = min(room, value - limit.least)
    if limit.most is not None:
        room = min(room, limit.most - value)
    slack = 1e-9 * max(abs(value), 1.0)  # 460 - 459.5 may be a little more than .5
    if abs(room) <= error + slack:
        return "measure again"
    return "pass" if room > 0 else "fail"


def _limited(
    limit: Limit, errors: ReadingErrors, aeroplane: Aeroplane, guessed: frozenset[str]
) -> Item:
    figure = limit.figure
    value, error = figure.of(aeroplane), float(getattr(errors, figure.error))
    ours = shown(value, figure.unit)
    missing = [one for one in figure.measured_as if one in guessed]
    if missing:
        do = f"Guessed so far. Measure: {', '.join(missing)}"
        return _item("aeroplane", limit, f"{ours}, a guess", "measure again", do)
    state = judged(value, limit, error)
    return _item("aeroplane", limit, ours, state, _advice(limit, value, error, state, aeroplane))


def _item(group: str, limit: Limit, ours: str, state: State, do: str, what: str = "") -> Item:
    return Item(group, what or limit.figure.title, limit.words(), ours, state, do)


def _advice(limit: Limit, value: float, error: float, state: State, aeroplane: Aeroplane) -> str:
    """What to do, "" when it passes."""
    unit = limit.figure.unit
    if state == "pass":
        return ""
    if state == "measure again":
        return (
            f"Too close to call with a reading error of {shown(error, unit)}: measure again "
            "three times, at best with the contest's own scales or ruler"
        )
    if limit.most is not None and value > limit.most:
        over = value - limit.most
        return f"Over by {shown(over, unit)}. {_reduce(limit.name, over, error)}"
    short = (limit.least or 0.0) - value
    return f"Under by {shown(short, unit)}. {_increase(limit.name, short, error, aeroplane)}"


def _reduce(name: str, over: float, error: float) -> str:
    amount = over + 2 * error
    if name == "wing_span_mm":
        return f"Take {amount / 2:.1f} mm off each tip, then trim again"
    if name == "propeller_diameter_mm":
        return f"Take {amount / 2:.1f} mm off each blade, alike, then balance it"
    if FIGURES[name].unit == "g":
        return f"Take {amount:.2f} g off: tail end first, since it then needs less weight in front"
    return f"Take {amount:.1f} mm off, then balance and trim again"


def _increase(name: str, short: float, error: float, aeroplane: Aeroplane) -> str:
    amount = short + 2 * error
    if FIGURES[name].unit == "g":
        place = balance.balance_point_mm(aeroplane)
        return (
            f"Add {amount:.2f} g at the balance point, {place:.0f} mm behind the wing's leading "
            "edge, so that the trim stays; two reading errors are in it"
        )
    return f"Add {amount:.1f} mm, or build that part again; then balance and trim again"


def _motor_masses(
    limit: Limit,
    errors: ReadingErrors,
    aeroplane: Aeroplane,
    motors: Sequence[Motor] | None,
    guessed: frozenset[str],
) -> Iterator[Item]:
    if motors is None:
        value = limit.figure.of(aeroplane)
        state = judged(value, limit, errors.motor_mass_g)
        missing = bool(guessed & set(limit.figure.measured_as))
        do = "From the aeroplane's file. List the motors, weighed one by one, in a motors file"
        if missing or state == "pass":
            state = "measure again"
        else:
            do = _motor_advice(limit, value, errors.motor_mass_g, state, None)
        yield _item("motors", limit, shown(value, "g"), state, do)
        return
    for one in motors:
        what = f"mass of motor {one.number}"
        if one.mass_g is None:
            do = "Weigh it and write mass_g"
            yield _item("motors", limit, "never weighed", "measure again", do, what)
            continue
        state = judged(one.mass_g, limit, errors.motor_mass_g)
        do = _motor_advice(limit, one.mass_g, errors.motor_mass_g, state, one.loop_mm)
        yield _item("motors", limit, shown(one.mass_g, "g"), state, do, what)


def _motor_advice(
    limit: Limit, mass_g: float, error: float, state: State, loop_mm: float | None
) -> str:
    if state == "pass":
        return ""
    if state == "measure again":
        return f"Too close to call with a reading error of {error:g} g: weigh it again, lubricated"
    if limit.most is not None and mass_g > limit.most:
        over = mass_g - limit.most
        share = (over + 2 * error) / mass_g
        cut = f" ({2 * share * loop_mm:.0f} mm of strip)" if loop_mm else ""
        return f"Over by {over:.2f} g. Cut {share:.1%} off the strip{cut} and tie it again"
    return f"Under by {(limit.least or 0.0) - mass_g:.2f} g. Make another, from a longer strip"


def _motor_count(plan: MotorPlan, motors: Sequence[Motor] | None) -> Iterator[Item]:
    rule = f"at most {plan.may_bring}"
    if motors is None:
        yield Item(
            "motors", "number of motors", rule, "", "look",
            f"{rule.capitalize()}; give a motors file to have them counted",
        )  # fmt: skip
        return
    over = len(motors) - plan.may_bring
    do = f"Leave {over} at home" if over > 0 else ""
    state: State = "fail" if over > 0 else "pass"
    yield Item("motors", "number of motors", rule, str(len(motors)), state, do)


def _log_item(rule: LogRule, logged: Logged | None) -> Item:
    columns = f" with {', '.join(rule.columns)}" if rule.columns else ""
    words = f"at least {rule.flights} flights{columns}"
    if logged is None:
        do = f"The card says {words}; give the logbook to have them counted"
        return Item("logbook", "flights in the logbook", words, "", "look", do)
    ours = f"{logged.full} in full of {logged.flights}" if columns else f"{logged.flights}"
    ours += f", and {_count(logged.bad_rows, 'row')} that cannot be read" if logged.bad_rows else ""
    short = rule.flights - logged.full
    if short <= 0:
        return Item("logbook", "flights in the logbook", words, ours, "pass")
    do = f"{short} short: fly and write down {short} more"
    if logged.missing and logged.flights > logged.full:
        do += f", or fill in {logged.missing} where somebody still knows it"
    return Item("logbook", "flights in the logbook", words, ours, "fail", do)


def _window_item(plan: FlightPlan, logged: Logged | None) -> Item:
    what = f"{_count(plan.official, 'official flight')} in time"
    rule = f"within {plan.window_min:g} min"
    if logged is None or logged.longest_s is None:
        do = f"{rule.capitalize()}; give a logbook with times to have it worked out"
        return Item("flights", what, rule, "", "look", do)
    needed = plan.official * (plan.winding_min + logged.longest_s / 60)
    ours = (
        f"{needed:.1f} min: {plan.winding_min:g} min to wind and {logged.longest_s:.0f} s to fly, "
        "each time"
    )
    if needed * (1 - CLOCK_SHARE) > plan.window_min:
        over = needed - plan.window_min
        do = f"{over:.1f} min too long. Wind the next motor on a holder while the first one flies"
        return Item("flights", what, rule, ours, "fail", do)
    if needed * (1 + CLOCK_SHARE) > plan.window_min:
        do = "Close: rehearse it once with a clock and put your winding_min on the card"
        return Item("flights", what, rule, ours, "measure again", do)
    return Item("flights", what, rule, ours, "pass")


def stock_of(plan: MotorPlan) -> Stock:
    """Work out how many motors to make: binomial, each winding by itself.

    Parameters
    ----------
    plan : MotorPlan
        How many must survive how many windings [-].

    Returns
    -------
    Stock
        The smallest number that gives the chance wanted [-].

    Examples
    --------
    >>> plan = MotorPlan(may_bring=6, must_survive=3, winds_each=4, break_chance=0.04)
    >>> stock_of(plan).make
    5
    """
    breaks = 1 - (1 - plan.break_chance) ** plan.winds_each
    if breaks > 0.9:
        raise ValueError(
            f"break_chance is {plan.break_chance:g} and winds_each {plan.winds_each}: hardly a "
            "motor survives; allowed is a chance of .1 to survive; wind less far, or less often"
        )
    make = motor.stock_size(plan.must_survive, breaks, plan.confidence)
    return Stock(plan, make, motor.survival_chance(make, plan.must_survive, breaks))


def logged_flights(path: Path, names: Sequence[str], columns: Sequence[str] = ()) -> Logged:
    """Count an aeroplane's flights in a logbook.

    Parameters
    ----------
    path : pathlib.Path
        The logbook, CSV [-].
    names : sequence of str
        What the aeroplane may be called in it; rows that name none count too [-].
    columns : sequence of str
        Columns that must be filled [-].

    Returns
    -------
    Logged
        Flights, those in full, the longest [-].
    """
    book = logbook.read(path)
    known = {"", *(name.strip().lower() for name in names)}
    flown = [one for one in book.flights if one.aeroplane.strip().lower() in known]
    gaps = [[name for name in columns if _empty(one, name)] for one in flown]
    every = [name for gap in gaps for name in gap]
    times = [one.time_s for one in flown if one.time_s is not None]
    return Logged(
        flights=len(flown),
        full=sum(not gap for gap in gaps),
        longest_s=max(times, default=None),
        bad_rows=len(book.bad_rows),
        missing=max(dict.fromkeys(every), key=every.count, default=""),
    )


def _empty(flight: logbook.FlightRow, name: str) -> bool:
    return getattr(flight, name, None) in (None, "")


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
