"""The lab of twist and roll: wash-in and wash-out of each panel, at two powers."""

from __future__ import annotations

from trimkit import figures, wing
from trimkit.aeroplane import Aeroplane, replace
from trimkit.balance import aeroplane_cg
from trimkit.figures.rolling import Roll
from trimkit.flight import Flight
from trimkit.flight.canon import demo_aeroplanes
from trimkit.incidence import panel_twist_deg, wash_in_mm
from trimkit.labs.bench import Lab, Read, Reading, Slider, Values, drawn, open_lab, setting_slider
from trimkit.labs.power import HALL_C, POWERS, flights, side_by_side, step_of, turns_of_steps
from trimkit.observe import watch
from trimkit.units import STANDARD_GRAVITY_M_S2

TITLE = "Twist and roll"
SETTINGS_HERE = ("left_wash_in_deg", "right_wash_in_deg")
SIDES = ("left", "right")
REACH_DEG = 5.0
SHOWN_S = 30.0
HALL_M = (60.0, 60.0, 15.0)  # so wide that no wall is met before the floor
FLOOR_S = 10.0  # sooner on the floor is called so


def twist(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: twist each panel, and see it from behind at low and at higher power.

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
        *(
            setting_slider(
                aeroplane, name, reach=REACH_DEG, label=f"{side.title()} tip's wash-in",
                meaning="Plus is wash-in: trailing edge down. Minus is wash-out: trailing edge up.",
            )
            for name, side in zip(SETTINGS_HERE, SIDES, strict=True)
        ),
        Slider(
            name="power_step", label="Higher power, step 2 to 4", unit="", step=1.0, low=2.0,
            high=max(float(steps), 3.0), start=min(3.0, max(float(steps), 2.0)),
            meaning="Low power is always flown too.",
        ),
    ]  # fmt: skip


def _reader(aeroplane: Aeroplane, turns: tuple[int, ...]) -> Read:
    flown = flights(SHOWN_S)

    def read(values: Values) -> Reading:
        top = step_of(values, turns)
        changed = replace(aeroplane, **{name: values[name] for name in SETTINGS_HERE})
        wound = [turns[step - 1] for step in (1, top)]
        paths = side_by_side(flown, changed, wound, HALL_M)
        rolls = [_roll(changed, *given) for given in zip((1, top), paths, wound, strict=True)]
        said = [_edges(changed), *(roll.words() for roll in rolls), _with_power(rolls)]
        return Reading(drawn(figures.rolling_view(changed, rolls)), "\n".join(said))

    return read


def twist_mNm(aeroplane: Aeroplane, speed_m_s: float, density_kg_m3: float = 1.2) -> float:
    """Say how hard the wing's twist rolls, by lifting-line theory.

    Parameters
    ----------
    aeroplane : Aeroplane
        As it is set [-].
    speed_m_s : float
        Air speed [m/s].
    density_kg_m3 : float
        Of the air [kg/m³].

    Returns
    -------
    float
        Rolling moment, + rolls right [mN m].
    """
    made, panels = aeroplane.build.wing, panel_twist_deg(aeroplane)
    area_m2 = made.span_mm * (made.root_chord_mm + made.tip_chord_mm) / 2 * 1e-6
    span_m = made.span_mm / 1000
    moment = wing.twist_moment(
        panels.left_deg, panels.right_deg, span_m**2 / area_m2,
        made.tip_chord_mm / made.root_chord_mm,
    )  # fmt: skip
    return 500 * density_kg_m3 * speed_m_s**2 * area_m2 * span_m * moment


def _roll(aeroplane: Aeroplane, step: int, flight: Flight, turns: int) -> Roll:
    seen = watch(flight)
    torque = aeroplane.setting.motor.winding_torque_mNm(turns, HALL_C)
    twisted = twist_mNm(aeroplane, seen["speed_m_s"])
    beside = (
        -aeroplane_cg(aeroplane).mass_g * STANDARD_GRAVITY_M_S2 * aeroplane.setting.wing_offset_mm
    )
    name, bank = POWERS[step - 1][0], seen["early_bank_deg"]
    return Roll(name, bank, torque, twisted, beside / 1000, _ended(flight))


# --- words ------------------------------------------------------------------------------------


def _ended(flight: Flight) -> str:
    if flight.ended != "landed":
        return f"flies {SHOWN_S:g} s and on"
    if flight.duration_s < FLOOR_S:
        return f"on the floor after {flight.duration_s:.1f} s"
    return f"flies {flight.duration_s:.0f} s"


def _edges(aeroplane: Aeroplane) -> str:
    panels, chord = panel_twist_deg(aeroplane), aeroplane.build.wing.tip_chord_mm
    told = [
        f"{side} tip's trailing edge {abs(wash_in_mm(deg, chord)):.1f} mm "
        f"{'down' if deg > 0 else 'up'}"
        for side, deg in (("left", panels.left_deg), ("right", panels.right_deg))
        if abs(deg) > 1e-9
    ]
    words = "; ".join(told) or "both panels flat"
    return f"{words[0].upper()}{words[1:]}."


def _with_power(rolls: list[Roll]) -> str:
    low, high = rolls
    more = abs(high.bank_deg - low.bank_deg)
    if more < 3:
        return "The bank is much the same at both powers."
    side = "left" if high.bank_deg > low.bank_deg else "right"
    return f"With power it leans {more:.0f}° more to the {side}: the torque has grown."
