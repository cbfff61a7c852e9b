"""An aeroplane out of a sheet of readings, its angles with their errors, and remarks."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np

from trimkit import balance, incidence, inspection
from trimkit.aeroplane import Aeroplane, Build, Fin, Part, Setting, Tail, Wing
from trimkit.measurement.answers import checked
from trimkit.measurement.guesses import (
    METER_C,
    TIPS,
    filled,
    guess_words,
    root_angle_deg,
    scale,
    strip,
    trainer,
)
from trimkit.measurement.questions import (
    BY_NAME,
    QUESTIONS,
    TORQUE_SHARE,
    Answer,
    Sheet,
    SlipError,
    number,
    spaced,
)
from trimkit.motor import RubberMotor
from trimkit.propeller import SHAPE_CHORDS, SHAPE_RADII, SHAPE_WIDEST, Propeller
from trimkit.units import quantities

LIGHTEST, HEAVIEST = 0.4, 2.5  # of a part against a scaled trainer's before it is told; assumed
STRONGEST = 0.8, 1.2  # torque of a loop against the usual one that an aeroplane file may hold


@dataclass(frozen=True, slots=True)
class Derived:
    """A figure worked out from readings, with the error that they leave in it.

    Parameters
    ----------
    name : str
        Its name with its unit [-].
    title : str
        What the bench calls it [-].
    value, error : float
        The figure and its usual error; guessed readings count with none [in that unit].
    unit : str
        Unit as printed [-].
    guessed : tuple of str
        Readings behind it that were guessed [-].
    """

    name: str
    title: str
    value: float
    error: float
    unit: str
    guessed: tuple[str, ...] = ()

    def words(self) -> str:
        """Say the figure, its error and what was guessed.

        Returns
        -------
        str
            One line [-].
        """
        digits, unit = 2 if self.unit in ("", "g") else 1, spaced(self.unit)
        value = f"{self.value + 0.0:.{digits}f}".replace("-0.0", "0.0")
        error = f"{self.error:.{digits}f}"
        if not self.guessed:
            return f"{self.title}: {value} ± {error}{unit}"
        titles = ", ".join(BY_NAME[name].title for name in self.guessed)
        if float(error) == 0:
            return f"{self.title}: {value}{unit}, a guess until you measure: {titles}"
        return f"{self.title}: {value}{unit}, by readings ± {error}{unit}; guessed: {titles}"


@dataclass(frozen=True, slots=True)
class Measured:
    """An aeroplane from a sheet, and what there is to say about it.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane [-].
    derived : tuple of Derived
        Angles and balance with their errors [-].
    guessed : mapping of str to float or str
        Readings that were not taken and what stands for them [in the unit of each name].
    remarks : tuple of str
        What does not fit together, and what to look at [-].
    """

    aeroplane: Aeroplane
    derived: tuple[Derived, ...]
    guessed: Mapping[str, Answer] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()

    def words(self) -> str:
        """Say all of it.

        Returns
        -------
        str
            Lines of words [-].
        """
        lines = [f"{self.aeroplane.name}, with reading errors:"]
        lines += [f"  {one.words()}" for one in self.derived]
        if self.guessed:
            lines.append("Guessed from the trainer, scaled; measure them when you can:")
            lines += [f"  {guess_words(name, value)}" for name, value in self.guessed.items()]
        lines += [f"Look: {remark}" for remark in self.remarks]
        return "\n".join(lines)


def aeroplane_of(sheet: Sheet, errors: Mapping[str, float] | None = None) -> Measured:
    """Make an aeroplane of a sheet, however little of it was measured.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Readings by name of the question; a missing one or None is guessed [in the unit of each
        name].
    errors : mapping of str to float or None
        Reading errors that differ from those of the questions [in the unit of each name].

    Returns
    -------
    Measured
        The aeroplane, its angles with their errors, guesses and remarks [-].

    Raises
    ------
    ValueError
        When a reading has an unknown name or is out of range, or the readings cannot belong to
        one aeroplane.

    Examples
    --------
    >>> own = aeroplane_of({"span_mm": 400.0, "mass_g": 9.0})
    >>> own.aeroplane.build.wing.span_mm, round(balance.aeroplane_cg(own.aeroplane).mass_g, 3)
    (400.0, 9.0)
    """
    read = checked(sheet)
    full, guessed = filled(read)
    remarks: list[str] = []
    aeroplane = _aeroplane(full, frozenset(read), remarks)
    if not _ANGLES & set(read):
        aeroplane = _settled(aeroplane, full, guessed, remarks)
    guessed.update({name: has for name, has in _frames(aeroplane).items() if name in guessed})
    note = _note(read, guessed)
    named = dataclasses.replace(aeroplane, note=note)
    return Measured(
        aeroplane=named,
        derived=_derived(full, read, {**_errors(full), **(errors or {})}),
        guessed=MappingProxyType(guessed),
        remarks=tuple(dict.fromkeys(remarks)),
    )


def _aeroplane(full: Sheet, read: frozenset[str], remarks: list[str]) -> Aeroplane:
    wing, tail, fin = _wing(full, remarks), _tail(full), _fin(full)
    hook = number(full, "hook_station_mm")
    stick = dataclasses.replace(trainer().build.stick, hook_station_mm=hook)
    bare = Aeroplane(
        name=str(full["name"]),
        build=Build(wing=wing, tail=tail, fin=fin, stick=stick, parts=_scaled_parts(full)),
        setting=_setting(full, read, remarks),
    )
    return _weighed(bare, full, read, remarks)


_ANGLES = frozenset(
    {"wing_leading_edge_mm", "wing_trailing_edge_mm"}
    | {"tail_leading_edge_mm", "tail_trailing_edge_mm"}
)


def _settled(
    aeroplane: Aeroplane, full: dict[str, Answer], guessed: dict[str, Answer], remarks: list[str]
) -> Aeroplane:
    """Guess the decalage so that it flies, when nothing was read of wing's or tail's angle."""
    shim = inspection.settled_shim_mm(aeroplane)
    told = "no angle was measured; the decalage is a guess"
    if shim is None:
        remarks.append(f"{told}, and it does not fly well. Measure the four edges first")
        return aeroplane
    remarks.append(
        f"{told}, chosen so that it flies level well below its stall. Measure the four edges "
        "before you believe a dive or a stall"
    )
    tail = aeroplane.build.tail
    more = shim - number(full, "shim_mm")
    wanted = _tail_now_deg(full) - incidence.angle_for_shim_deg(more, tail.socket_mm)
    rise = tail.chord_mm * math.sin(math.radians(wanted))
    edge = number(full, "tail_leading_edge_mm") - rise
    full["tail_trailing_edge_mm"] = guessed["tail_trailing_edge_mm"] = edge
    angle = _tail(full).incidence_deg
    fresh = dataclasses.replace(tail, incidence_deg=angle)
    return dataclasses.replace(aeroplane, build=dataclasses.replace(aeroplane.build, tail=fresh))


def _frames(aeroplane: Aeroplane) -> dict[str, float]:
    """Masses and balance that were shared out, as the aeroplane has them."""
    whole = balance.aeroplane_cg(aeroplane)
    return {
        "mass_g": whole.mass_g,
        "balance_point_mm": whole.station_mm - aeroplane.setting.wing_station_mm,
        "wing_mass_g": aeroplane.build.wing.mass_g,
        "tail_mass_g": aeroplane.build.tail.mass_g,
        "propeller_mass_g": aeroplane.setting.propeller.mass_g,
    }


def _wing(full: Sheet, remarks: list[str]) -> Wing:
    like = trainer().build.wing
    root, tip = number(full, "root_chord_mm"), number(full, "tip_chord_mm")
    if tip > root:
        remarks.append(
            f"the tip chord {tip:g} mm is more than the chord in the middle {root:g} mm; taken as "
            "equal. Measure both again"
        )
        tip = root
    half = number(full, "span_mm") / 2
    return dataclasses.replace(
        like,
        span_mm=number(full, "span_mm"),
        root_chord_mm=root,
        tip_chord_mm=tip,
        dihedral_deg=math.degrees(math.atan2(number(full, "tip_rise_mm"), half)),
        incidence_deg=_in_range(Wing, "incidence_deg", root_angle_deg(full)),
        height_mm=_in_range(
            Wing, "height_mm", number(full, "wing_leading_edge_mm") - number(full, "stick_mm")
        ),
        mass_g=number(full, "wing_mass_g"),
    )


def _in_range(record: type[Any], name: str, value: float) -> float:
    """Check a figure that was worked out, and name the readings to look at."""
    allowed = quantities(record)[name]
    if allowed.low <= value <= allowed.high:
        return value
    unit = spaced(allowed.unit)
    raise SlipError(
        f"the readings make {allowed.meaning.lower()} {value:.1f}{unit}; allowed is "
        f"{allowed.low:g} to {allowed.high:g}{unit}; measure the heights and the chord again: is "
        "one in cm, or are two swapped?"
    )


def _tail(full: Sheet) -> Tail:
    like, socket = trainer().build.tail, number(full, "socket_mm")
    shimmed = incidence.angle_for_shim_deg(number(full, "shim_mm"), socket)
    without = _tail_now_deg(full) + shimmed
    return dataclasses.replace(
        like,
        span_mm=number(full, "tail_span_mm"),
        chord_mm=number(full, "tail_chord_mm"),
        station_mm=number(full, "tail_station_mm"),
        height_mm=_in_range(
            Tail, "height_mm", number(full, "tail_leading_edge_mm") - number(full, "stick_mm")
        ),
        incidence_deg=_in_range(Tail, "incidence_deg", without),
        socket_mm=socket,
        mass_g=number(full, "tail_mass_g"),
    )


def _fin(full: Sheet) -> Fin:
    """The fin stands on the tailplane as the trainer's does."""
    like, tail = trainer().build.fin, trainer().build.tail
    height, chord = number(full, "fin_height_mm"), number(full, "fin_chord_mm")
    behind = (like.station_mm - tail.station_mm) / tail.chord_mm
    return Fin(
        area_mm2=_in_range(Fin, "area_mm2", height * chord),
        span_mm=height,
        station_mm=number(full, "tail_station_mm") + behind * number(full, "tail_chord_mm"),
        height_mm=like.height_mm * height / like.span_mm,
    )


def _setting(full: Sheet, read: frozenset[str], remarks: list[str]) -> Setting:
    return dataclasses.replace(
        trainer().setting,
        wing_station_mm=number(full, "wing_station_mm"),
        shim_mm=number(full, "shim_mm"),
        wing_offset_mm=number(full, "wing_offset_mm"),
        left_wash_in_deg=_in_range(Setting, "left_wash_in_deg", _twist_deg(full, "left")),
        right_wash_in_deg=_in_range(Setting, "right_wash_in_deg", _twist_deg(full, "right")),
        fin_deg=_in_range(Setting, "fin_deg", _fin_deg(full)),
        tail_tilt_deg=_in_range(Setting, "tail_tilt_deg", _tilt_deg(full)),
        ballast_g=0.0,
        motor=_motor(full, read, remarks),
        propeller=_propeller(full),
    )


def _twist_deg(full: Sheet, side: str) -> float:
    tip = incidence.angle_deg(
        number(full, f"{side}_tip_leading_mm"),
        number(full, f"{side}_tip_trailing_mm"),
        min(number(full, "tip_chord_mm"), number(full, "root_chord_mm")),
    )
    return tip - root_angle_deg(full)


def _tilt_deg(full: Sheet) -> float:
    return incidence.tail_tilt_deg(
        number(full, "tail_left_tip_mm"),
        number(full, "tail_right_tip_mm"),
        number(full, "tail_span_mm"),
    )


def _motor(full: Sheet, read: frozenset[str], remarks: list[str]) -> RubberMotor:
    guessed = {name: full[name] for name in full if name not in read}
    motor = strip(full, guessed)
    made = abs(motor.mass_g / number(full, "motor_mass_g") - 1)
    if "motor_mass_g" in read and made > 0.02:
        remarks.append(
            f"a loop of {motor.loop_mm:g} x {motor.strip_width_mm:g} mm cannot weigh "
            f"{number(full, 'motor_mass_g'):g} g; its thickness is taken as "
            f"{motor.strip_thickness_mm:g} mm. Measure loop, width and mass again"
        )
    if not {"torque_turns", "torque_mNm"} <= read:
        return motor
    return _with_torque(motor, full, remarks)


def _with_torque(motor: RubberMotor, full: Sheet, remarks: list[str]) -> RubberMotor:
    turns, torque = number(full, "torque_turns"), number(full, "torque_mNm")
    if turns > motor.limit_turns:
        remarks.append(
            f"{turns:g} turns are more than this loop takes ({motor.limit_turns:.0f}); the torque "
            "is left out. Count again, or measure the loop again"
        )
        return motor
    strength = torque / float(motor.winding_torque_mNm(turns, METER_C))
    held = min(max(strength, STRONGEST[0]), STRONGEST[1])
    if held != strength:
        remarks.append(
            f"the torque {torque:.3g} mN m at {turns:g} turns is {strength:.2f} times that of a "
            f"usual loop; {held:g} is taken. Is the torque in oz in, or the strip's width off?"
        )
    return dataclasses.replace(motor, batch_strength=held)


def _propeller(full: Sheet) -> Propeller:
    """A blade of the common shape with the same pitch everywhere."""
    like = trainer().setting.propeller
    diameter, angle = number(full, "diameter_mm"), number(full, "blade_angle_deg")
    pitch_over_pi_d = 0.75 * math.tan(math.radians(angle))
    angles = tuple(math.degrees(math.atan2(pitch_over_pi_d, ratio)) for ratio in SHAPE_RADII)
    return dataclasses.replace(
        like,
        diameter_mm=diameter,
        radius_ratios=SHAPE_RADII,
        chord_ratios=tuple(SHAPE_WIDEST * share for share in SHAPE_CHORDS),
        blade_angles_deg=angles,
        mass_g=number(full, "propeller_mass_g"),
        hand="left" if full["hand"] == "left" else "right",
    )


def _scaled_parts(full: Sheet) -> tuple[Part, ...]:
    """The trainer's stick, boom and small parts, moved to where this aeroplane has them."""
    like, larger = trainer(), scale(full)
    tail, setting = like.build.tail, like.setting
    old = [
        0.0, setting.wing_station_mm, like.build.stick.hook_station_mm, tail.station_mm,
        tail.station_mm + tail.chord_mm,
    ]  # fmt: skip
    tail_mm = number(full, "tail_station_mm")
    new = [
        0.0, number(full, "wing_station_mm"), number(full, "hook_station_mm"), tail_mm,
        tail_mm + number(full, "tail_chord_mm"),
    ]  # fmt: skip
    return tuple(
        dataclasses.replace(
            part,
            mass_g=part.mass_g * larger**2,
            station_mm=float(np.interp(part.station_mm, old, new)),
            height_mm=part.height_mm * larger,
            length_mm=min(part.length_mm * larger, 900.0),
        )
        for part in like.build.parts
    )


def _weighed(bare: Aeroplane, full: Sheet, read: frozenset[str], remarks: list[str]) -> Aeroplane:
    """Share out what the balance shows among the parts that nobody weighed."""
    free = [part.name for part in bare.build.parts]
    loose = [name for name in ("wing", "tail", "propeller") if f"{name}_mass_g" not in read]
    if not {"mass_g", "balance_point_mm"} & read:
        return bare
    masses, stations = _masses(bare, loose)
    fixed = _fixed(bare, loose)
    wanted = number(full, "mass_g") - fixed[0] if "mass_g" in read else float(np.sum(masses))
    if wanted <= 0:
        raise SlipError(
            f"the parts weighed alone come to {fixed[0]:.2f} g and the whole aeroplane to "
            f"{number(full, 'mass_g'):g} g; the whole must be more; was it weighed without its "
            "rubber, or is one in another unit?"
        )
    fresh = masses * wanted / np.sum(masses)
    if "balance_point_mm" in read:
        fresh = _tilted(fresh, stations, fixed, full, remarks)
    names = [*loose, *free]
    _tell_odd(names, masses * (wanted / np.sum(masses)), fresh, remarks)
    return _with_masses(bare, dict(zip(names, map(float, fresh), strict=True)))


def _masses(bare: Aeroplane, loose: list[str]) -> tuple[Any, Any]:
    """Masses and stations of what nobody weighed, in the order loose, then parts."""
    by_name = {part.name: part for part in balance.parts(bare)}
    keys = {"wing": "wing", "tail": "tailplane", "propeller": "propeller"}
    parts = [*(by_name[keys[name]] for name in loose), *bare.build.parts]
    return np.array([p.mass_g for p in parts]), np.array([p.station_mm for p in parts])


def _fixed(bare: Aeroplane, loose: list[str]) -> tuple[float, float]:
    """Mass and moment of what was weighed, or follows from the loop."""
    masses, stations = _masses(bare, loose)
    whole = balance.aeroplane_cg(bare)
    moment = whole.mass_g * whole.station_mm - float(masses @ stations)
    return whole.mass_g - float(np.sum(masses)), moment


def _tilted(
    masses: Any, stations: Any, fixed: tuple[float, float], full: Sheet, remarks: list[str]
) -> Any:
    """Make the unweighed parts heavier in front or behind, as little as will balance.

    Each mass is multiplied by exp(k x station): of all positive masses with the wanted sum and
    moment these are the nearest to the guess in the sense of relative entropy.
    """
    total = float(np.sum(masses))
    place = number(full, "wing_station_mm") + number(full, "balance_point_mm")
    wanted = ((fixed[0] + total) * place - fixed[1]) / total
    low, high = float(np.min(stations)), float(np.max(stations))
    if not low + 1 < wanted < high - 1:
        raise SlipError(
            f"no masses can balance at {number(full, 'balance_point_mm'):g} mm behind the wing's "
            "leading edge with these readings; measure the balance point, the wing's place and the "
            "mass again: is one in cm?"
        )
    away = (stations - wanted) / (high - low)

    def shared(k: float) -> Any:
        grown = masses * np.exp(k * away)
        return grown * total / np.sum(grown)

    ends = [-60.0, 60.0]
    for _ in range(80):
        middle = (ends[0] + ends[1]) / 2
        ends[int(shared(middle) @ away > 0)] = middle
    return shared((ends[0] + ends[1]) / 2)


def _tell_odd(names: list[str], guessed: Any, fresh: Any, remarks: list[str]) -> None:
    ratios = fresh / guessed
    if np.all((ratios >= LIGHTEST) & (ratios <= HEAVIEST)):
        return
    worst = int(np.argmax(np.abs(np.log(ratios))))
    remarks.append(
        f"to balance there, the {names[worst]} must weigh {fresh[worst]:.2f} g, "
        f"{ratios[worst]:.1f} times the guess; measure the balance point, the wing's place and "
        "the mass again, or weigh the parts"
    )


def _with_masses(bare: Aeroplane, masses: Mapping[str, float]) -> Aeroplane:
    build, setting = bare.build, bare.setting
    wing, tail, propeller = build.wing, build.tail, setting.propeller
    least = quantities(Part)["mass_g"].low
    parts = tuple(
        dataclasses.replace(part, mass_g=max(masses[part.name], least)) for part in build.parts
    )
    fresh = dataclasses.replace(
        build,
        wing=dataclasses.replace(wing, mass_g=masses.get("wing", wing.mass_g)),
        tail=dataclasses.replace(tail, mass_g=masses.get("tail", tail.mass_g)),
        parts=parts,
    )
    turned = dataclasses.replace(propeller, mass_g=masses.get("propeller", propeller.mass_g))
    return dataclasses.replace(
        bare, build=fresh, setting=dataclasses.replace(setting, propeller=turned)
    )


def _note(read: Sheet, guessed: Mapping[str, Answer]) -> str:
    measured = len([name for name in read if not BY_NAME[name].is_text])
    told = f"Measured with ruler and balance: {measured} readings."
    if not guessed:
        return f"{told} Nothing guessed."
    titles = ", ".join(BY_NAME[name].title for name in guessed)
    return f"{told} Guessed from the trainer, scaled: {titles}."


Formula = Callable[[Sheet], float]


def _decalage_deg(full: Sheet) -> float:
    return root_angle_deg(full) - _tail_now_deg(full)


def _tail_now_deg(full: Sheet) -> float:
    return incidence.angle_deg(
        number(full, "tail_leading_edge_mm"),
        number(full, "tail_trailing_edge_mm"),
        number(full, "tail_chord_mm"),
    )


def _margin(full: Sheet) -> float:
    return balance.static_margin(_aeroplane(full, frozenset(full), []))


def _fin_deg(full: Sheet) -> float:
    return incidence.angle_deg(number(full, "fin_left_mm"), 0.0, number(full, "fin_chord_mm"))


_WING = ("wing_leading_edge_mm", "wing_trailing_edge_mm", "root_chord_mm")
_TAIL = ("tail_leading_edge_mm", "tail_trailing_edge_mm", "tail_chord_mm")
_BALANCE = (
    "balance_point_mm", "wing_station_mm", "span_mm", "root_chord_mm", "tip_chord_mm",
    "tail_span_mm", "tail_chord_mm", "tail_station_mm",
)  # fmt: skip
_FORMULAS: tuple[tuple[str, str, str, tuple[str, ...], Formula], ...] = (
    ("wing_deg", "wing to the stick", "°", _WING, root_angle_deg),
    ("tail_deg", "tailplane to the stick", "°", _TAIL, _tail_now_deg),
    ("decalage_deg", "decalage", "°", _WING + _TAIL, _decalage_deg),
    ("left_twist_deg", "left tip's twist, + wash-in", "°",
     (*TIPS[:2], "tip_chord_mm", *_WING), lambda full: _twist_deg(full, "left")),
    ("right_twist_deg", "right tip's twist, + wash-in", "°",
     (*TIPS[2:], "tip_chord_mm", *_WING), lambda full: _twist_deg(full, "right")),
    ("fin_deg", "fin, + trailing edge left", "°", ("fin_left_mm", "fin_chord_mm"), _fin_deg),
    ("tail_tilt_deg", "tail tilt, + left tip high", "°",
     ("tail_left_tip_mm", "tail_right_tip_mm", "tail_span_mm"), _tilt_deg),
    ("mass_g", "mass ready to fly", "g", ("mass_g",), lambda full: number(full, "mass_g")),
    ("static_margin", "static margin", "", _BALANCE, _margin),
)  # fmt: skip


def _errors(full: Sheet) -> dict[str, float]:
    """Reading errors in the unit of each; a torque's is a share of it."""
    found = {one.name: one.error for one in QUESTIONS if not one.is_text}
    return {**found, "torque_mNm": TORQUE_SHARE * number(full, "torque_mNm")}


def _derived(full: Sheet, read: Sheet, errors: Mapping[str, float]) -> tuple[Derived, ...]:
    """Work each formula out, and add the errors of its readings as squares."""
    found = []
    for name, title, unit, behind, formula in _FORMULAS:
        parts = [_effect(formula, full, one, errors[one]) for one in behind if one in read]
        guessed = tuple(one for one in behind if one not in read)
        error = math.sqrt(math.fsum(part**2 for part in parts))
        found.append(Derived(name, title, formula(full), error, unit, guessed))
    return tuple(found)


def _effect(formula: Formula, full: Sheet, name: str, error: float) -> float:
    """Half the change between a reading too high and one too low by a tenth of its error, x 10."""
    step = error / 10
    if step == 0:
        return 0.0
    ends = [formula({**full, name: number(full, name) + way * step}) for way in (1, -1)]
    return 5 * (ends[0] - ends[1])
