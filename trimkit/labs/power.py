"""The lab of power steps: two real flights at two powers, and what comes with power."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache

from trimkit import figures
from trimkit.aeroplane import Aeroplane, replace
from trimkit.figures import Step
from trimkit.flight import Flight, Hall, Launch, fly, level_torque_mNm
from trimkit.flight.canon import demo_aeroplanes
from trimkit.flight.fly import LONGEST_S, launch_speed_m_s, prepare
from trimkit.labs.bench import (
    Lab,
    Read,
    Reading,
    Slider,
    Values,
    drawn,
    open_lab,
    setting_slider,
)
from trimkit.motor import highest_torque_mNm, turns_for_torque
from trimkit.observe import watch
from trimkit.settings import SETTINGS

TITLE = "Power steps"
POWERS = (("low", 1.25), ("in-between", 1.6), ("middle", 2.0), ("launch", 2.6))
"""Names, and times the torque of level flight; common practice, no source."""
SETTINGS_HERE = ("shim_mm", "left_wash_in_deg", "down_thrust_deg", "side_thrust_deg")
FADES = ("down_thrust_deg", "side_thrust_deg")  # the others act at every power
HALL_C = 20.0
FLOOR_M = (40.0, 30.0)
LOWEST_M, USUAL_M, HIGHEST_M = 4.0, 15.0, 25.0  # ceilings, from a classroom to a large hall
ROOM_LEFT_M = 0.5  # below the ceiling; .5 to 1 m is common practice, no source
MOST_FLIGHTS = 200  # kept, so that going back costs nothing
NOSE, BANK, CIRCLE = "early_nose_deg", "early_bank_deg", "early_turn_deg_s"
STRAIGHT_DEG_S = 8.0  # less is called straight, as `observe` does


@dataclass(frozen=True, slots=True)
class Sign:
    """A departure that a coach can see.

    Parameters
    ----------
    feature : str
        Of `observe.FEATURES` [-].
    least : float
        Less is not seen; assumed, a little over the observer's error [in the feature's unit].
    more, less : str
        What a departure up and one down is called [-].
    """

    feature: str
    least: float
    more: str
    less: str

    def said(self, before: float, now: float) -> str:
        """Name the departure.

        Parameters
        ----------
        before, now : float
            The feature without and with it [in the feature's unit].

        Returns
        -------
        str
            Its name, "" when it is too small to be seen [-].
        """
        if abs(now - before) < self.least:
            return ""
        return self.more if now > before else self.less


SIGNS = (
    Sign(NOSE, 4.0, "nose higher", "nose lower"),
    Sign(BANK, 5.0, "left wing lower", "left wing higher"),
    Sign(CIRCLE, 8.0, "turning more to the left", "turning less to the left"),
)


def power(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: fly at low power and at a higher one, and change the trim.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Which to fly, None for the demo trainer [-].
    """
    open_lab(TITLE, lambda: _parts(aeroplane))


def lab(aeroplane: Aeroplane | None = None) -> Lab:
    """Make the lab without showing it.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Which to fly, None for the demo trainer [-].

    Returns
    -------
    Lab
        The lab; its `form` can be put into other widgets [-].
    """
    return Lab(TITLE, *_parts(aeroplane))


def turns_of_steps(aeroplane: Aeroplane) -> tuple[int, ...]:
    """Work out the turns of each power step, as many as the loop can give.

    Parameters
    ----------
    aeroplane : Aeroplane
        At its design setting [-].

    Returns
    -------
    tuple of int
        Turns on, the weakest step first [turns].

    Raises
    ------
    ValueError
        When the aeroplane has no level flight, or the loop is too thin even for low power.
    """
    level, motor = level_torque_mNm(aeroplane), aeroplane.setting.motor
    strongest = highest_torque_mNm(motor, HALL_C)
    wanted = [times * level for _, times in POWERS if times * level <= strongest]
    if not wanted:
        raise ValueError(
            f"{aeroplane.name}: this loop gives up to {strongest:.1f} mN m; low power takes "
            f"{POWERS[0][1] * level:.1f} mN m. Fit a thicker loop"
        )
    return tuple(round(turns_for_torque(motor, torque, HALL_C)) for torque in wanted)


def _parts(aeroplane: Aeroplane | None) -> tuple[list[Slider], Read]:
    design = aeroplane or demo_aeroplanes()[0]
    turns = turns_of_steps(design)
    return _sliders(design, len(turns)), _reader(design, turns)


def _sliders(aeroplane: Aeroplane, steps: int) -> list[Slider]:
    names = ", ".join(f"{n} {name} {times:g}" for n, (name, times) in enumerate(POWERS, 1))
    return [
        Slider(
            name="power_step", label="Power step, 1 low to 4 launch", unit="", step=1.0,
            low=1.0, high=max(float(steps), 2.0), start=float(steps),
            meaning=f"Times the torque of level flight: {names}. Low is always flown too.",
        ),
        *(setting_slider(aeroplane, name) for name in SETTINGS_HERE),
        Slider(
            name="ceiling_m", label="Ceiling of the hall", unit="m", step=0.5,
            low=LOWEST_M, high=HIGHEST_M, start=USUAL_M,
            meaning="Height of the hall. A touch costs seconds, and often the flight.",
        ),
    ]  # fmt: skip


def as_set(aeroplane: Aeroplane, values: Values) -> Aeroplane:
    """Put the lab's settings on the aeroplane.

    Parameters
    ----------
    aeroplane : Aeroplane
        At its design setting [-].
    values : mapping
        shim_mm, left_wash_in_deg, down_thrust_deg and side_thrust_deg [mm, deg, deg, deg].

    Returns
    -------
    Aeroplane
        The changed copy [-].
    """
    return replace(aeroplane, **{name: values[name] for name in SETTINGS_HERE})


def step_of(values: Values, turns: Sequence[int]) -> int:
    """Read the power step off a lab's sliders.

    Parameters
    ----------
    values : mapping
        With power_step [-].
    turns : sequence of int
        Of the steps that the loop can give [turns].

    Returns
    -------
    int
        The step, from 1 [-].

    Raises
    ------
    ValueError
        When the loop cannot give it.
    """
    step = round(values["power_step"])
    if step > len(turns):
        raise ValueError(
            f"power step {step} is more than this loop can give; allowed is 1 to {len(turns)}"
        )
    return step


Flown = Callable[..., Flight]


def flights(longest_s: float = LONGEST_S) -> Flown:
    """Make a way to fly that remembers: the same setting, turns and hall fly once.

    Parameters
    ----------
    longest_s : float
        A flight is cut off then [s].

    Returns
    -------
    callable
        From an aeroplane, its turns, the hall's size, and how far to the right of its middle it is
        launched, to a flight [-, turns, m, m].
    """

    @lru_cache(maxsize=MOST_FLIGHTS)
    def flown(
        aeroplane: Aeroplane, turns: int, size_m: tuple[float, float, float], right_m: float = 0.0
    ) -> Flight:
        hall = Hall(size_m=size_m, temperature_c=HALL_C)
        launch = Launch(turns=turns, east_m=right_m)
        return fly(aeroplane, launch=launch, hall=hall, longest_s=longest_s)

    return flown


def side_by_side(
    flown: Flown, aeroplane: Aeroplane, turns: Sequence[int], size_m: tuple[float, float, float]
) -> list[Flight]:
    """Fly one setting at several powers at once: the flight engine lets threads run together.

    Parameters
    ----------
    flown : callable
        From `flights` [-].
    aeroplane : Aeroplane
        As set [-].
    turns : sequence of int
        One number for each flight, at least one [turns].
    size_m : (float, float, float)
        Length, width and height of the hall [m].

    Returns
    -------
    list of Flight
        In the order of the turns [-].
    """
    launch_speed_m_s(aeroplane)  # once here and remembered, instead of in each thread
    prepare()
    with ThreadPoolExecutor(len(turns)) as threads:
        return list(threads.map(lambda wound: flown(aeroplane, wound, size_m), turns))


def _reader(aeroplane: Aeroplane, turns: Sequence[int]) -> Read:
    flown = flights()

    def read(values: Values) -> Reading:
        top = step_of(values, turns)
        ceiling = values["ceiling_m"]
        chosen = sorted({1, top})
        changed = as_set(aeroplane, values)
        wound, size_m = [turns[step - 1] for step in chosen], (*FLOOR_M, ceiling)
        now, design = (side_by_side(flown, one, wound, size_m) for one in (changed, aeroplane))
        steps = [_step(step, flight) for step, flight in zip(chosen, now, strict=True)]
        said = [". ".join(step.words() for step in steps) + ".", _ceiling(steps[-1], ceiling)]
        said += [*_with_power(now), *_against(design, now), *_changed(aeroplane, changed)]
        return Reading(drawn(figures.steps_view(steps, ceiling)), "\n".join(said))

    return read


def _step(number: int, flight: Flight) -> Step:
    seen = watch(flight)
    signs = (
        ("nose", _nose(seen[NOSE])),
        ("bank", _bank(seen[BANK])),
        ("circle", _circle(seen[CIRCLE])),
        ("climb", f"{figures.signed(seen['start_climb_m_s'])} m/s"),
    )
    return Step(POWERS[number - 1][0], flight, signs)


# --- words ------------------------------------------------------------------------------------


def _nose(degrees: float) -> str:
    return f"{abs(degrees):.0f}° {'up' if degrees > 0 else 'down'}"


def _bank(degrees: float) -> str:
    return f"{abs(degrees):.0f}° {'left' if degrees > 0 else 'right'}"


def _circle(turn_deg_s: float) -> str:
    if abs(turn_deg_s) < STRAIGHT_DEG_S:
        return "straight"
    return f"{360 / abs(turn_deg_s):.0f} s {'left' if turn_deg_s > 0 else 'right'}"


def _ceiling(step: Step, ceiling_m: float) -> str:
    free = ceiling_m - step.flight.peak_height_m
    if step.touches_s.size:
        return "A touch of the ceiling costs seconds: less torque, or a higher hall."
    if free < ROOM_LEFT_M:
        return f"Only {free:.1f} m free under the ceiling: leave {ROOM_LEFT_M:g} to 1 m."
    return f"{free:.1f} m free under the ceiling."


def _with_power(flown: Sequence[Flight]) -> list[str]:
    """What more power does to this setting."""
    if len(flown) < 2:
        return ["Only low power is flown. Move the power step up to compare."]
    low, high = (watch(flight) for flight in flown)
    names = [sign.said(low[sign.feature], high[sign.feature]) for sign in SIGNS]
    found = [name for name in names if name]
    return [f"With more power: {', '.join(found) or 'much the same, only higher'}."]


def _against(design: Sequence[Flight], now: Sequence[Flight]) -> list[str]:
    """Sort the departures from the design by the powers at which they are seen."""
    if all(before is after for before, after in zip(design, now, strict=True)):
        return ["The settings are the design's: change one, and see at which power it shows."]
    seen = [_departures(*pair) for pair in zip(design, now, strict=True)]
    if len(seen) < 2:
        return [f"Against the design, at low power: {', '.join(seen[0]) or 'nothing is seen'}."]
    low, high = seen
    always = [name for name in high if name in low]
    comes = [name for name in high if name not in low]
    fades = [name for name in low if name not in high]
    said = [
        ("Always there", always, ""),
        ("Only with power", comes, " Power makes small faults larger."),
        ("Only at low power", fades, " More power hides it."),
    ]
    told = [f"{when}: {', '.join(names)}.{more}" for when, names, more in said if names]
    return ["Against the design. " + (" ".join(told) or "Nothing is seen at either power.")]


def _changed(design: Aeroplane, changed: Aeroplane) -> list[str]:
    """What was moved, and whether it acts at every power."""
    moved = [
        name
        for name in SETTINGS_HERE
        if getattr(design.setting, name) != getattr(changed.setting, name)
    ]
    return [
        f"The {SETTINGS[name].title} "
        + ("works with the pull: it fades as the power goes." if name in FADES else "stays: it "
           "acts at every power.")
        for name in moved
    ]  # fmt: skip


def _departures(design: Flight, now: Flight) -> list[str]:
    before, after = watch(design), watch(now)
    names = [sign.said(before[sign.feature], after[sign.feature]) for sign in SIGNS]
    return [name for name in names if name]
