"""The lab of the circle: what makes it, how wide it is, and whether the hall holds it."""

from __future__ import annotations

import math

from trimkit import figures
from trimkit.aeroplane import Aeroplane, replace
from trimkit.figures.circles import WALL, across_m
from trimkit.flight import Flight
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.bench import Lab, Read, Reading, Slider, Values, drawn, open_lab, setting_slider
from trimkit.labs.power import POWERS, flights, step_of, turns_of_steps
from trimkit.observe import watch
from trimkit.settings import SETTINGS

TITLE = "Circle and hall"
SETTINGS_HERE = ("fin_deg", "tail_tilt_deg", "side_thrust_deg", "wing_offset_mm")
SHOWN_S = 40.0  # a few circles; the whole flight would cover them
SMALLEST_M, LARGEST_M = 8.0, 60.0
HALL_M = (26.0, 18.0)  # a school hall; common practice, no source
RIGHT_M, MOST_RIGHT_M = 5.0, 25.0  # a left circle wants room on the left
CEILING_M = 15.0
LEAST_M = 1.0  # from the hand to a wall
ROOM_M = 2.0  # to each wall; common practice, no source
SAME_M = 0.3  # less is called the same


def circle(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: fin, tail tilt, side thrust and wing offset, and the circle they make.

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


def _parts(aeroplane: Aeroplane | None) -> tuple[list[Slider], Read]:
    design = aeroplane or demo_aeroplanes()[0]
    turns = turns_of_steps(design)
    return _sliders(design, len(turns)), _reader(design, turns)


def _sliders(aeroplane: Aeroplane, steps: int) -> list[Slider]:
    return [
        *(setting_slider(aeroplane, name) for name in SETTINGS_HERE),
        Slider(
            name="power_step", label="Power step, 1 low to 4 launch", unit="", step=1.0, low=1.0,
            high=max(float(steps), 2.0), start=1.0,
            meaning="Times the torque of level flight, as in the lab of power steps.",
        ),
        Slider(
            name="length_m", label="Length of the hall", unit="m", step=1.0, low=SMALLEST_M,
            high=LARGEST_M, start=HALL_M[0], meaning="From wall to wall, along the launch.",
        ),
        Slider(
            name="width_m", label="Width of the hall", unit="m", step=1.0, low=SMALLEST_M,
            high=LARGEST_M, start=HALL_M[1], meaning="From wall to wall, across the launch.",
        ),
        Slider(
            name="right_m", label="You stand right of the middle", unit="m", step=0.5,
            low=-MOST_RIGHT_M, high=MOST_RIGHT_M, start=RIGHT_M,
            meaning="A circle to the left wants its room on the left. Minus is left.",
        ),
    ]  # fmt: skip


def _reader(aeroplane: Aeroplane, turns: tuple[int, ...]) -> Read:
    flown = flights(SHOWN_S)

    def read(values: Values) -> Reading:
        step = step_of(values, turns)
        size_m = (values["length_m"], values["width_m"])
        changed = replace(aeroplane, **{name: values[name] for name in SETTINGS_HERE})
        hall, right_m = (*size_m, CEILING_M), values["right_m"]
        if abs(right_m) > size_m[1] / 2 - LEAST_M:
            raise ValueError(
                f"You stand {right_m:g} m from the middle of a hall {size_m[1]:g} m wide; allowed "
                f"is up to {size_m[1] / 2 - LEAST_M:g} m, so that there is room for the wing"
            )
        design, now = (flown(one, turns[step - 1], hall, right_m) for one in (aeroplane, changed))
        shown = {"now": now} if changed == aeroplane else {"now": now, "as the card": design}
        said = [f"{POWERS[step - 1][0].title()} power. {_circle(now)}", _walls(now, size_m)]
        said += _against(design, now) if changed != aeroplane else [_start()]
        said += _moved(aeroplane, changed)
        return Reading(drawn(figures.circle_view(shown, size_m)), "\n".join(said))

    return read


# --- words ------------------------------------------------------------------------------------


def _circle(flight: Flight) -> str:
    across, turn = across_m(flight), watch(flight)["early_turn_deg_s"]
    side = "left" if turn > 0 else "right"
    if math.isinf(across):
        return f"It makes no full circle in free air; at first it goes {side}."
    return f"It circles {side}, {across:.1f} m across, once in {360 / abs(turn):.0f} s."


def _walls(flight: Flight, size_m: tuple[float, float]) -> str:
    hits = [event.time_s for event in flight.events if event.what == WALL]
    if hits:
        return f"It meets a wall after {hits[0]:.0f} s: tighter, or a wider hall."
    free = min(
        float(side / 2 - abs(flight.position_m[:, axis]).max()) for axis, side in enumerate(size_m)
    )
    if free < ROOM_M:
        return f"{free:.1f} m free to the nearest wall: leave {ROOM_M:g} m for drift."
    return f"{free:.1f} m free to the nearest wall."


def _start() -> str:
    return "The settings are the card's: move one, and see what the circle does."


def _against(design: Flight, now: Flight) -> list[str]:
    before, after = across_m(design), across_m(now)
    if math.isinf(before) or math.isinf(after):
        return ["Against the card: one of the two makes no full circle."]
    if abs(after - before) < SAME_M:
        return [f"Against the card: the same {before:.1f} m, as near as an eye can tell."]
    return [f"Against the card: {'wider' if after > before else 'tighter'}, from {before:.1f} m."]


def _moved(design: Aeroplane, changed: Aeroplane) -> list[str]:
    moved = [
        SETTINGS[name].title
        for name in SETTINGS_HERE
        if getattr(design.setting, name) != getattr(changed.setting, name)
    ]
    if len(moved) > 1:
        return [f"You moved {' and '.join(moved)}: which of them did it? Put one back."]
    return []
