"""An aeroplane in a hall as the numbers that its equations of motion need, in SI units.

`model_of(aeroplane, ...)` turns bench records into one flat numpy record, which the compiled
equations read in place. The state of a flight is a vector; the constants below name its parts.

Body axes: x forward, y to the right, z down, origin at the balance point of the whole
aeroplane. Earth axes: north, east, down; the floor is at down = 0.

Every surface that carries lift is a row of *panels*: eight strips of the wing from the left tip
to the right, then the left and right half of the tailplane, then the fin. Each panel has a unit
vector along its chord (forward) and one across it (the side to which positive lift acts).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from trimkit import balance, incidence, section, wing
from trimkit.aeroplane import Aeroplane, Part
from trimkit.flight.hall import Hall
from trimkit.units import STANDARD_GRAVITY_M_S2, Floats

STRIPS = 8  # of the wing; the slope of an elliptic wing is then met within 1 %
PANELS = STRIPS + 3  # strips, tail left, tail right, fin
TAIL_LEFT, TAIL_RIGHT, FIN = STRIPS, STRIPS + 1, STRIPS + 2
RINGS = 6  # of the propeller's disc, at Gauss-Legendre points along the blade
BLADES = 2
TOUCHES = 8  # points of the aeroplane that can touch something
TORQUE_POINTS = 513
GUSTS = 4  # slow swings of the hall's air along each axis

POSITION = 0  # north, east, down [m]
QUATERNION = 3  # body to earth, scalar first [-]
VELOCITY = 7  # u, v, w through the air of the hall, body axes [m/s]
RATES = 10  # p, q, r [rad/s]
TURNS = 13  # turns left on the rubber [-]
SHAFT_SPEED = 14  # propeller [rad/s]
SHAFT_ANGLE = 15  # propeller [rad]
TAIL_PITCH = 16  # angle and speed of the tail joint, + leading edge up [rad, rad/s]
TAIL_TWIST = 18  # angle and speed of the tail joint, + right tip down [rad, rad/s]
ROCK = 20  # angle and speed of the wing on the stick, + right tip down [rad, rad/s]
DOWNWASH = 22  # air speed along the normal at the two tail halves, lagged [m/s]
CIRCULATION = 24  # of each panel [m²/s]
INFLOW = CIRCULATION + PANELS  # air speed that each ring draws aft at the disc [m/s]
SWIRL = INFLOW + RINGS  # air speed that each ring drags around at the disc [m/s]
SLANT = SWIRL + RINGS  # inflow at the tip, more on the right and more below [m/s]
ENERGY = SLANT + 2  # work done by the rubber [J]
STATES = ENERGY + 1

TOUCH_NAMES = (
    "propeller",
    "left wing tip",
    "right wing tip",
    "left tail tip",
    "right tail tip",
    "fin",
    "motor stick",
    "wing",
)

# name, shape, what it is
_FIELDS: tuple[tuple[str, tuple[int, ...], str], ...] = (
    ("mass", (), "whole mass [kg]"),
    ("density", (), "of the air [kg/m³]"),
    ("inertia", (3, 3), "about the balance point, propeller included [kg m²]"),
    ("accelerance", (6, 6), "inverse of mass and apparent mass [1/kg, 1/kg m²]"),
    ("quarter", (PANELS, 3), "quarter-chord point of each panel [m]"),
    ("rear", (PANELS, 3), "three-quarter-chord point [m]"),
    ("along", (PANELS, 3), "unit vector along the chord, forward [-]"),
    ("normal", (PANELS, 3), "unit vector across it [-]"),
    ("chord", (PANELS,), "chord [m]"),
    ("width", (PANELS,), "width along the panel [m]"),
    ("influence", (PANELS, PANELS), "air speed along normal i for circulation j [1/m]"),
    ("tilt", (PANELS,), "share of that which tilts the force: what is felt at the quarter chord"),
    ("tail_influence", (2, PANELS), "the same at the two tail halves, from the wing [1/m]"),
    ("tail_lag", (), "from the wing's to the tail's quarter chord [m]"),
    ("stream", (PANELS,), "share of the panel in the propeller's stream [-]"),
    ("stream_place", (PANELS, 2), "place to the right of and below the propeller's axis [m]"),
    ("sections", (4, 12), "wing, tail, fin, left half of the wing: see `section_numbers` [-]"),
    ("reynolds_speed", (PANELS,), "speed at the section's reference Reynolds number [m/s]"),
    ("lift_power", (), "wing's lift grows with this power of the speed [-]"),
    ("joint_point", (3,), "where the boom joins the stick [m]"),
    ("joint_pitch", (5,), "stiffness, damping, inertia, half slop, rest angle of the tail joint"),
    ("joint_twist", (5,), "the same about the boom"),
    ("joint_weight", (), "mass moment of what hangs on the joint [kg m]"),
    ("saddle", (5,), "stiffness, damping, reduced inertia, half slop, rest angle"),
    ("saddle_point", (3,), "where the wing sits [m]"),
    ("wing_share", (), "roll inertia of the wing over that of the whole [-]"),
    ("hub", (3,), "middle of the propeller [m]"),
    ("thrust_left", (), "thrust line to the left [rad]"),
    ("thrust_down", (), "thrust line down [rad]"),
    ("shaft", (3,), "unit vector along the unloaded thrust line [-]"),
    ("bow", (), "thrust line down, and tail's leading edge up, for each N m of motor [rad/N m]"),
    ("twist", (), "right tail tip up for each N m of motor, right-hand propeller [rad/N m]"),
    ("hand", (), "1 for a right-hand propeller, -1 for a left-hand one [-]"),
    ("radius", (), "of the propeller [m]"),
    ("shaft_inertia", (), "of the propeller about its shaft [kg m²]"),
    ("ring_radius", (RINGS,), "[m]"),
    ("ring_width", (RINGS,), "[m]"),
    ("ring_chord", (RINGS,), "chord of one blade [m]"),
    ("blade_sine", (BLADES, RINGS), "of the blade angle [-]"),
    ("blade_cosine", (BLADES, RINGS), "[-]"),
    ("blade_angle", (BLADES, RINGS), "[rad]"),
    ("blade_section", (12,), "see `section_numbers` [-]"),
    ("imbalance", (), "mass times offset of the propeller [kg m]"),
    ("wobble", (), "product of inertia of blades that run in two discs [kg m²]"),
    ("azimuths", (), "1 flies the blades as they turn; more averages over so many places"),
    ("torque", (TORQUE_POINTS,), "of the rubber, evenly from 0 to the turns on [N m]"),
    ("turns_on", (), "most turns that were on the rubber [-]"),
    ("torque_back", (TORQUE_POINTS,), "when wound the other way, evenly to 100 turns [N m]"),
    ("friction", (2,), "bearing torque without load [N m], and share of the rubber's torque [-]"),
    ("hub_grip", (), "torque at which the propeller slips on its shaft [N m]"),
    ("unwinds", (), "1, or 0 to keep the turns on for ever [-]"),
    ("drag_area", (), "sticks, posts and rubber [m²]"),
    ("drag_point", (3,), "where that drag acts [m]"),
    ("room", (3,), "half length north, half width east, height [m]"),
    ("drift", (3,), "steady air speed: north, east, down [m/s]"),
    ("gust_speed", (GUSTS, 3), "amplitudes of the slow swings [m/s]"),
    ("gust_rate", (GUSTS,), "angular frequencies [rad/s]"),
    ("gust_phase", (GUSTS, 3), "[rad]"),
    ("touch", (TOUCHES, 3), "points that can touch, see `TOUCH_NAMES` [m]"),
    ("reach", (), "of the farthest such point [m]"),
)
MODEL_TYPE = np.dtype([(name, np.float64, shape) for name, shape, _ in _FIELDS], align=True)
Model = Any  # one numpy record of MODEL_TYPE

REYNOLDS_SPEED_FLOOR_M_S = 0.1  # keeps friction finite at rest; assumed
STREAM_EDGE_M = 0.012  # how softly the propeller's stream ends; assumed
VORTEX_CORE_M = 0.004  # keeps a point on a trailing leg finite; assumed
PROPELLER_GYRATION = 0.45  # radius of gyration over tip radius; assumed (a rod has 0.58)
JOINT_PITCH_RAD_NM = math.radians(0.1) * 1000  # give of a firm joint, 0.1°/mN m; assumed
JOINT_TWIST_RAD_NM = math.radians(0.2) * 1000  # 0.2°/mN m; assumed
JOINT_HERTZ = 30.0  # no joint is stiffer than this frequency, so that the step resolves it
SADDLE_HERTZ = 25.0  # of a wing on firm bands against the stick; assumed
DAMPING_RATIO = 0.2  # of sticks, tubes and bands; assumed
PITCH_SLOP = math.radians(0.8)  # half play of a fully loose tail joint; assumed
TWIST_SLOP = math.radians(4.0)  # assumed
TIRED_SOFTER, TIRED_LIVELIER = 4.4, 6.0  # fully tired bands: 1 + so much slower and less damped;
# assumed
SADDLE_SLOP = math.radians(0.6)  # half play of fully tired bands: 2 to 3 mm at the tip
BEARING_TORQUE_NM, BEARING_SHARE, BEARING_SHARE_PER_DEG = 3e-5, 0.03, 0.055  # assumed
TRACK_DRAG_PER_MM = 0.0012  # drag coefficient of blades for each mm that they run apart: each
# then meets the other's wake unevenly; assumed, common practice: a small loss
BENT_SHAFT_ARM_M = 0.012  # from the bearing to the propeller's middle; assumed
POST_WIDTH_M, POST_DRAG = 0.0025, 1.1  # two posts across the wind; drag of a rod, from memory
STICK_DRAG_M = 4.2e-4  # drag area of wood and rubber for each metre of stick and boom: 35 mm
# around at a friction of .006, doubled for roughness, hooks and bands; assumed
BACK_TURNS = 100.0


def section_numbers(given: section.Section) -> Floats:
    """Pack a section for the compiled equations.

    Parameters
    ----------
    given : Section
        Constants of a plate [-].

    Returns
    -------
    numpy.ndarray
        Lift slope, sine and cosine of the angle of no lift, separation angle above, that below
        as the equations want it, one over the width, least drag, drag rise, lift of least drag,
        moment, quality, added drag [-, rad].
    """
    zero = math.radians(given.zero_lift_deg)
    quality = given.covering_quality
    return np.array(
        [
            given.lift_slope_per_rad,
            math.sin(zero),
            math.cos(zero),
            math.radians(given.separation_deg),
            math.exp((given.negative_stall_deg - given.separation_deg) / given.stall_width_deg),
            1 / math.radians(given.stall_width_deg),
            given.least_drag,
            given.drag_rise,
            given.least_drag_lift,
            given.pitching_moment,
            quality,
            section.POOR_COVERING_DRAG * (1 - quality),
        ]
    )


@dataclass(frozen=True, slots=True)
class _Panels:
    """The lifting surfaces in bench axes: metres forward, right and down of the bearing."""

    quarter: Floats
    along: Floats
    normal: Floats
    chord: Floats
    width: Floats
    edges: Floats  # (STRIPS + 1, 3) ends of the wing's strips on the quarter chord

    @property
    def rear(self) -> Floats:
        return np.asarray(self.quarter - self.along * self.chord[:, None] / 2)

    @property
    def middle(self) -> Floats:
        return np.asarray(self.quarter - self.along * self.chord[:, None] / 4)


def _turned(vectors: Floats, axis: int, angle: float) -> Floats:
    """Turn row vectors about a body axis, right-handed."""
    first, second = (axis + 1) % 3, (axis + 2) % 3
    turned = np.array(vectors, dtype=float)
    cosine, sine = math.cos(angle), math.sin(angle)
    turned[..., first] = vectors[..., first] * cosine - vectors[..., second] * sine
    turned[..., second] = vectors[..., first] * sine + vectors[..., second] * cosine
    return turned


def _pitched(normal: Floats, angle_rad: Floats) -> tuple[Floats, Floats]:
    """Chord and normal of panels whose chord is raised by an angle from straight ahead."""
    ahead = np.array([1.0, 0.0, 0.0])
    cosine, sine = np.cos(angle_rad)[:, None], np.sin(angle_rad)[:, None]
    return cosine * ahead + sine * normal, cosine * normal - sine * ahead


def _dihedral(aeroplane: Aeroplane, across: Floats) -> Floats:
    """Dihedral of the panel at places right of the wing's own middle [rad]."""
    frame = aeroplane.build.wing
    return np.radians(frame.dihedral_deg - np.where(across < 0, frame.left_droop_deg, 0.0))


def _wing_points(aeroplane: Aeroplane, across_m: Floats) -> Floats:
    """Quarter-chord points at places right of the wing's own middle, before skew."""
    frame, setting = aeroplane.build.wing, aeroplane.setting
    station = (setting.wing_station_mm + frame.root_chord_mm / 4) / 1000
    slopes = np.tan(_dihedral(aeroplane, across_m))
    height = frame.height_mm / 1000 + np.abs(across_m) * slopes
    return np.stack(
        [np.full_like(across_m, -station), across_m + setting.wing_offset_mm / 1000, -height], -1
    )


def _wing_angles(aeroplane: Aeroplane, share: Floats) -> Floats:
    """Incidence with the panels' twist at shares of the half span, - to the left [rad]."""
    twist = incidence.panel_twist_deg(aeroplane)
    tip = np.where(share < 0, twist.left_deg, twist.right_deg)
    return np.radians(incidence.wing_incidence_deg(aeroplane) + tip * np.abs(share))


def _wing_panels(aeroplane: Aeroplane) -> tuple[_Panels, Floats]:
    """The strips, cosine spaced so that they crowd at the tips; and the saddle's point."""
    frame, setting = aeroplane.build.wing, aeroplane.setting
    half = frame.span_mm / 2000
    edge = -half * np.cos(np.linspace(0, math.pi, STRIPS + 1))
    edge[STRIPS // 2] = 0.0
    place = -half * np.cos((np.arange(STRIPS) + 0.5) * math.pi / STRIPS)
    slope = _dihedral(aeroplane, place)
    taper = frame.tip_chord_mm - frame.root_chord_mm
    normal = np.zeros((STRIPS, 3))
    normal[:, 1], normal[:, 2] = -np.sin(slope) * np.sign(place), -np.cos(slope)
    along, normal = _pitched(normal, _wing_angles(aeroplane, place / half))
    middle_mm = setting.wing_station_mm + frame.root_chord_mm / 2
    saddle = np.array([-middle_mm, setting.wing_offset_mm, -frame.height_mm]) / 1000
    skew = -math.radians(frame.skew_deg)
    panels = _Panels(
        quarter=saddle + _turned(_wing_points(aeroplane, place) - saddle, 2, skew),
        along=_turned(along, 2, skew),
        normal=_turned(normal, 2, skew),
        chord=(frame.root_chord_mm + taper * np.abs(place) / half) / 1000,
        width=np.diff(edge) / np.cos(slope),
        edges=saddle + _turned(_wing_points(aeroplane, edge) - saddle, 2, skew),
    )
    return panels, saddle


def _tail_angle(aeroplane: Aeroplane) -> float:
    return math.radians(incidence.tail_incidence_deg(aeroplane))


def _panels(aeroplane: Aeroplane) -> tuple[_Panels, Floats]:
    """All panels, and the saddle's point."""
    strips, saddle = _wing_panels(aeroplane)
    tail, fin, setting = aeroplane.build.tail, aeroplane.build.fin, aeroplane.setting
    tilt = math.radians(setting.tail_tilt_deg)
    station, height = (tail.station_mm + tail.chord_mm / 4) / 1000, tail.height_mm / 1000
    halves = np.array([[0.0, -tail.span_mm, 0.0], [0.0, tail.span_mm, 0.0]]) / 4000
    tail_points = _turned(halves, 0, tilt) + np.array([-station, 0.0, -height])
    up = _turned(np.array([[0.0, 0.0, -1.0]] * 2), 0, tilt)
    tail_along, tail_up = _pitched(up, np.full(2, _tail_angle(aeroplane)))
    bend = math.radians(setting.fin_deg + fin.warp_deg)
    fin_along, fin_side = _pitched(np.array([[0.0, 1.0, 0.0]]), np.array([bend]))
    fin_point = np.array([[-fin.station_mm, 0.0, -fin.height_mm]]) / 1000
    tail_chord, tail_width = [tail.chord_mm / 1000] * 2, [tail.span_mm / 2000] * 2
    return _Panels(
        quarter=np.vstack([strips.quarter, tail_points, fin_point]),
        along=np.vstack([strips.along, tail_along, fin_along]),
        normal=np.vstack([strips.normal, tail_up, fin_side]),
        chord=np.concatenate([strips.chord, tail_chord, [fin.chord_mm / 1000]]),
        width=np.concatenate([strips.width, tail_width, [fin.span_mm / 1000]]),
        edges=strips.edges,
    ), saddle


def _legs(points: Floats, edges: Floats) -> Floats:
    """Air speed at points from strips' trailing legs, which leave straight aft [1/m].

    Biot and Savart's law; J. Katz and A. Plotkin, Low-Speed Aerodynamics, 2nd ed. 2001,
    section 2.12, from memory. Shape (points, strips, 3) for circulation that lifts.
    """
    away = points[:, None, :] - edges[None, :, :]
    behind = -away[..., 0]
    square = away[..., 1] ** 2 + away[..., 2] ** 2 + VORTEX_CORE_M**2
    strength = (1 + behind / np.sqrt(square + behind**2)) / square / (4 * math.pi)
    speed = np.zeros_like(away)
    speed[..., 1], speed[..., 2] = away[..., 2] * strength, -away[..., 1] * strength
    return np.asarray(speed[:, 1:] - speed[:, :-1])


def _bound(points: Floats, edges: Floats) -> Floats:
    """Air speed at points from the strips' bound vortices; source as `_legs` [1/m]."""
    first, second = points[:, None, :] - edges[:-1], points[:, None, :] - edges[1:]
    across = np.cross(first, second)
    square = np.sum(across**2, axis=-1, keepdims=True) + VORTEX_CORE_M**4
    directions = first / np.linalg.norm(first, axis=-1, keepdims=True) - second / np.linalg.norm(
        second, axis=-1, keepdims=True
    )
    span = np.broadcast_to(edges[1:] - edges[:-1], first.shape)
    along = np.sum(span * directions, axis=-1, keepdims=True)
    return np.asarray(across / square * along / (4 * math.pi))


def _own_wake(given: section.Section, aspect_ratio: float, chord_m: float) -> float:
    """Air speed along the normal that a surface's own wake gives for its circulation [1/m].

    Chosen so that the lift slope near no lift is Helmbold's, as in `balance` and `trim`.
    """
    slope = wing.helmbold_slope(aspect_ratio, given.lift_slope_per_rad)
    return -(1 / slope - 1 / given.lift_slope_per_rad) * 2 / chord_m


def _influence(panels: _Panels, aeroplane: Aeroplane) -> Floats:
    """Air speed along each panel's normal for each panel's circulation, without lag.

    The wing is an extended lifting line: vortices on the quarter chord, the air felt at three
    quarters, less what the bound vortex of an endless wing would give there, for the section
    knows that already. J. Weissinger, NACA TM 1120, 1947, from memory.
    """
    influence = np.zeros((PANELS, PANELS))
    rear, chord = panels.rear[:STRIPS], panels.chord[:STRIPS]
    speed = _legs(rear, panels.edges) + _bound(rear, panels.edges)
    across = np.einsum("ijk,ik->ij", speed, panels.normal[:STRIPS])
    influence[:STRIPS, :STRIPS] = across + np.diag(1 / (math.pi * chord))
    build, tail = aeroplane.build, _sections(aeroplane)[1]
    for half in (TAIL_LEFT, TAIL_RIGHT):
        influence[half, half] = _own_wake(tail, build.tail.aspect_ratio, panels.chord[half])
    influence[FIN, FIN] = _own_wake(
        section.plate(0.0), _fin_aspect(aeroplane), float(panels.chord[FIN])
    )
    return influence


def _tilts(panels: _Panels, influence: Floats, aeroplane: Aeroplane) -> Floats:
    """Share of the wake's air speed that tilts the force on each panel.

    A force stands across the air at its vortex, the quarter chord, where only the wake is felt:
    that makes the induced drag CL²/(pi AR) of an elliptic load. For the wing the mean over the
    span is taken, for tail and fin that formula.
    """
    tilts = np.ones(PANELS)
    load = np.sqrt(1 - np.linspace(-1 + 1 / STRIPS, 1 - 1 / STRIPS, STRIPS) ** 2)
    legs = _legs(panels.quarter[:STRIPS], panels.edges)
    wake = np.einsum("ijk,ik->ij", legs, panels.normal[:STRIPS])
    lift = load * panels.width[:STRIPS]
    tilts[:STRIPS] = (lift @ wake @ load) / (lift @ influence[:STRIPS, :STRIPS] @ load)
    tail = aeroplane.build.tail.aspect_ratio
    for panel, ratio in ((TAIL_LEFT, tail), (TAIL_RIGHT, tail), (FIN, _fin_aspect(aeroplane))):
        elliptic = -2 / (math.pi * ratio * panels.chord[panel])
        tilts[panel] = elliptic / influence[panel, panel]
    return tilts


def _fin_aspect(aeroplane: Aeroplane) -> float:
    """Aspect ratio of the fin, held in the range of Helmbold's formula."""
    return min(
        max(aeroplane.build.fin.aspect_ratio, wing.LEAST_ASPECT_RATIO), wing.MOST_ASPECT_RATIO
    )


def _tail_influence(panels: _Panels, aeroplane: Aeroplane) -> Floats:
    """Air speed along the tail halves' normals for the wing's circulation, whole horseshoes."""
    quarter_span = aeroplane.build.tail.span_mm / 4000
    spots = np.linspace(-quarter_span, quarter_span, 5)[:, None] * np.array([0.0, 1.0, 0.0])
    rows = np.zeros((2, PANELS))
    for row, half in enumerate((TAIL_LEFT, TAIL_RIGHT)):
        points = panels.quarter[half] + spots
        speed = np.mean(_legs(points, panels.edges) + _bound(points, panels.edges), axis=0)
        rows[row, :STRIPS] = speed @ panels.normal[half]
    return rows


def _sections(aeroplane: Aeroplane) -> tuple[section.Section, ...]:
    """Of the wing, the tail, the fin, and the left half of the wing."""
    frame, tail = aeroplane.build.wing, aeroplane.build.tail
    left = max(frame.covering_quality * frame.left_covering_quality, section.LEAST_QUALITY)
    return (
        section.plate(frame.camber_percent, frame.covering_quality),
        section.plate(tail.camber_percent, tail.covering_quality),
        section.plate(0.0),
        section.plate(frame.camber_percent, left),
    )


def _rod(mass: float, place: Floats, extent: Floats) -> Floats:
    """Inertia about the origin of a block of given lengths along the axes [kg m²]."""
    own = extent**2 / 12
    own_tensor = np.diag(own.sum() - own)
    return np.asarray(mass * (own_tensor + (place @ place) * np.eye(3) - np.outer(place, place)))


def _place(part: Part) -> Floats:
    return np.array([-part.station_mm, 0.0, -part.height_mm]) / 1000


def _masses(aeroplane: Aeroplane, panels: _Panels) -> list[tuple[str, float, Floats, Floats]]:
    """Name, mass, place and extent of everything, with the wing spread over its strips."""
    build, found = aeroplane.build, []
    for part in balance.parts(aeroplane):
        mass, extent = part.mass_g / 1000, np.array([part.length_mm / 1000, 0.0, 0.0])
        if part.name == "tailplane":
            extent[1] = build.tail.span_mm / 1000
        if part.name == "propeller":
            extent = np.zeros(3)  # its own inertia is added apart
        if part.name != "wing":
            found.append((part.name, mass, _place(part), extent))
            continue
        area = panels.chord[:STRIPS] * panels.width[:STRIPS]
        places = panels.quarter[:STRIPS].copy()
        places[:, 0] += -part.station_mm / 1000 - float(area @ places[:, 0]) / area.sum()
        for strip in range(STRIPS):
            extent = np.array([panels.chord[strip], panels.width[strip], 0.0])
            share = mass * area[strip] / area.sum()
            found.append(("wing", float(share), places[strip], extent))
    return found


def _apparent_mass(panels: _Panels, aeroplane: Aeroplane, density: float, cg: Floats) -> Floats:
    """Air that moves with the panels, (6, 6).

    A plate of chord c carries rho pi c²/4 of air for each unit of span (Theodorsen's
    non-circulatory part, NACA report 496, 1935, from memory), less at low aspect ratio by
    AR/(AR + 0.6) (assumed), and rho pi c⁴/128 against turning about its middle.
    """
    build = aeroplane.build
    ratios = np.full(PANELS, build.wing.aspect_ratio)
    ratios[[TAIL_LEFT, TAIL_RIGHT]], ratios[FIN] = build.tail.aspect_ratio, build.fin.aspect_ratio
    share = density * math.pi * panels.width * ratios / (ratios + 0.6)
    levers = np.cross(panels.middle - cg, panels.normal)
    rows = np.hstack([panels.normal, levers])
    apparent = np.einsum("i,ij,ik->jk", share * panels.chord**2 / 4, rows, rows)
    axes = np.cross(panels.along, panels.normal)
    turning = share * panels.chord**4 / 128
    apparent[3:, 3:] += np.einsum("i,ij,ik->jk", turning, axes, axes)
    return np.asarray(apparent)


def thrust_axis(left_rad: float, down_rad: float) -> Floats:
    """Return the direction of the thrust line in body axes.

    Parameters
    ----------
    left_rad, down_rad : float
        Side thrust to the left and down thrust [rad].

    Returns
    -------
    numpy.ndarray
        Unit vector [-].
    """
    axis = np.array([1.0, -math.tan(left_rad), math.tan(down_rad)])
    return np.asarray(axis / np.linalg.norm(axis))


def model_of(
    aeroplane: Aeroplane,
    turns: float,
    hall: Hall,
    *,
    wound: float | None = None,
    propeller: bool = True,
    azimuths: int = 1,
    seed: int = 0,
) -> Model:
    """Turn an aeroplane in a hall into the numbers of its equations of motion.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    turns : float
        Turns on the rubber at the start [turns].
    hall : Hall
        Room and air [-].
    wound : float or None
        Most turns that were on it; None for `turns` [turns].
    propeller : bool
        False leaves the propeller's mass and takes its forces away [-].
    azimuths : int
        1 flies the blades as they turn, more averages over so many places of the turn [-].
    seed : int
        Chooses the slow swings of the hall's air [-].

    Returns
    -------
    numpy record
        Of `MODEL_TYPE`, SI units [-].

    Raises
    ------
    ValueError
        When the aeroplane cannot fly at all, with the reason.
    """
    model = np.zeros(1, MODEL_TYPE)[0]
    panels, saddle = _panels(aeroplane)
    masses = _masses(aeroplane, panels)
    mass = sum(row[1] for row in masses)
    cg = sum((row[1] * row[2] for row in masses), np.zeros(3)) / mass
    model["mass"], model["density"] = mass, hall.density_kg_m3
    _put_panels(model, panels, aeroplane, cg, hall)
    _put_propeller(model, aeroplane, cg, propeller)
    _put_motor(model, aeroplane, turns, wound, hall)
    _put_inertia(model, aeroplane, panels, masses, cg)
    _put_joints(model, aeroplane, panels, masses, cg, saddle)
    _put_touches(model, aeroplane, cg)
    _put_stream(model)
    _put_hall(model, hall, seed)
    model["azimuths"], model["unwinds"] = azimuths, 1.0
    return model


def _put_panels(
    model: Model, panels: _Panels, aeroplane: Aeroplane, cg: Floats, hall: Hall
) -> None:
    model["quarter"], model["rear"] = panels.quarter - cg, panels.rear - cg
    model["along"], model["normal"] = panels.along, panels.normal
    model["chord"], model["width"] = panels.chord, panels.width
    model["influence"] = _influence(panels, aeroplane)
    model["tilt"] = _tilts(panels, model["influence"], aeroplane)
    model["tail_influence"] = _tail_influence(panels, aeroplane)
    middle = STRIPS // 2
    model["tail_lag"] = panels.quarter[middle, 0] - panels.quarter[TAIL_LEFT, 0]
    found = _sections(aeroplane)
    model["sections"] = np.stack([section_numbers(given) for given in found])
    reference = section.REFERENCE_REYNOLDS * hall.kinematic_viscosity_m2_s
    model["reynolds_speed"] = reference / panels.chord
    model["lift_power"] = found[0].lift_reynolds_power
    frame = aeroplane.build.wing
    posts = 2 * POST_DRAG * POST_WIDTH_M * max(frame.height_mm, 0.0) / 1000
    sticks = STICK_DRAG_M * aeroplane.build.tail.station_mm / 1000
    model["drag_area"] = max(posts + sticks + aeroplane.build.stick.drag_area_mm2 / 1e6, 0.0)
    model["drag_point"] = panels.quarter[middle] - cg
    model["drag_point"][1:] = -cg[1], -frame.height_mm / 2000 - cg[2]


def _put_propeller(model: Model, aeroplane: Aeroplane, cg: Floats, fitted: bool) -> None:
    given, stick = aeroplane.setting.propeller, aeroplane.build.stick
    radius = given.diameter_mm / 2000
    nodes, weights = np.polynomial.legendre.leggauss(RINGS)
    root = given.radius_ratios[0]
    ratio = root + (1 - root) * (nodes + 1) / 2
    model["radius"] = radius
    model["ring_radius"] = ratio * radius
    model["ring_width"] = weights / 2 * (1 - root) * radius
    chord = np.interp(ratio, given.radius_ratios, given.chord_ratios) * radius
    model["ring_chord"] = chord if fitted else 0.0
    for blade, extra in enumerate((0.0, given.second_blade_deg)):
        slope = np.tan(np.radians(np.asarray(given.blade_angles_deg) + extra))
        rise = np.interp(ratio, given.radius_ratios, np.asarray(given.radius_ratios) * slope)
        angle = np.arctan2(rise, ratio)
        model["blade_angle"][blade] = angle
        model["blade_sine"][blade], model["blade_cosine"][blade] = np.sin(angle), np.cos(angle)
    zero = math.radians(given.zero_lift_deg)
    model["blade_section"] = (
        given.lift_slope_per_rad,
        math.sin(zero),
        math.cos(zero),
        math.radians(given.stall_deg),
        math.exp((given.negative_stall_deg - given.stall_deg) / given.stall_width_deg),
        1 / math.radians(given.stall_width_deg),
        given.least_drag,
        given.drag_rise,
        given.least_drag_lift,
        0.0,
        1.0,
        TRACK_DRAG_PER_MM * stick.propeller_track_mm,
    )
    setting = aeroplane.setting
    model["hub"] = np.array([-given.station_mm, 0.0, -stick.motor_height_mm]) / 1000 - cg
    model["thrust_left"] = math.radians(setting.side_thrust_deg)
    model["thrust_down"] = math.radians(setting.down_thrust_deg)
    model["shaft"] = thrust_axis(model["thrust_left"], model["thrust_down"])
    model["hand"] = 1.0 if given.hand == "right" else -1.0
    mass = given.mass_g / 1000
    model["shaft_inertia"] = mass * (PROPELLER_GYRATION * radius) ** 2
    bend = math.radians(stick.shaft_bend_deg)
    off_axis = mass * BENT_SHAFT_ARM_M * math.sin(bend)
    # half the propeller on each side, out by the radius of gyration, half the track ahead or aft
    out_of_track = stick.propeller_track_mm / 2000
    model["wobble"] = mass * PROPELLER_GYRATION * radius * out_of_track
    model["imbalance"] = stick.propeller_imbalance_g_mm * 1e-6 + off_axis


def _put_motor(
    model: Model, aeroplane: Aeroplane, turns: float, wound: float | None, hall: Hall
) -> None:
    motor, stick = aeroplane.setting.motor, aeroplane.build.stick
    most = turns if wound is None else wound
    model["turns_on"] = max(most, 1.0)
    left = np.linspace(0.0, max(most, 1.0), TORQUE_POINTS)
    torque = motor.unwinding_torque_mNm(left, max(most, 1.0), hall.temperature_c)
    model["torque"] = np.asarray(torque) / 1000
    back = np.linspace(0.0, min(BACK_TURNS, motor.limit_turns), TORQUE_POINTS)
    model["torque_back"] = np.asarray(motor.winding_torque_mNm(back, hall.temperature_c)) / 1000
    share = BEARING_SHARE + BEARING_SHARE_PER_DEG * stick.shaft_bend_deg
    model["friction"] = BEARING_TORQUE_NM + stick.bearing_drag_mNm / 1000, share
    model["hub_grip"] = stick.hub_grip_mNm / 1000
    model["bow"] = math.radians(stick.bow_deg_mNm) * 1000
    model["twist"] = math.radians(stick.twist_deg_mNm) * 1000


def _put_inertia(
    model: Model,
    aeroplane: Aeroplane,
    panels: _Panels,
    masses: list[tuple[str, float, Floats, Floats]],
    cg: Floats,
) -> None:
    """Inertia with the propeller, and the inverse of mass with apparent mass."""
    inertia = sum((_rod(mass, at - cg, size) for _, mass, at, size in masses), np.zeros((3, 3)))
    polar, shaft = float(model["shaft_inertia"]), model["shaft"]
    along = np.outer(shaft, shaft)
    inertia = inertia + polar * (along + (np.eye(3) - along) / 2)
    whole = np.zeros((6, 6))
    whole[:3, :3] = model["mass"] * np.eye(3)
    whole[3:, 3:] = inertia - polar * along
    whole += _apparent_mass(panels, aeroplane, float(model["density"]), cg)
    least = float(np.linalg.eigvalsh(whole)[0])
    if not least > 0:
        raise ValueError(
            f"{aeroplane.name}: its smallest inertia is {least:.2g} kg m²; allowed is more than 0;"
            " has every part a mass and a place of its own?"
        )
    model["inertia"], model["accelerance"] = inertia, np.linalg.inv(whole)


def _spring(
    give_rad_nm: float, inertia: float, slop: float, hertz: float, damping: float = DAMPING_RATIO
) -> Floats:
    """Stiffness, damping, inertia, half slop and rest angle of a joint."""
    stiffness = inertia * (2 * math.pi * hertz) ** 2
    if give_rad_nm > 0:
        stiffness = min(stiffness, 1 / give_rad_nm)
    return np.array([stiffness, 2 * damping * math.sqrt(stiffness * inertia), inertia, slop, 0.0])


def _put_joints(
    model: Model,
    aeroplane: Aeroplane,
    panels: _Panels,
    masses: list[tuple[str, float, Floats, Floats]],
    cg: Floats,
    saddle: Floats,
) -> None:
    """The tail's joint at the end of the stick, and the wing's saddle."""
    build, density = aeroplane.build, float(model["density"])
    joint = np.array([-build.stick.hook_station_mm / 1000, 0.0, 0.0])
    joint[0] = max(joint[0], panels.quarter[TAIL_LEFT, 0] + panels.chord[TAIL_LEFT] / 4)
    aft = [row for row in masses if row[0] != "wing" and row[2][0] < joint[0] - 1e-6]
    inertia = sum((_rod(mass, at - joint, size) for _, mass, at, size in aft), np.zeros((3, 3)))
    air = density * math.pi / 4 * panels.chord**2 * panels.width
    lever = panels.middle - joint
    tail = slice(TAIL_LEFT, FIN)
    pitch = inertia[1, 1] + float(air[tail] @ lever[tail, 0] ** 2)
    roll = inertia[0, 0] + float(air[tail] @ (panels.width[tail] ** 2 / 3))
    slack = build.tail.joint_slack
    model["joint_point"] = joint - cg
    model["joint_pitch"] = _spring(JOINT_PITCH_RAD_NM, pitch, slack * PITCH_SLOP, JOINT_HERTZ)
    model["joint_twist"] = _spring(JOINT_TWIST_RAD_NM, roll, slack * TWIST_SLOP, JOINT_HERTZ)
    weight = sum(mass * float(joint[0] - at[0]) for _, mass, at, _ in aft)
    model["joint_weight"] = weight
    # on the bench, at rest, the firm joint hangs where the tail's incidence was measured
    model["joint_pitch"][4] = weight * STANDARD_GRAVITY_M_S2 / model["joint_pitch"][0]
    saddle = saddle * np.array([1.0, 0.0, 1.0])  # on the stick, wherever the wing is pushed to
    strips = slice(0, STRIPS)
    wing_mass = [row for row in masses if row[0] == "wing"]
    of_wing = sum((_rod(mass, at - saddle, size)[0, 0] for _, mass, at, size in wing_mass), 0.0)
    of_wing += float(air[strips] @ (panels.quarter[strips, 1] - saddle[1]) ** 2)
    rest = [row for row in masses if row[0] != "wing"]
    of_rest = sum((_rod(mass, at - saddle, size)[0, 0] for _, mass, at, size in rest), 0.0)
    of_rest += float(air[tail] @ (panels.width[tail] ** 2 / 3))
    model["wing_share"] = of_wing / (of_wing + of_rest)
    reduced = of_wing * of_rest / (of_wing + of_rest)
    tired = build.wing.saddle_slack
    hertz = SADDLE_HERTZ / (1 + TIRED_SOFTER * tired)
    damping = DAMPING_RATIO / (1 + TIRED_LIVELIER * tired)
    model["saddle"] = _spring(0.0, reduced, tired * SADDLE_SLOP, hertz, damping)
    model["saddle_point"] = saddle - cg


def _put_touches(model: Model, aeroplane: Aeroplane, cg: Floats) -> None:
    build, half = aeroplane.build, aeroplane.build.wing.span_mm / 2000
    tips = _wing_points(aeroplane, np.array([-half, half, 0.0]))
    tail = model["quarter"][TAIL_LEFT : TAIL_RIGHT + 1] + cg
    ends = tail + (tail - tail[::-1]) / 2
    fin_top = build.fin.height_mm + build.fin.span_mm / 2
    points = np.array(
        [
            model["hub"] + cg,
            tips[0],
            tips[1],
            ends[0],
            ends[1],
            [-build.fin.station_mm / 1000, 0.0, -fin_top / 1000],
            [-build.stick.hook_station_mm / 2000, 0.0, 0.01],
            tips[2],
        ]
    )
    model["touch"] = points - cg
    reach = np.max(np.linalg.norm(model["touch"], axis=1)) + model["radius"]
    model["reach"] = reach


def _put_stream(model: Model) -> None:
    """How much of each panel lies in the propeller's stream, and where."""
    shaft = model["shaft"]
    for panel in range(PANELS):
        across = np.cross(model["normal"][panel], model["along"][panel])
        spots = np.linspace(-0.5, 0.5, 21)[:, None] * model["width"][panel] * across
        away = model["quarter"][panel] + spots - model["hub"]
        away = away - np.outer(away @ shaft, shaft)
        inside = np.linalg.norm(away, axis=1) - model["radius"]
        weight = 1 / (1 + np.exp(np.minimum(inside / STREAM_EDGE_M, 60)))
        model["stream"][panel] = np.mean(weight)
        place = np.average(away, axis=0, weights=weight)
        model["stream_place"][panel] = place[1], place[2]
    model["stream"][TAIL_LEFT:] *= 0.75  # the stream has spread and mixed by then; assumed


def _put_hall(model: Model, hall: Hall, seed: int) -> None:
    north, east, height = hall.size_m
    model["room"] = north / 2, east / 2, height
    drift = hall.drift_m_s
    model["drift"] = drift[0], drift[1], -drift[2]
    rates, speeds, phases = hall.swings(seed)
    model["gust_rate"], model["gust_speed"], model["gust_phase"] = rates, speeds, phases


def check_possible(aeroplane: Aeroplane) -> None:
    """Refuse an aeroplane that could not be built or could not fly.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].

    Raises
    ------
    ValueError
        With every reason found.
    """
    reasons = list(_reasons(aeroplane))
    if reasons:
        raise ValueError(f"{aeroplane.name} cannot fly: " + "; ".join(reasons))


def _reasons(aeroplane: Aeroplane) -> list[str]:
    build, setting = aeroplane.build, aeroplane.setting
    loading = balance.aeroplane_cg(aeroplane).mass_g / build.wing.area_mm2 * 1e4
    found = []
    if build.tail.station_mm <= setting.wing_station_mm + build.wing.root_chord_mm:
        found.append(
            f"the tail's leading edge is at {build.tail.station_mm:g} mm, not behind the wing's "
            f"trailing edge at {setting.wing_station_mm + build.wing.root_chord_mm:g} mm"
        )
    if not build.fin.station_mm > setting.wing_station_mm:
        found.append(f"the fin at {build.fin.station_mm:g} mm is ahead of the wing")
    if loading > MOST_LOADING_G_DM2:
        found.append(
            f"it carries {loading:.1f} g on each square decimetre of wing, allowed is "
            f"{MOST_LOADING_G_DM2:g}; is a mass in mg or a length in cm?"
        )
    if not np.all(np.isfinite(_numbers(aeroplane))):
        found.append("a mass or a place is not a number")
    return found


def _numbers(aeroplane: Aeroplane) -> Floats:
    return np.array([(p.mass_g, p.station_mm, p.height_mm) for p in balance.parts(aeroplane)])


MOST_LOADING_G_DM2 = 40.0  # assumed: at more than 10 m/s the sections no longer hold
