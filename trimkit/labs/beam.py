"""The lab of balance: parts on a beam, the wing's place, ballast, and the neutral point."""

from __future__ import annotations

import dataclasses

from trimkit import balance, incidence, trim
from trimkit.aeroplane import Aeroplane, Setting, replace
from trimkit.figures.beam import beam_stage
from trimkit.figures.style import plain, signed
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.bench import LAB_DPI, Lab, Read, Reading, Slider, Values, open_lab, setting_slider
from trimkit.propeller import Propeller
from trimkit.units import quantities

TITLE = "Balance beam and neutral point"
WING_MOVE_MM, SHIM_MOVE_MM = 40.0, 2.5  # either way from the design setting
MOST_ADDED_G = 1.5
ENOUGH, PLENTY = 0.05, 0.45  # static margins; common practice, no source
STEADY_MM = 0.25  # nobody slides a wing by less


def beam(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: slide the wing, add weight, and see what balances where.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Its setting is the design setting; None for the demo trainer [-].
    """
    open_lab(TITLE, lambda: _parts(aeroplane))


def lab(aeroplane: Aeroplane | None = None) -> Lab:
    """Make the lab without showing it.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Its setting is the design setting; None for the demo trainer [-].

    Returns
    -------
    Lab
        The lab; its `form` can be put into other widgets [-].
    """
    return Lab(TITLE, *_parts(aeroplane))


def _parts(aeroplane: Aeroplane | None) -> tuple[list[Slider], Read]:
    design = aeroplane or demo_aeroplanes()[0]
    return _sliders(design), _reader(design)


def _sliders(design: Aeroplane) -> list[Slider]:
    setting, tail = design.setting, design.build.tail
    return [
        setting_slider(
            design, "wing_station_mm", WING_MOVE_MM, 0.5, "Wing behind bearing",
            "Leading edge behind the propeller bearing. Less slides the wing forward.",
        ),
        _more("heavier_g", "Propeller heavier by", "A heavier propeller pulls the balance forward.",
              _room_g(Propeller, "mass_g", setting.propeller.mass_g)),
        _more("added_g", "Ballast added", "A lump of clay pulls the balance toward its own place.",
              _room_g(Setting, "ballast_g", setting.ballast_g)),
        Slider(
            name="added_station_mm", label="Ballast sits at", unit="mm", low=-20.0,
            high=tail.station_mm + tail.chord_mm, step=1.0, start=0.0,
            meaning="Behind the propeller bearing: 0 is the nose, the right end is the tail.",
        ),
        setting_slider(
            design, "shim_mm", SHIM_MOVE_MM, 0.1, "Shim, + lifts tail",
            "More turns the nose up. It moves neither of the two points.",
        ),
    ]  # fmt: skip


def _more(name: str, label: str, meaning: str, most_g: float) -> Slider:
    return Slider(
        name=name, label=label, unit="g", low=0.0, high=most_g, step=0.05, start=0.0,
        meaning=meaning,
    )  # fmt: skip


def _room_g(record: type, name: str, now_g: float) -> float:
    """How much may still be added; a slider needs a little way even where nothing may."""
    return max(min(MOST_ADDED_G, quantities(record)[name].high - now_g), 0.1)


def as_set(design: Aeroplane, values: Values) -> Aeroplane:
    """Put the lab's values on the aeroplane; what is added comes on top of what is there.

    Parameters
    ----------
    design : Aeroplane
        At its design setting [-].
    values : mapping
        wing_station_mm, heavier_g, added_g, added_station_mm and shim_mm [mm, g, g, mm, mm].

    Returns
    -------
    Aeroplane
        The changed copy [-].
    """
    now, added = design.setting, values["added_g"]
    changed = replace(design, wing_station_mm=values["wing_station_mm"], shim_mm=values["shim_mm"])
    if values["heavier_g"]:
        mass = now.propeller.mass_g + values["heavier_g"]
        changed = replace(changed, propeller=dataclasses.replace(now.propeller, mass_g=mass))
    if added:
        both = balance.centre_of_gravity_mm(
            [(now.ballast_g, now.ballast_station_mm), (added, values["added_station_mm"])]
        )
        changed = replace(changed, ballast_g=both.mass_g, ballast_station_mm=both.station_mm)
    return changed


def _reader(design: Aeroplane) -> Read:
    stage = beam_stage(design, LAB_DPI)

    def read(values: Values) -> Reading:
        changed = as_set(design, values)
        told = (_points(changed), _nose(changed), _saddle(design, changed, values["heavier_g"]))
        return Reading(stage(changed), "\n".join(told))

    return read


def _points(changed: Aeroplane) -> str:
    cg, neutral = balance.aeroplane_cg(changed).station_mm, balance.neutral_point_mm(changed)
    front, margin = changed.setting.wing_station_mm, balance.static_margin(changed)
    return (
        f"It balances {plain(cg - front)} mm behind the wing's leading edge; the neutral point is "
        f"{plain(neutral - front)} mm behind it. Static margin: {plain(100 * margin, 0)} % of the "
        f"chord. {_meaning(margin)}"
    )


def _meaning(margin: float) -> str:
    if margin < 0:
        return (
            "It balances behind the neutral point, too far back: a nose that begins to rise or "
            "drop goes on and on, and no shim cures that."
        )
    if margin < ENOUGH:
        return "It balances too far back: the nose wanders up and down and hardly comes back."
    if margin > PLENTY:
        return "It balances far forward: the nose is heavy and drops by itself, unless shimmed up."
    return "A nose that is pushed up or down comes back by itself."


def _nose(changed: Aeroplane) -> str:
    flown, decalage = trim.glide(changed), signed(incidence.decalage_deg(changed))
    said = {"good": "is good", "dives": "is a dive", "stalls": "is a stall"}[flown.verdict]
    return (
        f"With a decalage of {decalage}° the glide {said}. The shim turns the nose up or down; "
        "it moves neither point."
    )


def _saddle(design: Aeroplane, changed: Aeroplane, heavier_g: float) -> str:
    words = ""
    if heavier_g:
        station = design.setting.propeller.station_mm
        forward = balance.saddle_shift_mm(design, heavier_g, station)
        words = (
            f"A propeller heavier by {heavier_g:.2f} g wants the wing {abs(forward):.1f} mm "
            f"further {'forward' if forward > 0 else 'back'}. "
        )
    return words + _back_in_place(changed, balance.cg_fraction(design))


def _back_in_place(changed: Aeroplane, wanted: float) -> str:
    """How far the wing has to go so that it balances where the design does on its wing."""
    place = balance.wing_station_for_cg_mm(changed, wanted)
    move, allowed = place - changed.setting.wing_station_mm, quantities(Setting)["wing_station_mm"]
    if abs(move) < STEADY_MM:
        return "It balances at the design's place on the wing."
    if not allowed.low <= place <= allowed.high:
        return "No place of the wing on this stick brings it back to the design's balance."
    return (
        f"To balance at the design's place on the wing, slide the wing {abs(move):.1f} mm "
        f"{'back' if move > 0 else 'forward'}, to {place:.1f} mm."
    )
