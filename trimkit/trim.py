"""The steady flight of an aeroplane with its wings level, in closed form.

`glide` lets the aeroplane go with no propeller force; `level` adds the thrust that holds the
height and asks the propeller for its torque. Both find the one angle of attack at which the
pitching moments about the centre of gravity cancel, and say in words whether the aeroplane
dives, stalls or is good.

The forces: the wing's section at its quarter chord with induced drag and downwash, the
tailplane in the downwash with its section's own moment, the drag of the fin, and in `level` the
thrust along its line. Left out, on purpose: drag of sticks and posts, a stopped propeller, and
the slipstream. Induced drag is lift squared over pi times the aspect ratio (Prandtl, an elliptic
load, from memory): the angle that Helmbold's slope takes away is larger than the one that tilts
the lift, for a wide wing also sees its wake curve the flow along the chord.

Short formulas for students stand at the end of the file: speed, phugoid, circle and polar.
Types there are written for single numbers; arrays in give arrays out.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from trimkit import air as airs
from trimkit import balance, incidence
from trimkit.aeroplane import Aeroplane, Wing
from trimkit.air import ROOM, Air
from trimkit.balance import CentreOfGravity
from trimkit.section import HIGHEST_REYNOLDS, LOWEST_REYNOLDS, Section, plate
from trimkit.units import MNM_PER_OUNCE_INCH, STANDARD_GRAVITY_M_S2, Floats, as_given

Verdict = Literal["dives", "stalls", "good"]

STALL_MARGIN_DEG = 1.0  # our rule for the word "stalls": a glide closer than this to the stall
POWERED_STALL_MARGIN_DEG = 0.0  # the same for level flight, see `level` for the reason
SINK_RATIO = 1.5  # our rule for the word "dives": sink over this many times the least
BELOW_ZERO_LIFT_DEG, PAST_STALL_DEG = 6.0, 6.0  # how far the search for a trim looks
SEARCH_POINTS = 121  # about 0.2 degrees apart; the trim is then refined 40 times, twice
TAIL_STEPS = 16  # leave an error below 0.0001 degrees
STEEPEST_BANK_DEG = 80.0  # assumed: beyond that the wings-level formulas mean nothing


@dataclass(frozen=True, slots=True)
class Trim:
    """A steady flight with the wings level, and what it is called.

    When no steady flight is found, `found` is False. Then the figures are those of the place
    where the search ended: the straight fall with no lift for a nose that keeps dropping, the
    stall for a nose that keeps rising.

    Parameters
    ----------
    found : bool
        A stable balance of moments was found at a lift that carries the aeroplane [-].
    powered : bool
        Held level by thrust, or gliding [-].
    speed_m_s : float
        Speed along the path [m/s].
    angle_of_attack_deg : float
        Wing's root chord against the path [deg].
    lift_coefficient, drag_coefficient : float
        Of the whole aeroplane on the wing's area, thrust not counted [-].
    sink_m_s : float
        Height lost each second; in level flight the height the thrust makes good [m/s].
    least_sink_m_s : float
        The same at the angle where it is least [m/s].
    glide_ratio : float
        Lift over drag [-].
    stall_margin_deg : float
        Stall angle minus angle of attack, negative past the stall; the stall begins where the
        first part of the wing reaches its section's greatest lift [deg].
    static_margin : float
        Neutral point minus balance point over the chord, "wing slope" [-].
    decalage_deg : float
        Wing minus tail, between chord lines [deg].
    reynolds : float
        Reynolds number on the wing's mean chord [-].
    thrust_mN : float
        Thrust, 0 in the glide [mN].
    torque_mNm : float
        Torque at the propeller shaft, 0 in the glide; a motor must give a little more for the
        friction of its bearing [mN m].
    revs_per_s : float
        Turns of the propeller each second, 0 in the glide [1/s].
    verdict : {"dives", "stalls", "good"}
        What a coach calls it [-].
    """

    found: bool
    powered: bool
    speed_m_s: float
    angle_of_attack_deg: float
    lift_coefficient: float
    drag_coefficient: float
    sink_m_s: float
    least_sink_m_s: float
    glide_ratio: float
    stall_margin_deg: float
    static_margin: float
    decalage_deg: float
    reynolds: float
    thrust_mN: float
    torque_mNm: float
    revs_per_s: float
    verdict: Verdict

    @property
    def torque_ozin(self) -> float:
        """Torque as most torque meters show it [oz in]."""
        return self.torque_mNm / MNM_PER_OUNCE_INCH

    def words(self) -> str:
        """Say what the flight does and which figures say so.

        Returns
        -------
        str
            Two to four plain sentences [-].
        """
        return " ".join((_SAID[self.verdict], self._reason(), *self._power()))

    def _reason(self) -> str:
        if not self.found:
            return (
                f"With {self.decalage_deg:.1f}° of decalage the nose never comes to rest: "
                "there is no steady flight below the stall."
            )
        sinks = "Without thrust it would sink" if self.powered else "It sinks"
        return (
            f"It flies at {self.speed_m_s:.1f} m/s. The wing meets the air at "
            f"{self.angle_of_attack_deg:.1f}°, {self._from_stall()}. {sinks} "
            f"{self.sink_m_s:.2f} m/s, {self.sink_m_s / self.least_sink_m_s:.1f} times the "
            f"least it can do, {self.least_sink_m_s:.2f} m/s."
        )

    def _from_stall(self) -> str:
        side = "below" if self.stall_margin_deg >= 0 else "past"
        return f"{abs(self.stall_margin_deg):.1f}° {side} its stall"

    def _power(self) -> tuple[str, ...]:
        if not self.powered or not self.found:
            return ()
        return (
            f"To hold its height it needs {self.torque_mNm:.2f} mN m of torque "
            f"({self.torque_ozin:.2f} oz in) at {self.revs_per_s:.1f} turns a second.",
        )


_SAID: dict[Verdict, str] = {
    "dives": "It dives.",
    "stalls": "It stalls.",
    "good": "The trim is good.",
}


@dataclass(frozen=True, slots=True)
class _Frame:
    """What the search needs to know of one aeroplane; lengths in mm, angles in degrees."""

    weight_n: float
    area_m2: float
    chord_mm: float
    air: Air
    wing: Section
    tail: Section
    fin: Section
    stall_deg: float  # effective angle at which the first part of the wing stalls
    wing_induced: float  # induced angle over section lift coefficient [deg]
    tail_induced: float
    wing_wake: float  # induced drag over lift squared [-]
    tail_wake: float
    twist_deg: float
    decalage_deg: float
    incidence_deg: float
    downwash: float  # downwash over the wing's lift coefficient [deg]
    tail_share: float
    fin_share: float
    cg: CentreOfGravity
    wing_place: tuple[float, float]  # station and height of the quarter chord
    tail_place: tuple[float, float]
    fin_place: tuple[float, float]
    tail_chord_mm: float
    fin_chord_mm: float
    thrust_place: tuple[float, float]
    down_thrust_deg: float
    powered: bool


@dataclass(frozen=True, slots=True)
class _Sweep:
    """Steady forces over a range of angles; every field is an array."""

    effective_deg: Floats
    alpha_deg: Floats
    lift: Floats
    drag: Floats
    thrust: Floats
    moment: Floats
    carried: Floats  # force that carries the weight, over pressure and area
    speed: Floats

    @property
    def sink(self) -> Floats:
        return self.speed * self.drag / self.carried


def _induced_deg(section: Section, slope_per_rad: float) -> float:
    """Induced angle over lift, so that the finite wing has the given slope near no lift."""
    return float(np.degrees(1 / slope_per_rad - 1 / section.lift_slope_per_rad))


def _first_stall_deg(section: Section, wing: Wing) -> float:
    """Mean effective angle at which some part of the wing reaches the greatest section lift.

    Local lift over mean lift after O. Schrenk, NACA TM 948 (1940), from memory: half way
    between a load like the chord and a load like an ellipse of the same area.
    """
    place = np.linspace(0.0, 1.0, 101)
    chord = wing.root_chord_mm + (wing.tip_chord_mm - wing.root_chord_mm) * place
    ellipse = 4 * wing.area_mm2 / (np.pi * wing.span_mm) * np.sqrt(1 - place**2)
    crowding = float(np.max((1 + ellipse / chord) / 2))
    angles = np.linspace(section.zero_lift_deg, section.stall_deg, 401)
    lift = np.asarray(section.coefficients(angles, section.reference_reynolds).lift)
    return float(np.interp(np.max(lift) / crowding, lift, angles))


def _frame(aeroplane: Aeroplane, air: Air, powered: bool) -> _Frame:
    build, setting = aeroplane.build, aeroplane.setting
    slopes, cg = balance.lift_slopes(aeroplane), balance.aeroplane_cg(aeroplane)
    wing = plate(build.wing.camber_percent, build.wing.covering_quality)
    tail = plate(build.tail.camber_percent, build.tail.covering_quality)
    quarter_mm = balance.mean_chord_station_mm(aeroplane) + build.wing.mean_chord_mm / 4
    return _Frame(
        weight_n=cg.mass_g / 1000 * STANDARD_GRAVITY_M_S2,
        area_m2=build.wing.area_mm2 * 1e-6,
        chord_mm=build.wing.mean_chord_mm,
        air=air,
        wing=wing,
        tail=tail,
        fin=plate(0.0),
        stall_deg=_first_stall_deg(wing, build.wing),
        wing_induced=_induced_deg(wing, slopes.wing_per_rad),
        tail_induced=_induced_deg(tail, slopes.tail_per_rad),
        wing_wake=1 / (np.pi * build.wing.aspect_ratio),
        tail_wake=1 / (np.pi * build.tail.aspect_ratio),
        twist_deg=_mean_twist_deg(aeroplane),
        decalage_deg=incidence.decalage_deg(aeroplane),
        incidence_deg=incidence.wing_incidence_deg(aeroplane),
        downwash=float(np.degrees(slopes.downwash / slopes.wing_per_rad)),
        tail_share=build.tail.area_mm2 / build.wing.area_mm2,
        fin_share=build.fin.area_mm2 / build.wing.area_mm2,
        cg=cg,
        wing_place=(quarter_mm, balance.wing_part(aeroplane).height_mm),
        tail_place=(build.tail.station_mm + build.tail.chord_mm / 4, build.tail.height_mm),
        fin_place=(build.fin.station_mm, build.fin.height_mm),
        tail_chord_mm=build.tail.chord_mm,
        fin_chord_mm=build.fin.chord_mm,
        thrust_place=(setting.propeller.station_mm, build.stick.motor_height_mm),
        down_thrust_deg=setting.down_thrust_deg,
        powered=powered,
    )


def _mean_twist_deg(aeroplane: Aeroplane) -> float:
    """Twist grows in a straight line from root to tip: its mean over the wing's area."""
    root, tip = aeroplane.build.wing.root_chord_mm, aeroplane.build.wing.tip_chord_mm
    share = (root + 2 * tip) / (3 * (root + tip))
    return share * incidence.panel_twist_deg(aeroplane).mean_deg


def _reynolds(frame: _Frame, speed: Floats, chord_mm: float) -> Floats:
    """Reynolds number, held at the ends of the sections' range."""
    raw = airs.reynolds(speed, chord_mm, frame.air)
    return np.asarray(np.clip(raw, LOWEST_REYNOLDS, HIGHEST_REYNOLDS))


def _coefficients(
    section: Section, alpha_deg: Floats, reynolds: Floats
) -> tuple[Floats, Floats, Floats]:
    """Lift, drag and moment coefficients of a section, as arrays."""
    found = section.coefficients(alpha_deg, reynolds)
    return np.asarray(found.lift), np.asarray(found.drag), np.asarray(found.moment)


def _alpha_deg(frame: _Frame, effective_deg: Floats, lift: Floats) -> Floats:
    """Angle of the root chord to the path: effective angle plus what the wake takes away."""
    return effective_deg - frame.twist_deg + frame.wing_induced * lift


def _tail_effective_deg(frame: _Frame, geometric_deg: Floats, reynolds: Floats) -> Floats:
    """Solve effective + induced = geometric by fixed steps; the error shrinks by half or more."""
    step = 1 / (1 + frame.tail_induced * np.radians(frame.tail.lift_slope_per_rad))
    effective = geometric_deg
    for _ in range(TAIL_STEPS):
        lift = frame.tail.lift(effective, reynolds)
        effective = effective + step * (geometric_deg - effective - frame.tail_induced * lift)
    return np.asarray(effective)


def _arm_moment(
    frame: _Frame, place: tuple[float, float], lift: Floats, drag: Floats, flow_deg: Floats
) -> Floats:
    """Nose-up moment about the balance point, over the chord, of a force at a place.

    Lift is across and drag along a flow that meets the stick at `flow_deg`.
    """
    a = np.radians(flow_deg)
    up = lift * np.cos(a) + drag * np.sin(a)
    forward = lift * np.sin(a) - drag * np.cos(a)
    station, height = place
    turning = up * (frame.cg.station_mm - station) - forward * (height - frame.cg.height_mm)
    return np.asarray(turning / frame.chord_mm)


def _at_speed(frame: _Frame, effective_deg: Floats, speed: Floats) -> _Sweep:
    """Forces and moment on the wing's area at each angle, at a first guess of the speed."""
    reynolds = _reynolds(frame, speed, frame.chord_mm)
    wing_lift, profile, moment = _coefficients(frame.wing, effective_deg, reynolds)
    alpha = _alpha_deg(frame, effective_deg, wing_lift)
    flow, nothing = alpha - frame.incidence_deg, np.zeros_like(alpha)
    wing_drag = profile + frame.wing_wake * wing_lift**2
    tail_lift, tail_drag, tail_moment, downwash = _tail_forces(frame, alpha, wing_lift, speed)
    fin_reynolds = _reynolds(frame, speed, frame.fin_chord_mm)
    fin_drag = frame.fin_share * _coefficients(frame.fin, nothing, fin_reynolds)[1]
    tilt = np.radians(downwash)
    lift = wing_lift + tail_lift * np.cos(tilt) - tail_drag * np.sin(tilt)
    drag = wing_drag + fin_drag + tail_drag * np.cos(tilt) + tail_lift * np.sin(tilt)
    moment = (
        moment
        + tail_moment
        + _arm_moment(frame, frame.wing_place, wing_lift, wing_drag, flow)
        + _arm_moment(frame, frame.tail_place, tail_lift, tail_drag, flow - downwash)
        + _arm_moment(frame, frame.fin_place, nothing, fin_drag, flow)
    )
    return _with_thrust(frame, effective_deg, alpha, lift, drag, moment)


def _tail_forces(
    frame: _Frame, alpha: Floats, wing_lift: Floats, speed: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Lift, drag and moment of the tail on the wing's area and chord, and the downwash.

    Lift and drag are across and along the tail's own flow.
    """
    downwash = frame.downwash * wing_lift
    reynolds = _reynolds(frame, speed, frame.tail_chord_mm)
    geometric = alpha - frame.decalage_deg - downwash
    effective = _tail_effective_deg(frame, geometric, reynolds)
    lift, profile, moment = _coefficients(frame.tail, effective, reynolds)
    drag = profile + frame.tail_wake * lift**2
    share, chords = frame.tail_share, frame.tail_chord_mm / frame.chord_mm
    return share * lift, share * drag, share * chords * moment, downwash


def _with_thrust(
    frame: _Frame,
    effective: Floats,
    alpha: Floats,
    lift: Floats,
    drag: Floats,
    moment: Floats,
) -> _Sweep:
    """Add the thrust that balances the drag, then the speed that carries the weight."""
    thrust, carried = np.zeros_like(drag), np.hypot(lift, drag)
    if frame.powered:
        above_path = np.radians(alpha - frame.incidence_deg - frame.down_thrust_deg)
        thrust = drag / np.cos(above_path)
        carried = np.maximum(lift + thrust * np.sin(above_path), 1e-3)
        # a thrust is a drag turned round, in a flow that follows the thrust line
        line, nothing = np.full_like(alpha, frame.down_thrust_deg), np.zeros_like(alpha)
        moment = moment + _arm_moment(frame, frame.thrust_place, nothing, -thrust, line)
    pressure = frame.weight_n / (frame.area_m2 * carried)
    speed = np.sqrt(2 * pressure / frame.air.density_kg_m3)
    return _Sweep(effective, alpha, lift, drag, thrust, moment, carried, speed)


def _sweep(frame: _Frame, effective_deg: Floats) -> _Sweep:
    """Repeat forces and speed until the Reynolds number fits the speed."""
    swept = _at_speed(frame, effective_deg, np.full_like(effective_deg, 2.0))
    for _ in range(3):
        swept = _at_speed(frame, effective_deg, swept.speed)
    return swept


def _search_range(frame: _Frame) -> Floats:
    lowest = frame.wing.zero_lift_deg - BELOW_ZERO_LIFT_DEG
    return np.linspace(lowest, frame.stall_deg + PAST_STALL_DEG, SEARCH_POINTS)


def _bracket(swept: _Sweep) -> tuple[float, float] | None:
    """Two neighbouring angles between which the moment falls through zero."""
    falls = np.flatnonzero((swept.moment[:-1] > 0) & (swept.moment[1:] <= 0))
    if falls.size == 0:
        return None
    carrying = falls[swept.lift[falls] > 0]
    first = int(carrying[0] if carrying.size else falls[0])
    return float(swept.effective_deg[first]), float(swept.effective_deg[first + 1])


def _trim_angle_deg(frame: _Frame, swept: _Sweep) -> float | None:
    """Effective angle of the stable balance of moments, to 0.0001 degrees."""
    found = _bracket(swept)
    for _ in range(2):
        if found is None:
            return None
        found = _bracket(_sweep(frame, np.linspace(*found, 41))) or found
    return None if found is None else sum(found) / 2


def _only(frame: _Frame, effective_deg: float) -> _Sweep:
    return _sweep(frame, np.array([effective_deg]))


def _no_lift_deg(swept: _Sweep) -> float:
    """Effective angle, to one step of the search, where the aeroplane's lift vanishes."""
    rising = swept.lift[: int(np.argmax(swept.lift))]
    below = np.flatnonzero(rising <= 0)
    return float(swept.effective_deg[below[-1] if below.size else 0])


def _end_of_search_deg(frame: _Frame, swept: _Sweep) -> float:
    """Where the nose goes when nothing stops it: to no lift, or to the stall."""
    easiest = int(np.argmin(_usable_sink(frame, swept)))
    nose_rises = bool(swept.moment[easiest] > 0)
    return frame.stall_deg if nose_rises else _no_lift_deg(swept)


def _usable_sink(frame: _Frame, swept: _Sweep) -> Floats:
    """Sink at angles below the stall that carry the aeroplane, infinite elsewhere."""
    usable = (swept.lift > 0.05) & (swept.effective_deg <= frame.stall_deg)
    return np.where(usable, swept.sink, np.inf)


def _verdict(found: bool, powered: bool, margin_deg: float, sink: float, least: float) -> Verdict:
    """Name a trim: no carrying balance or a steep sink dives, near the stall stalls."""
    if margin_deg < (POWERED_STALL_MARGIN_DEG if powered else STALL_MARGIN_DEG):
        return "stalls"
    if not found or sink > SINK_RATIO * least:
        return "dives"
    return "good"


def _trim(aeroplane: Aeroplane, air: Air, powered: bool) -> Trim:
    frame = _frame(aeroplane, air, powered)
    swept = _sweep(frame, _search_range(frame))
    angle = _trim_angle_deg(frame, swept)
    point = None if angle is None else _only(frame, angle)
    found = point is not None and float(point.lift[0]) > 0
    least = float(np.min(_usable_sink(frame, swept)))
    if point is not None and found:
        return _record(aeroplane, frame, point, found, least)
    falling = dataclasses.replace(frame, powered=False)
    end = _only(falling, _end_of_search_deg(frame, swept))
    return _record(aeroplane, frame, end, found, least)


def _power(aeroplane: Aeroplane, point: _Sweep, air: Air) -> tuple[float, float, float]:
    """Thrust [N], shaft torque [mN m] and turns a second at a point of level flight."""
    propeller, speed = aeroplane.setting.propeller, float(point.speed[0])
    thrust_n = _thrust_n(aeroplane, point, air)
    revs = propeller.revs_per_second_for_thrust(thrust_n, speed, air.density_kg_m3)
    return thrust_n, propeller.torque_mNm(speed, revs, air.density_kg_m3), revs


def _thrust_n(aeroplane: Aeroplane, point: _Sweep, air: Air) -> float:
    area_m2 = aeroplane.build.wing.area_mm2 * 1e-6
    return float(point.thrust[0] * air.density_kg_m3 * point.speed[0] ** 2 / 2 * area_m2)


def _stall_alpha_deg(frame: _Frame) -> float:
    return float(_only(frame, frame.stall_deg).alpha_deg[0])


def _record(aeroplane: Aeroplane, frame: _Frame, point: _Sweep, found: bool, least: float) -> Trim:
    margin = _stall_alpha_deg(frame) - float(point.alpha_deg[0])
    lift, drag, speed = float(point.lift[0]), float(point.drag[0]), float(point.speed[0])
    powered = frame.powered and found
    power = _power(aeroplane, point, frame.air) if powered else (0.0, 0.0, 0.0)
    return Trim(
        found=found,
        powered=frame.powered,
        speed_m_s=speed,
        angle_of_attack_deg=float(point.alpha_deg[0]),
        lift_coefficient=lift,
        drag_coefficient=drag,
        sink_m_s=float(point.sink[0]),
        least_sink_m_s=least,
        glide_ratio=lift / drag,
        stall_margin_deg=margin,
        static_margin=balance.static_margin(aeroplane),
        decalage_deg=frame.decalage_deg,
        reynolds=float(airs.reynolds(speed, frame.chord_mm, frame.air)),
        thrust_mN=1000 * power[0],
        torque_mNm=power[1],
        revs_per_s=power[2],
        verdict=_verdict(found, frame.powered, margin, float(point.sink[0]), least),
    )


def glide(aeroplane: Aeroplane, air: Air = ROOM) -> Trim:
    """The glide of an aeroplane let go with its wings level and no propeller force.

    The angle of attack is the one at which all pitching moments cancel; the speed is the one at
    which lift and drag together carry the weight. The stick is taken to follow the wing's root,
    so warps act by their mean and nothing rolls or yaws. Slopes and downwash as in `balance`,
    sections as in `section.plate` at the Reynolds number of the speed found, held between
    8,000 and 30,000.

    The word is "stalls" within 1 degree of the stall or past it, "dives" without a balance at
    positive lift or with a sink over 1.5 times the least, else "good" (our rule).

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    air : Air
        The hall's air [-].

    Returns
    -------
    Trim
        Speed, angle, sink and the word for it [-].
    """
    return _trim(aeroplane, air, powered=False)


def level(aeroplane: Aeroplane, air: Air = ROOM) -> Trim:
    """Level flight of an aeroplane, wings level: thrust, torque and turns a second it takes.

    As `glide`, with the thrust that holds the height along its own line, nose-down or nose-up
    moment included. The propeller's stream over wing and tail is left out.

    The word is "stalls" only past the stall. The stream on the tail and the circle, both left
    out here, push the nose down under power: flown at a quarter more torque the wings of the
    demo aeroplanes meet the air 1.4 to 1.9° lower than this says.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    air : Air
        The hall's air [-].

    Returns
    -------
    Trim
        The same record with thrust, torque and turns a second filled in [-].

    Raises
    ------
    ValueError
        When the propeller cannot give that thrust below 150 turns a second.
    """
    return _trim(aeroplane, air, powered=True)


def _positive(name: str, value: ArrayLike, highest: float) -> Floats:
    number = np.asarray(value, dtype=float)
    if not np.all((number > 0) & (number <= highest)):
        raise ValueError(f"{name} is {value!s}; allowed is more than 0 and up to {highest:g}")
    return number


def _bank(bank_deg: ArrayLike) -> Floats:
    bank = np.asarray(bank_deg, dtype=float)
    if not np.all(np.abs(bank) <= STEEPEST_BANK_DEG):
        raise ValueError(
            f"bank_deg is {bank_deg!s}; allowed is -{STEEPEST_BANK_DEG:g} to {STEEPEST_BANK_DEG:g}°"
        )
    return np.asarray(np.radians(bank))


def wings_level_speed_m_s(
    mass_g: ArrayLike,
    area_mm2: ArrayLike,
    lift_coefficient: ArrayLike,
    density_kg_m3: ArrayLike = ROOM.density_kg_m3,
) -> float:
    """Speed at which lift carries the weight: V = sqrt(2 m g / (rho S CL)), shallow paths.

    Parameters
    ----------
    mass_g : float or array_like
        Mass, up to 1000 [g].
    area_mm2 : float or array_like
        Wing area, up to 1e6 [mm²].
    lift_coefficient : float or array_like
        Lift coefficient, up to 3 [-].
    density_kg_m3 : float or array_like
        Air density, up to 2 [kg/m³].

    Returns
    -------
    float or numpy.ndarray
        Speed [m/s].

    Raises
    ------
    ValueError
        When a figure is not positive or beyond its range.

    Examples
    --------
    >>> round(wings_level_speed_m_s(3.0, 30000.0, 0.8, 1.225), 3)
    1.415
    """
    weight_n = _positive("mass_g", mass_g, 1000) / 1000 * STANDARD_GRAVITY_M_S2
    area_m2 = _positive("area_mm2", area_mm2, 1e6) * 1e-6
    lift = _positive("lift_coefficient", lift_coefficient, 3)
    density = _positive("density_kg_m3", density_kg_m3, 2)
    return as_given(np.sqrt(2 * weight_n / (density * area_m2 * lift)))


def phugoid_period_s(speed_m_s: ArrayLike) -> float:
    """Period of the slow up-and-down swing: pi sqrt(2) V/g (Lanchester 1908, no drag).

    Light draggy aeroplanes swing slower than that: the invented trainer under power takes
    2.25 times as long.

    Parameters
    ----------
    speed_m_s : float or array_like
        Mean speed, up to 50 [m/s].

    Returns
    -------
    float or numpy.ndarray
        Period [s].

    Raises
    ------
    ValueError
        When the speed is not positive or beyond its range.

    Examples
    --------
    >>> round(phugoid_period_s(2.0), 2)
    0.91
    """
    speed = _positive("speed_m_s", speed_m_s, 50)
    return as_given(np.pi * np.sqrt(2) * speed / STANDARD_GRAVITY_M_S2)


def phugoid_wavelength_m(speed_m_s: ArrayLike) -> float:
    """Length of one swing along the path: pi sqrt(2) V²/g (Lanchester 1908, no drag).

    Parameters
    ----------
    speed_m_s : float or array_like
        Mean speed, up to 50 [m/s].

    Returns
    -------
    float or numpy.ndarray
        Wavelength [m].
    """
    return as_given(np.multiply(phugoid_period_s(speed_m_s), speed_m_s))


def phugoid_damping(glide_ratio: ArrayLike) -> float:
    """Damping ratio of that swing: (CD/CL)/sqrt(2), by drag alone.

    Parameters
    ----------
    glide_ratio : float or array_like
        Lift over drag, up to 100 [-].

    Returns
    -------
    float or numpy.ndarray
        Damping ratio, 1 is no swing at all [-].
    """
    return as_given(1 / (np.sqrt(2) * _positive("glide_ratio", glide_ratio, 100)))


def load_factor(bank_deg: ArrayLike) -> float:
    """Lift over weight in a steady circle without slip: 1/cos(bank).

    Parameters
    ----------
    bank_deg : float or array_like
        Bank, up to 80 either way [deg].

    Returns
    -------
    float or numpy.ndarray
        Lift over weight, 1 with the wings level [-].

    Raises
    ------
    ValueError
        When the bank is beyond its range.

    Examples
    --------
    >>> round(load_factor(30.0), 3)
    1.155
    """
    return as_given(1 / np.cos(_bank(bank_deg)))


def circle_radius_m(wings_level_speed_m_s: ArrayLike, bank_deg: ArrayLike) -> float:
    """Radius of a steady circle without slip: V0²/(g sin(bank)), same angle of attack.

    The aeroplane flies the circle faster than wings level by the root of the load factor; V0
    is the wings-level speed. A powered circle slips: there the formula does not hold.

    Parameters
    ----------
    wings_level_speed_m_s : float or array_like
        Speed with the wings level, up to 50 [m/s].
    bank_deg : float or array_like
        Bank, more than 0 and up to 80 [deg].

    Returns
    -------
    float or numpy.ndarray
        Radius [m].

    Raises
    ------
    ValueError
        When speed or bank is not positive or beyond its range.

    Examples
    --------
    >>> round(circle_radius_m(2.0, 10.0), 2)
    2.35
    """
    speed = _positive("wings_level_speed_m_s", wings_level_speed_m_s, 50)
    bank = np.radians(_positive("bank_deg", bank_deg, STEEPEST_BANK_DEG))
    return as_given(speed**2 / (STANDARD_GRAVITY_M_S2 * np.sin(bank)))


def bank_for_circle_deg(speed_m_s: ArrayLike, radius_m: ArrayLike) -> float:
    """Bank of a steady circle without slip: arctan(V²/(g R)), V along the circle.

    Parameters
    ----------
    speed_m_s : float or array_like
        Speed along the circle, up to 50 [m/s].
    radius_m : float or array_like
        Radius, up to 1000 [m].

    Returns
    -------
    float or numpy.ndarray
        Bank [deg].

    Raises
    ------
    ValueError
        When speed or radius is not positive or beyond its range.

    Examples
    --------
    >>> round(bank_for_circle_deg(2.0, 3.0), 2)
    7.74
    """
    speed, radius = _positive("speed_m_s", speed_m_s, 50), _positive("radius_m", radius_m, 1000)
    return as_given(np.degrees(np.arctan(speed**2 / (STANDARD_GRAVITY_M_S2 * radius))))


@dataclass(frozen=True, slots=True)
class DragPolar:
    """Drag against lift of a whole aeroplane: CD = least_drag + lift_factor CL².

    Parameters
    ----------
    least_drag : float
        Drag coefficient without lift, more than 0 and up to 1 [-].
    lift_factor : float
        Growth of drag with lift squared, more than 0 and up to 1 [-].
    """

    least_drag: float
    lift_factor: float

    def __post_init__(self) -> None:
        _positive("least_drag", self.least_drag, 1)
        _positive("lift_factor", self.lift_factor, 1)

    def drag(self, lift_coefficient: ArrayLike) -> float:
        """Drag coefficient at a lift coefficient.

        Parameters
        ----------
        lift_coefficient : float or array_like
            Lift coefficient [-].

        Returns
        -------
        float or numpy.ndarray
            Drag coefficient [-].
        """
        return as_given(self.least_drag + self.lift_factor * np.square(lift_coefficient))

    def glide_ratio(self, lift_coefficient: ArrayLike) -> float:
        """Lift over drag at a lift coefficient.

        Parameters
        ----------
        lift_coefficient : float or array_like
            Lift coefficient [-].

        Returns
        -------
        float or numpy.ndarray
            Lift over drag [-].
        """
        return as_given(np.divide(lift_coefficient, self.drag(lift_coefficient)))

    @property
    def best_glide_lift(self) -> float:
        """Lift coefficient of the flattest glide [-]."""
        return float(np.sqrt(self.least_drag / self.lift_factor))

    @property
    def least_sink_lift(self) -> float:
        """Lift coefficient of the least sink, sqrt(3) times that of the flattest glide [-]."""
        return float(np.sqrt(3) * self.best_glide_lift)

    def sink_m_s(self, speed_m_s: ArrayLike, lift_coefficient: ArrayLike) -> float:
        """Sink on a shallow path: speed times drag over lift.

        Parameters
        ----------
        speed_m_s : float or array_like
            Speed along the path, up to 50 [m/s].
        lift_coefficient : float or array_like
            Lift coefficient [-].

        Returns
        -------
        float or numpy.ndarray
            Height lost each second [m/s].
        """
        speed = _positive("speed_m_s", speed_m_s, 50)
        return as_given(speed / self.glide_ratio(lift_coefficient))
