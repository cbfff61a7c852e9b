"""What stands out on an aeroplane before its first flight, and what to fly first.

The angles, the balance and the trim come from the closed formulas of the bench: no flight is
computed here. Each finding says what is, what is usual, and what to do; the order is how much it
matters for the first flight. The limits are our rules from common practice, no source.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from trimkit import aeroplane as records
from trimkit import balance, incidence, trim
from trimkit.aeroplane import Aeroplane
from trimkit.motor import turns_for_torque
from trimkit.trim import Trim
from trimkit.units import MNM_PER_OUNCE_INCH

LOW_POWER = 1.39  # torque of a first test over `trim.level`'s; the trainer's at 750 turns
FULL_SHARE = 0.85  # of the breaking turns; common practice, no source
LEAST_MARGIN, GOOD_MARGIN, MIDDLE_MARGIN, MOST_MARGIN = 0.05, 0.15, 0.22, 0.50
LEAST_POWER, WEAK_POWER, MOST_POWER = 1.3, 1.8, 5.0  # torque when full, over level torque
LEAST_RUBBER, MOST_RUBBER = 0.10, 0.35  # share of the mass
LIGHTEST_G_DM2, HEAVIEST_G_DM2 = 0.6, 4.5  # mass over the wing's area
MOST_FIN_DEG, MOST_TWIST_DEG = 4.0, 5.5
LEAST_ASK_DEG, LEAST_TILT_DEG, LEAST_OFFSET_MM = 0.3, 1.0, 3.0  # less asks for no circle
MOST_SHIM_MM, GOOD_BELOW_STALL_DEG = 4.0, 2.2
MOST_DECALAGE_DEG = 4.5  # a shim that needs more, or less than none, is not the cure
NOSE_MM = -5.0  # where clay goes


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that stands out.

    Parameters
    ----------
    weight : float
        How much it matters for the first flight, 100 the most; our rule [-].
    what : str
        What is [-].
    usual : str
        What is usual [-].
    do : str
        What to do about it [-].
    """

    weight: float
    what: str
    usual: str
    do: str

    def words(self) -> str:
        """Say it in one paragraph.

        Returns
        -------
        str
            What is, what is usual, what to do [-].
        """
        return f"{self.what}. Usual: {self.usual}. Do: {self.do}."


@dataclass(frozen=True, slots=True)
class FirstFlight:
    """The setting to fly first: a test at low power.

    Parameters
    ----------
    shim_change_mm : float
        Change of the shim before it, + lifts the trailing edge [mm].
    turns : int
        Turns at the launch, 0 when the loop cannot give the torque [turns].
    half_motor_turns : int
        Turns for half the loop with a spacer, for a low hall [turns].
    torque_mNm : float
        What the torque meter should show [mN m].
    speed_m_s : float
        How fast to let it go: that of level flight [m/s].
    expect : str
        What a good aeroplane does then [-].
    mend_first : bool
        The balance is to be mended before any flight [-].
    """

    shim_change_mm: float
    turns: int
    half_motor_turns: int
    torque_mNm: float
    speed_m_s: float
    expect: str
    mend_first: bool = False

    def words(self) -> str:
        """Say what to fly.

        Returns
        -------
        str
            Two or three sentences [-].
        """
        if self.mend_first:
            return "Mend number 1 first, then inspect again: no flight before the balance is good."
        shim = _shim_words(self.shim_change_mm)
        first = f"Shim first: {shim}. " if self.shim_change_mm else ""
        if not self.turns:
            return f"{first}Change the rubber first: this loop cannot carry a test flight."
        ounces = self.torque_mNm / MNM_PER_OUNCE_INCH
        return (
            f"{first}Low-power test: {self.turns} turns (half a motor: {self.half_motor_turns}), "
            f"{self.torque_mNm:.1f} mN m or {ounces:.2f} oz in on the meter. Let it go level at "
            f"{self.speed_m_s:.1f} m/s, a {_pace(self.speed_m_s)}. {self.expect}"
        )


@dataclass(frozen=True, slots=True)
class Inspection:
    """An aeroplane's angles, balance, masses and motor, and what stands out.

    Parameters
    ----------
    name : str
        Name of the aeroplane [-].
    figures : tuple of (str, float, str)
        Title, value and unit [in the unit given].
    glide, level : Trim or None
        Trim without power and in level flight; None when the propeller cannot hold it [-].
    findings : tuple of Finding
        What stands out, the most important first [-].
    first : FirstFlight
        What to fly first [-].
    note : str
        The note in the file: where the figures come from [-].
    """

    name: str
    figures: tuple[tuple[str, float, str], ...]
    glide: Trim
    level: Trim | None
    findings: tuple[Finding, ...]
    first: FirstFlight
    note: str = ""

    def words(self) -> str:
        """Say all of it.

        Returns
        -------
        str
            Lines of words [-].
        """
        lines = [f"{self.name}, as set in the file:"]
        lines += [f"  {title}: {_shown(value, unit)}" for title, value, unit in self.figures]
        lines += [f"Note in the file: {self.note}"] if self.note else []
        lines.append(f"Glide: {self.glide.words()}")
        if self.level:
            lines.append(f"Under power: {self.level.words()}")
        lines.append("What stands out:" if self.findings else "Nothing stands out.")
        lines += [f"{number}. {one.words()}" for number, one in enumerate(self.findings, 1)]
        lines += ["First flight:", f"  {self.first.words()}"]
        return "\n".join(lines)

    def as_data(self) -> dict[str, Any]:
        """Give the same as plain data, for another program.

        Returns
        -------
        dict
            Figures by title with their units, findings and first flight [-].
        """
        return {
            "aeroplane": self.name,
            "note": self.note,
            "figures": {
                title: {"value": round(value, 4), "unit": unit}
                for title, value, unit in self.figures
            },
            "glide": self.glide.verdict,
            "level": self.level.verdict if self.level else "cannot",
            "findings": [dataclasses.asdict(one) for one in self.findings],
            "first_flight": {**dataclasses.asdict(self.first), "words": self.first.words()},
        }


def inspect(aeroplane: Aeroplane, temperature_c: float = 20.0) -> Inspection:
    """Look an aeroplane over before its first flight.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    temperature_c : float
        Of the hall and the rubber, 0 to 40 [°C].

    Returns
    -------
    Inspection
        Figures, findings in order, and the first flight [-].
    """
    glide, level = trim.glide(aeroplane), _level(aeroplane)
    bad = level is None or level.verdict != "good"
    shim = settled_shim_mm(aeroplane) if bad else aeroplane.setting.shim_mm
    settled = level if not bad or shim is None else _level(_shimmed(aeroplane, shim))
    look = _Look(aeroplane, temperature_c, glide, level, shim, settled)
    found = [one for check in _CHECKS for one in check(look)]
    return Inspection(
        name=aeroplane.name,
        figures=tuple(_figures(look)),
        glide=look.glide,
        level=look.level,
        findings=tuple(sorted(found, key=lambda one: -one.weight)),
        first=_first(look),
        note=aeroplane.note,
    )


@dataclass(frozen=True, slots=True)
class _Look:
    """What the checks share."""

    aeroplane: Aeroplane
    temperature_c: float
    glide: Trim
    level: Trim | None
    shim_mm: float | None  # with which it would fly well
    settled: Trim | None  # level flight with that shim, else as it is

    @property
    def margin(self) -> float:
        return balance.static_margin(self.aeroplane)

    @property
    def full_torque_mNm(self) -> float:
        motor = self.aeroplane.setting.motor
        turns = FULL_SHARE * motor.max_turns(self.temperature_c)
        return float(motor.winding_torque_mNm(turns, self.temperature_c))

    @property
    def power(self) -> float | None:
        """Torque of the full motor over that of level flight, once the shim is good."""
        if not self.settled or not self.settled.found:
            return None
        return self.full_torque_mNm / self.settled.torque_mNm

    @property
    def side(self) -> int:
        """1 when the usual circle is to the left, -1 with a left-hand propeller."""
        return 1 if self.aeroplane.setting.propeller.hand == "right" else -1


def _level(aeroplane: Aeroplane) -> Trim | None:
    try:
        return trim.level(aeroplane)
    except ValueError:  # no propeller speed gives the thrust
        return None


def _figures(look: _Look) -> Iterator[tuple[str, float, str]]:
    aeroplane, motor = look.aeroplane, look.aeroplane.setting.motor
    whole = balance.aeroplane_cg(aeroplane)
    yield "wing to the stick", incidence.wing_incidence_deg(aeroplane), "°"
    yield "tailplane to the stick", incidence.tail_incidence_deg(aeroplane), "°"
    yield "decalage", incidence.decalage_deg(aeroplane), "°"
    twist = incidence.panel_twist_deg(aeroplane)
    yield "left tip's twist", twist.left_deg, "°"
    yield "right tip's twist", twist.right_deg, "°"
    yield "balance point behind the wing's leading edge", balance.balance_point_mm(aeroplane), "mm"
    yield "balance point in the mean chord", 100 * balance.cg_fraction(aeroplane), "%"
    yield "static margin", look.margin, ""
    yield "mass ready to fly", whole.mass_g, "g"
    yield "mass without rubber", whole.mass_g - motor.mass_g, "g"
    yield "wing loading", _loading(aeroplane), "g/dm²"
    yield "rubber", motor.mass_g, "g"
    yield "rubber in the whole mass", 100 * motor.mass_g / whole.mass_g, "%"
    yield "turns at which the loop breaks", float(motor.max_turns(look.temperature_c)), "turns"
    yield f"torque at {FULL_SHARE:.0%} of them", look.full_torque_mNm, "mN m"
    if look.level and look.level.found:
        yield "torque that holds it level, flown straight", look.level.torque_mNm, "mN m"
    if look.power:
        yield "full torque over level torque", look.power, ""


def _loading(aeroplane: Aeroplane) -> float:
    return balance.aeroplane_cg(aeroplane).mass_g / (aeroplane.build.wing.area_mm2 / 1e4)


def _shown(value: float, unit: str) -> str:
    digits = {"turns": 0, "%": 0, "mm": 1, "°": 1}.get(unit, 2)
    space = "" if unit in ("", "°") else " "
    return f"{value + 0.0:.{digits}f}{space}{unit}"


def _pace(speed_m_s: float) -> str:
    if speed_m_s < 1.6:
        return "slow walk"
    return "brisk walk" if speed_m_s < 2.4 else "slow run of the hand"


# --- what may stand out -----------------------------------------------------------------------


def _balance(look: _Look) -> Iterator[Finding]:
    margin, aeroplane = look.margin, look.aeroplane
    usual = f"a margin of {LEAST_MARGIN:g} to {MOST_MARGIN:g}"
    if margin < LEAST_MARGIN:
        slide, clay = _to_margin(aeroplane, GOOD_MARGIN)
        yield Finding(
            100,
            f"It balances too far back: static margin {margin:.2f}, the nose will not come back",
            usual,
            f"slide the wing back by {slide:.0f} mm, or put {clay:.2f} g of clay at the nose, then "
            "inspect again",
        )
    if margin > MOST_MARGIN:
        slide, _ = _to_margin(aeroplane, MIDDLE_MARGIN)
        yield Finding(
            45,
            f"It balances far forward: static margin {margin:.2f}",
            usual,
            f"slide the wing forward by {-slide:.0f} mm, then inspect again",
        )


def _to_margin(aeroplane: Aeroplane, margin: float) -> tuple[float, float]:
    """Slide of the wing, + back, and clay at the nose that give a margin."""
    neutral, whole = balance.neutral_point_mm(aeroplane), balance.aeroplane_cg(aeroplane)
    place = neutral - margin * aeroplane.build.wing.mean_chord_mm
    clay = whole.mass_g * (whole.station_mm - place) / (place - NOSE_MM)
    moved = aeroplane
    for _ in range(4):  # the tail's arm changes with the wing's place
        wanted = balance.cg_fraction(moved) - (margin - balance.static_margin(moved))
        station = balance.wing_station_for_cg_mm(moved, float(np.clip(wanted, -0.5, 1.5)))
        moved = records.replace(moved, wing_station_mm=float(np.clip(station, 0, 500)))
    return moved.setting.wing_station_mm - aeroplane.setting.wing_station_mm, clay


def _pitch(look: _Look) -> Iterator[Finding]:
    if look.margin < LEAST_MARGIN:
        return
    decalage = incidence.decalage_deg(look.aeroplane)
    figures = f"decalage {decalage:.1f}°, static margin {look.margin:.2f}"
    usual = "0.5 to 3.5° of decalage, and good in both"
    if look.level and look.level.verdict != "good":
        word = look.level.verdict
        weight = 95 if word == "dives" else 90
        yield Finding(weight, f"It {word} under power: {figures}", usual, _pitch_cure(look))
    elif look.glide.verdict != "good":
        word, way = look.glide.verdict, "lifts" if look.glide.verdict == "dives" else "lowers"
        do = f"fly first; if it {word} once the motor is weak, a shim of 0.4 mm that {way} the "
        yield Finding(
            30, f"It {word} in the glide, not under power: {figures}", usual,
            f"{do}tail's trailing edge",
        )  # fmt: skip


def _pitch_cure(look: _Look) -> str:
    if look.shim_mm is None:
        return f"{_slide_words(look)}; no shim alone makes it good"
    after = _decalage_after_deg(look.aeroplane, look.shim_mm)
    if _balance_first(look):
        return f"{_slide_words(look)}; a shim alone would want {after:.1f}° of decalage"
    shim = _shim_words(_shim_change(look))
    return f"{shim}, which makes the decalage {after:.1f}°; then measure again"


def _slide_words(look: _Look) -> str:
    slide, _ = _to_margin(look.aeroplane, MIDDLE_MARGIN)
    way = "back" if slide > 0 else "forward"
    return (
        f"the balance first: slide the wing {way} by {abs(slide):.0f} mm, to a margin of "
        f"{MIDDLE_MARGIN:g}, then inspect again"
    )


def _balance_first(look: _Look) -> bool:
    """Whether no shim within reason makes it fly well."""
    if look.margin < LEAST_MARGIN or look.shim_mm is None:
        return True
    after = _decalage_after_deg(look.aeroplane, look.shim_mm)
    return _shim_change(look) != 0 and not 0 <= after <= MOST_DECALAGE_DEG


def _shimmed(aeroplane: Aeroplane, shim_mm: float) -> Aeroplane:
    return records.replace(aeroplane, shim_mm=shim_mm)


def _decalage_after_deg(aeroplane: Aeroplane, shim_mm: float) -> float:
    return incidence.decalage_deg(_shimmed(aeroplane, shim_mm))


def settled_shim_mm(aeroplane: Aeroplane) -> float | None:
    """Find the shim with which level flight lies a good way below the stall.

    More shim brings the wing nearer to its stall. The demo aeroplanes, which fly well, keep 1.8
    to 2.8° in `trim.level`.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].

    Returns
    -------
    float or None
        Shim, + lifts the trailing edge, within 4 mm of the one that is in; None when there is
        none that flies well [mm].
    """
    now = aeroplane.setting.shim_mm
    low, high = max(now - MOST_SHIM_MM, -6.0), min(now + MOST_SHIM_MM, 6.0)
    for _ in range(8):
        middle = (low + high) / 2
        if _below_stall_deg(_shimmed(aeroplane, middle)) > GOOD_BELOW_STALL_DEG:
            low = middle
        else:
            high = middle
    shim = round((low + high) / 2, 1)
    level = _level(_shimmed(aeroplane, shim))
    return shim if level and level.verdict == "good" else None


def _below_stall_deg(aeroplane: Aeroplane) -> float:
    level = _level(aeroplane)
    return level.stall_margin_deg if level else np.inf  # only a fall is too fast for a propeller


def _shim_change(look: _Look) -> float:
    """The change of the shim that the trim asks for, 0 for none."""
    return 0.0 if look.shim_mm is None else look.shim_mm - look.aeroplane.setting.shim_mm


def _shim_words(change_mm: float) -> str:
    if change_mm == 0:
        return "leave the shim as it is"
    side = "lifts" if change_mm > 0 else "lowers"
    return f"a shim of {abs(change_mm):.1f} mm that {side} the tail's trailing edge"


def _power(look: _Look) -> Iterator[Finding]:
    power = look.power
    if look.level is None:
        yield Finding(
            92,
            "The propeller cannot hold it level at any speed",
            "a pitch of 1.2 to 2 times the diameter",
            "check the propeller's diameter and blade angle",
        )
    if power is None:
        return
    usual = f"{WEAK_POWER:g} to {MOST_POWER:g}"
    said = f"The full motor gives {power:.1f} times the torque of level flight"
    if power < WEAK_POWER:
        word = "it will not climb" if power < LEAST_POWER else "it will hardly climb"
        yield Finding(
            85 if power < LEAST_POWER else 50,
            f"{said}: {word}",
            usual,
            "a thicker loop of the same mass, 10 % at a time; or make it lighter",
        )
    if power > MOST_POWER:
        yield Finding(
            45, f"{said}: a wild climb", usual, "a thinner, longer loop; until then fewer turns"
        )


def _rubber(look: _Look) -> Iterator[Finding]:
    motor = look.aeroplane.setting.motor
    share = motor.mass_g / balance.aeroplane_cg(look.aeroplane).mass_g
    if not LEAST_RUBBER <= share <= MOST_RUBBER:
        yield Finding(
            35,
            f"The rubber is {share:.0%} of the mass",
            f"{LEAST_RUBBER:.0%} to {MOST_RUBBER:.0%}",
            "weigh the loop and the aeroplane again; then change the loop's length",
        )
    states = (
        (motor.lubrication < 0.5, "The rubber is dry", "lubricate it, off the sports floor"),
        (motor.knot_strength < 0.9, "The knot is weak", "tie it again, wet, and pull it tight"),
        (motor.freshness < 0.9, "The rubber is tired", "take a fresh loop"),
    )
    for bad, what, do in states:
        if bad:
            yield Finding(40, what, "a fresh, lubricated loop with a good knot", do)


def _joints(look: _Look) -> Iterator[Finding]:
    build = look.aeroplane.build
    firm = "firm: nothing moves when you wiggle it"
    if build.tail.joint_slack > 0.05:
        yield Finding(
            88, "The tail joint is loose", firm, "glue it or wedge it before any shim counts"
        )
    if build.wing.saddle_slack > 0.05:
        yield Finding(88, "The wing's saddle is loose", firm, "new bands, or glue the posts")
    if build.wing.left_droop_deg > 1:
        yield Finding(
            80,
            f"The left panel hangs {build.wing.left_droop_deg:.1f}° low",
            "both panels alike",
            "glue the dihedral joint",
        )
    quality = (
        build.wing.covering_quality, build.wing.left_covering_quality, build.tail.covering_quality,
    )  # fmt: skip
    if min(quality) < 0.97:
        yield Finding(40, "The covering is wrinkled or torn", "smooth and whole", "patch it")


def _twist(look: _Look) -> Iterator[Finding]:
    twist = incidence.panel_twist_deg(look.aeroplane)
    inner, outer = ("left", "right") if look.side == 1 else ("right", "left")
    more = look.side * twist.difference_deg
    usual = f"the {inner} tip 0.5 to 3° more than the {outer}, against the propeller's torque"
    if more < -0.2:
        tip = look.aeroplane.build.wing.tip_chord_mm
        drop = incidence.wash_in_mm(min(-more + 1, 20.0), tip)
        yield Finding(
            75,
            f"The {inner} tip is washed out by {-more:.1f}° against the {outer}: it will roll "
            f"{inner} into the floor",
            usual,
            f"{inner} tip's trailing edge down by {drop:.1f} mm (with warmth: an adult)",
        )
    if more > MOST_TWIST_DEG:
        yield Finding(
            55,
            f"The {inner} tip is washed in by {more:.1f}° against the {outer}",
            usual,
            f"{inner} tip's trailing edge up, 1 mm at a time (with warmth: an adult)",
        )
    if abs(look.aeroplane.build.wing.skew_deg) > 1.5:
        yield Finding(
            65,
            f"The wing sits {look.aeroplane.build.wing.skew_deg:.1f}° askew",
            "square to the stick",
            "measure from each tip to the tail's post and make both the same",
        )


def _circle(look: _Look) -> Iterator[Finding]:
    setting = look.aeroplane.setting
    fin = look.side * look.aeroplane.fin_deg
    way = "left" if look.side == 1 else "right"
    usual = f"0.5 to {MOST_FIN_DEG:g}° to the {way}"
    asks = (  # each over the least that counts
        fin / LEAST_ASK_DEG,
        look.side * setting.side_thrust_deg / LEAST_ASK_DEG,
        look.side * setting.tail_tilt_deg / LEAST_TILT_DEG,
        look.side * setting.wing_offset_mm / LEAST_OFFSET_MM,
    )
    if max(asks) < 1:
        yield Finding(
            60,
            f"Nothing asks for a {way} circle (fin {fin:.1f}° to the {way}): it may fly straight "
            "to the wall, or the wrong way round",
            usual,
            f"fin's trailing edge {way} by 1 mm",
        )
    if fin > MOST_FIN_DEG:
        yield Finding(
            50,
            f"The fin is set {fin:.1f}° to the {way}: a flat, skidding circle that loses height",
            usual,
            "half the fin's angle, and fly",
        )


def _propeller(look: _Look) -> Iterator[Finding]:
    propeller, stick = look.aeroplane.setting.propeller, look.aeroplane.build.stick
    rows = (
        (
            stick.hub_grip_mNm < look.full_torque_mNm, 80, "The propeller slips on its shaft",
            "no slip at full torque", "glue the hub",
        ),
        (
            stick.bearing_drag_mNm > 0.2, 60, "The hook or the bearing binds",
            "it spins freely", "free it, one drop of oil",
        ),
        (
            abs(propeller.second_blade_deg) > 1, 40,
            f"The blades differ by {abs(propeller.second_blade_deg):.1f}°", "less than 1°",
            "twist one blade with the pitch gauge until they agree",
        ),
        (
            stick.shaft_bend_deg > 1, 45, f"The shaft is bent by {stick.shaft_bend_deg:.1f}°",
            "straight", "straighten it, rubber off",
        ),
        (
            stick.propeller_imbalance_g_mm > 5, 40, "The propeller is out of balance",
            "it stays as you put it on a pin", "tape on the light blade, 0.02 to 0.05 g",
        ),
        (
            stick.propeller_track_mm > 3, 35, "The blades run in two discs", "less than 2 mm apart",
            "bend the hub, rubber off",
        ),
    )  # fmt: skip
    for bad, weight, what, usual, do in rows:
        if bad:
            yield Finding(weight, what, usual, do)


def _frame(look: _Look) -> Iterator[Finding]:
    loading, stick = _loading(look.aeroplane), look.aeroplane.build.stick
    bow = stick.bow_deg_mNm * look.full_torque_mNm
    if not LIGHTEST_G_DM2 <= loading <= HEAVIEST_G_DM2:
        yield Finding(
            55,
            f"It weighs {loading:.1f} g for each dm² of wing",
            f"{LIGHTEST_G_DM2:g} to {HEAVIEST_G_DM2:g} g/dm²",
            "weigh it again and measure the span and chord again; then look for glue and wood",
        )
    if bow > 1:
        yield Finding(
            45,
            f"The stick bows by {bow:.1f}° when the motor is full",
            "less than 1°",
            "a stiffer stick, or brace it; fly with fewer turns until then",
        )


_CHECKS: tuple[Callable[[_Look], Iterator[Finding]], ...] = (
    _balance, _pitch, _power, _rubber, _joints, _twist, _circle, _propeller, _frame,
)  # fmt: skip


def _first(look: _Look) -> FirstFlight:
    """A test a little above level power, with the shim that the trim asks for."""
    level, change = look.settled, _shim_change(look)
    expect = "It should fly on at about the height of the hand in a wide circle and sink softly."
    if _balance_first(look):
        return FirstFlight(0.0, 0, 0, 0.0, look.glide.speed_m_s, expect, mend_first=True)
    if level is None or not level.found:
        return FirstFlight(change, 0, 0, 0.0, look.glide.speed_m_s, expect)
    torque = LOW_POWER * level.torque_mNm
    try:
        motor = look.aeroplane.setting.motor
        turns = float(turns_for_torque(motor, torque, look.temperature_c))
    except ValueError:  # the loop breaks before
        turns = 0.0
    rounded = round(turns / 10) * 10
    return FirstFlight(change, rounded, rounded // 2, torque, level.speed_m_s, expect)
