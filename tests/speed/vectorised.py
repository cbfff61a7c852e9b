"""The equations of motion over many flights at once, in numpy: the last axis is the flight.

Term for term the right-hand side of `trimkit.flight.equations`, for flights of many aeroplanes
side by side: every surface, ring and blade is an axis of an array, no flight waits in a loop.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np

from trimkit.flight.equations import (
    FLUX_FLOOR,
    GRAVITY,
    HUB_DAMPING,
    KNOT_SHARE,
    KNOT_TURNS,
    LAG_CHORDS,
    LAG_SPEED,
    STREAM_AT_WING,
    STREAM_FLOOR,
    SWIRL_KEPT,
    TOUCH_DAMPING,
    TOUCH_FRICTION,
    TOUCH_STIFFNESS,
)
from trimkit.flight.model import (
    BLADES,
    CIRCULATION,
    DOWNWASH,
    ENERGY,
    FIN,
    INFLOW,
    MODEL_TYPE,
    PANELS,
    POSITION,
    QUATERNION,
    RATES,
    REYNOLDS_SPEED_FLOOR_M_S,
    RINGS,
    ROCK,
    SHAFT_ANGLE,
    SHAFT_SPEED,
    SLANT,
    STRIPS,
    SWIRL,
    TAIL_LEFT,
    TAIL_PITCH,
    TAIL_TWIST,
    TORQUE_POINTS,
    TURNS,
    VELOCITY,
    Model,
)
from trimkit.units import Floats

SECTION_OF = np.array([3] * (STRIPS // 2) + [0] * (STRIPS - STRIPS // 2) + [1, 1, 2])
VECTORS = ("along", "normal", "rear", "quarter", "touch")  # tables whose rows are vectors


class Flights:
    """Models of many flights, each field with the flight as its last axis."""

    def __init__(self, models: list[Model]) -> None:
        table, self.m = np.array(models, dtype=MODEL_TYPE), SimpleNamespace()
        for name in MODEL_TYPE.names or ():
            field = np.moveaxis(table[name], 0, -1)
            if name in VECTORS:
                field = np.moveaxis(field, 1, 0)
            setattr(self.m, name, np.ascontiguousarray(field))
        assert np.all(self.m.azimuths == self.m.azimuths[0])
        self.m.azimuths = int(self.m.azimuths[0])
        self.m.panel_sections = np.ascontiguousarray(self.m.sections[SECTION_OF].swapaxes(0, 1))

    def rates(self, time: float, state: Floats) -> Floats:
        return rates(time, state, self.m)

    def march(self, state: Floats, step: float, steps: int) -> Floats:
        for taken in range(steps):
            time = taken * step
            k1 = self.rates(time, state)
            k2 = self.rates(time + 0.5 * step, state + 0.5 * step * k1)
            k3 = self.rates(time + 0.5 * step, state + 0.5 * step * k2)
            k4 = self.rates(time + step, state + step * k3)
            state = state + step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        return state


def dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def cross(a: Floats, b: Floats) -> Floats:
    return np.stack(
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    )


def to_body(q: Floats, v: Floats) -> Floats:
    w, x, y, z = q
    return np.stack(
        [
            (1 - 2 * (y * y + z * z)) * v[0]
            + 2 * (x * y + w * z) * v[1]
            + 2 * (x * z - w * y) * v[2],
            2 * (x * y - w * z) * v[0]
            + (1 - 2 * (x * x + z * z)) * v[1]
            + 2 * (y * z + w * x) * v[2],
            2 * (x * z + w * y) * v[0]
            + 2 * (y * z - w * x) * v[1]
            + (1 - 2 * (x * x + y * y)) * v[2],
        ]
    )


def to_earth(q: Floats, v: Floats) -> Floats:
    return to_body(np.stack([q[0], -q[1], -q[2], -q[3]]), v)


def section(
    s: Floats, angle: Floats, sine: Floats, cosine: Floats, gain: Floats, friction: Floats
) -> tuple[Floats, Floats, Floats]:
    e = np.exp((angle - s[3]) * s[5])
    attached = e / ((1.0 + e) * (e + s[4]))
    plate = (1.0 - attached) * 1.9 * sine / (0.56 + 0.44 * np.abs(sine))
    linear = s[0] * (sine * s[2] - cosine * s[1]) * gain
    lift = s[10] * (attached * linear + plate * cosine)
    drag = s[6] * friction + attached * s[7] * (linear - s[8]) ** 2 + plate * sine + s[11]
    moment = s[10] * (attached * s[9] - plate * (0.075 + 0.1114 * np.abs(angle)))
    return lift, drag, moment


def table_value(table: Floats, share: Floats) -> Floats:
    last, flight = TORQUE_POINTS - 1, np.arange(share.size)
    place = np.clip(share, 0.0, 1.0) * last
    i = np.minimum(place.astype(int), last - 1)
    t, b, c = place - i, table[i, flight], table[i + 1, flight]
    a = np.where(i > 0, table[np.maximum(i - 1, 0), flight], 2 * b - c)
    d = np.where(i + 2 <= last, table[np.minimum(i + 2, last), flight], 2 * c - b)
    bend = 2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)
    return np.asarray(b + 0.5 * t * (c - a + t * bend))


def motor_torque(m: SimpleNamespace, turns: Floats) -> Floats:
    torque = table_value(m.torque, turns / m.turns_on)
    if np.all(turns >= 0.0):
        return torque
    return np.where(turns >= 0.0, torque, -table_value(m.torque_back, -turns / 100.0))


def knots(turns: Floats) -> Floats:
    place = 2.0 * math.pi / KNOT_TURNS * turns
    return np.asarray(KNOT_SHARE * sum(np.sin(k * place) for k in range(1, 5)))


def air_of_hall(m: SimpleNamespace, time: float) -> tuple[Floats, Floats]:
    if not np.any(m.gust_speed):
        return m.drift, np.zeros_like(m.drift)
    rate = m.gust_rate[:, None]
    phase = rate * time + m.gust_phase
    speed = np.where(m.gust_speed[:, :1] > 0.0, m.gust_speed, 0.0)
    change = np.sum(rate * speed * np.cos(phase), axis=0)
    return m.drift + np.sum(speed * np.sin(phase), axis=0), change


def kinematics(state: Floats, air: Floats, change: Floats) -> None:
    q, turning = state[QUATERNION : QUATERNION + 4], state[RATES : RATES + 3]
    change[POSITION : POSITION + 3] = to_earth(q, state[VELOCITY : VELOCITY + 3]) + air
    w, (p, r_y, r_z) = q[0], turning
    pull = 2.0 * (1.0 - np.sum(q * q, axis=0))
    change[QUATERNION] = 0.5 * (-q[1] * p - q[2] * r_y - q[3] * r_z)
    change[QUATERNION + 1 : QUATERNION + 4] = 0.5 * (w * turning + cross(q[1:], turning))
    change[QUATERNION : QUATERNION + 4] += pull * q


def blade_forces(
    m: SimpleNamespace, state: Floats, axis: Floats, change: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Force, moment, held torque over the air's density; and mean inflow."""
    turning, radius, hand = state[RATES : RATES + 3], m.radius, m.hand
    v = state[VELOCITY : VELOCITY + 3] + cross(turning, m.hub)
    size = np.sqrt(axis[0] * axis[0] + axis[1] * axis[1])
    right = np.stack([-axis[1] / size, axis[0] / size, np.zeros_like(size)])
    below = cross(axis, right)
    ahead, v_right, v_below = dot(v, axis), dot(v, right), dot(v, below)
    w_right, w_below = dot(turning, right), dot(turning, below)
    spin = state[SHAFT_SPEED] + hand * dot(turning, axis)
    slant = state[SLANT : SLANT + 2]
    inflow, swirl = state[INFLOW : INFLOW + RINGS], state[SWIRL : SWIRL + RINGS]
    # (azimuths, blades, 1, flights): the ring is the third axis
    psi = hand * state[SHAFT_ANGLE] + math.pi / m.azimuths * np.arange(m.azimuths)[:, None]
    side_of = 1.0 - 2.0 * np.arange(BLADES)[:, None, None]
    c, s = side_of * np.cos(psi)[:, None, None], side_of * np.sin(psi)[:, None, None]
    r = m.ring_radius
    through = (
        (ahead + inflow)
        + r * (w_right * s - w_below * c)
        + r / radius * (slant[0] * c + slant[1] * s)
    )
    around = hand * (c * v_below - s * v_right) + (spin * r - swirl)
    square = through * through + around * around + 1e-12
    part = 1.0 / np.sqrt(square)
    cosine, sine = around * part, through * part
    seen_sine = m.blade_sine * cosine - m.blade_cosine * sine
    seen_cosine = m.blade_cosine * cosine + m.blade_sine * sine
    seen = np.arctan2(seen_sine, seen_cosine)
    one = np.ones(1)
    lift, drag, _ = section(m.blade_section, seen, seen_sine, seen_cosine, one, one)
    pressure = 0.5 / m.azimuths * square * (m.ring_chord * m.ring_width)
    push = pressure * (lift * cosine - drag * sine)
    back = pressure * (lift * sine + drag * cosine)
    ring_thrust, ring_torque = np.sum(push, axis=(0, 1)), np.sum(back, axis=(0, 1)) * r
    force_right = np.sum(hand * s * back, axis=(0, 1, 2))
    force_below = -np.sum(hand * c * back, axis=(0, 1, 2))
    lever_right = np.sum(c * r * push, axis=(0, 1, 2))
    lever_below = np.sum(s * r * push, axis=(0, 1, 2))

    axial, tangent = ahead + inflow, spin * r - swirl
    square = axial * axial
    steep = np.sqrt((square + 1e-4) / (square + tangent * tangent + 1e-4))
    out = (radius - r) / (r * steep)
    loss = 2.0 / math.pi * np.arccos(np.exp(-0.5 * BLADES * out))
    flux = np.sqrt(square + v_right * v_right + v_below * v_below + FLUX_FLOOR)
    carried_away = 4.0 * math.pi * r * m.ring_width * loss * flux
    share = 2.0 * r * m.ring_width / (radius * radius)
    virtual = 8.0 / 3.0 * radius**3 * share
    change[INFLOW : INFLOW + RINGS] = (ring_thrust - carried_away * inflow) / virtual
    change[SWIRL : SWIRL + RINGS] = (ring_torque / r - carried_away * swirl) / virtual
    slow = 0.5 * math.pi * radius**3 * np.sum(share * flux, axis=0)
    levers = np.stack([lever_right, lever_below])
    change[SLANT : SLANT + 2] = (levers - slow * slant) / (16.0 / 45.0 * radius**4)

    force = np.sum(ring_thrust, axis=0) * axis + force_right * right + force_below * below
    moment = cross(m.hub, force) + lever_below * right - lever_right * below
    return force, moment, np.sum(ring_torque, axis=0), np.sum(share * inflow, axis=0)


def joint_rate(joint: Floats, angle: Floats, speed: Floats, moment: Floats) -> Floats:
    at = angle + joint[4]
    beyond = at - np.clip(at, -joint[3], joint[3])
    return np.asarray((moment - joint[0] * beyond - joint[1] * speed) / joint[2])


def touch_forces(m: SimpleNamespace, state: Floats, air: Floats) -> tuple[Floats, Floats]:
    q, turning = state[QUATERNION : QUATERNION + 4], state[RATES : RATES + 3]
    v = state[VELOCITY : VELOCITY + 3]
    place = state[:3, None] + to_earth(q, m.touch)
    speed = to_earth(q, v[:, None] + cross(turning[:, None], m.touch)) + air[:, None]
    side = place * np.array([1.0, 1.0, -1.0])[:, None, None]
    depth = np.stack([np.abs(side[0]), np.abs(side[1]), side[2]]) - m.room[:, None]
    inward = np.where(place > 0.0, -1.0, 1.0)
    push = m.mass * (TOUCH_STIFFNESS * depth - TOUCH_DAMPING * inward * speed)
    press = np.where(depth > 0.0, inward * np.maximum(push, 1e-9), 0.0)
    slide = np.sqrt(dot(speed, speed)) + 0.1
    rub = TOUCH_FRICTION * np.sum(np.abs(press), axis=0) / slide
    force = to_body(q, np.where(press != 0.0, press, -rub * speed))
    return np.sum(force, axis=1), np.sum(cross(m.touch, force), axis=1)


def turned(v: Floats, axis: int, cosine: Floats, sine: Floats) -> Floats:
    one, two = (axis + 1) % 3, (axis + 2) % 3
    made = [v[0], v[1], v[2]]
    made[one] = v[one] * cosine - v[two] * sine
    made[two] = v[one] * sine + v[two] * cosine
    return np.stack(made)


def rates(time: float, state: Floats, m: SimpleNamespace) -> Floats:
    change = np.empty_like(state)
    q, v = state[QUATERNION : QUATERNION + 4], state[VELOCITY : VELOCITY + 3]
    turning, spin, hand, rho = state[RATES : RATES + 3], state[SHAFT_SPEED], m.hand, m.density
    air, air_change = air_of_hall(m, time)
    kinematics(state, air, change)

    torque = motor_torque(m, state[TURNS])
    if m.azimuths == 1:
        torque = torque * (1.0 + knots(state[TURNS]))
    friction = (m.friction[0] + m.friction[1] * np.abs(torque)) * np.tanh(spin)
    bow = m.bow * torque
    axis = np.stack([np.ones_like(bow), -np.tan(m.thrust_left), np.tan(m.thrust_down + bow)])
    axis = axis / np.sqrt(dot(axis, axis))
    force, moment, held, inflow = blade_forces(m, state, axis, change)
    force, moment, holding = rho * force, rho * moment, rho * held
    if m.azimuths == 1 and np.any(m.imbalance + m.wobble > 0.0):
        angle, nothing = hand * state[SHAFT_ANGLE], np.zeros_like(spin)
        across, below = np.cos(angle) * spin * spin, np.sin(angle) * spin * spin
        whirl = m.imbalance * np.stack([nothing, across, below])
        force = force + whirl
        moment = moment + cross(m.hub, whirl) + m.wobble * np.stack([nothing, -below, across])
    body_roll = moment[0] - hand * (torque - friction)
    flow = np.maximum(dot(v, axis) + inflow, 0.0) + STREAM_FLOOR
    swirl = hand * SWIRL_KEPT * 2.0 * held / (flow * math.pi * m.radius**4)

    pushes, moments, rolls = panel_forces(
        m, state, axis * STREAM_AT_WING * inflow, swirl, torque, bow, change
    )
    lag = (np.sqrt(dot(v, v)) + LAG_SPEED) / m.tail_lag
    circulation = state[CIRCULATION : CIRCULATION + STRIPS]
    steady = np.sum(m.tail_influence[:, :STRIPS] * circulation, axis=1)
    change[DOWNWASH : DOWNWASH + 2] = (steady - state[DOWNWASH : DOWNWASH + 2]) * lag

    at = v + cross(turning, m.drag_point)
    drag = -0.5 * m.drag_area * np.sqrt(dot(at, at) + 1e-12) * at
    force = force + rho * (pushes + drag)
    moment = moment + rho * (moments + cross(m.drag_point, drag))
    place = np.stack([np.abs(state[0]), np.abs(state[1]), -state[2]])
    if np.any(place + m.reach > m.room):
        push, about = touch_forces(m, state, air)
        force, moment = force + push, moment + about

    weight = m.mass * to_body(q, np.array([0.0, 0.0, GRAVITY])[:, None] - air_change)
    driving = torque - friction
    rotor = hand * m.shaft_inertia * spin * m.shaft
    spinning = np.einsum("ijn,jn->in", m.inertia, turning) + rotor
    right = np.concatenate(
        [
            force + weight - m.mass * cross(turning, v),
            moment - cross(turning, spinning) - hand * driving * m.shaft,
        ]
    )
    change[VELOCITY : VELOCITY + 6] = np.einsum("ijn,jn->in", m.accelerance, right)
    change[SHAFT_SPEED] = (driving - holding) / m.shaft_inertia - hand * dot(
        m.shaft, change[RATES : RATES + 3]
    )
    change[SHAFT_ANGLE] = spin
    slip = np.maximum(driving - m.hub_grip, 0.0) / HUB_DAMPING
    change[TURNS] = -m.unwinds * (spin + slip) / (2.0 * math.pi)
    change[ENERGY] = torque * (spin + slip)

    wing_roll, tail_roll, tail_pitch = rho * rolls
    between = wing_roll * (1.0 - m.wing_share) - m.wing_share * (body_roll + tail_roll)
    hanging = tail_pitch - m.joint_weight * (force[2] / m.mass)
    joints = (m.joint_pitch, hanging), (m.joint_twist, tail_roll), (m.saddle, between)
    for first, (joint, pull) in zip((TAIL_PITCH, TAIL_TWIST, ROCK), joints, strict=True):
        change[first] = state[first + 1]
        change[first + 1] = joint_rate(joint, state[first], state[first + 1], pull)
    return change


def panel_forces(
    m: SimpleNamespace,
    state: Floats,
    stream: Floats,
    swirl: Floats,
    torque: Floats,
    bow: Floats,
    change: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Force, moment, and the joints' moments (wing roll, tail roll, tail pitch) over density."""
    v, turning = state[VELOCITY : VELOCITY + 3, None], state[RATES : RATES + 3, None]
    wing, tail = slice(0, STRIPS), slice(STRIPS, PANELS)
    rock, rock_speed, share = state[ROCK], state[ROCK + 1], m.wing_share
    wing_turn, tail_pitch = (1.0 - share) * rock, state[TAIL_PITCH] + bow
    tail_roll = state[TAIL_TWIST] - m.hand * m.twist * torque - share * rock
    sets = []
    for table in (m.along, m.normal):
        on_wing = turned(table[:, wing], 0, np.cos(wing_turn), np.sin(wing_turn))
        on_tail = turned(table[:, tail], 1, np.cos(tail_pitch), np.sin(tail_pitch))
        on_tail = turned(on_tail, 0, np.cos(tail_roll), np.sin(tail_roll))
        sets.append(np.concatenate([on_wing, on_tail], axis=1))
    c, n = sets

    at = v + cross(turning, m.rear)
    arm = m.rear[:, wing] - m.saddle_point[:, None]
    wing_spin = (1.0 - share) * rock_speed
    at[1, wing] -= wing_spin * arm[2]
    at[2, wing] += wing_spin * arm[1]
    arm = m.rear[:, tail] - m.joint_point[:, None]
    nod, roll = state[TAIL_PITCH + 1], state[TAIL_TWIST + 1] - share * rock_speed
    at[0, tail] += nod * arm[2]
    at[1, tail] -= roll * arm[2]
    at[2, tail] += roll * arm[1] - nod * arm[0]
    at += m.stream * stream[:, None]
    at[1] += m.stream * swirl * m.stream_place[:, 1]
    at[2] -= m.stream * swirl * m.stream_place[:, 0]

    circulation = state[CIRCULATION : CIRCULATION + PANELS]
    wake = np.empty_like(circulation)
    wake[wing] = np.einsum("ijn,jn->in", m.influence[wing, wing], circulation[wing])
    wake[tail] = np.stack([m.influence[i, i] for i in range(STRIPS, PANELS)]) * circulation[tail]
    ahead, rising = dot(at, c), -dot(at, n)
    rising[TAIL_LEFT:FIN] += state[DOWNWASH : DOWNWASH + 2]
    tilted = rising + m.tilt * wake
    rising = rising + wake
    speed = np.sqrt(ahead * ahead + rising * rising + 1e-12)
    part = 1.0 / speed
    cosine, sine, tilted = ahead * part, rising * part, tilted * part
    least = REYNOLDS_SPEED_FLOOR_M_S**2
    gain = np.ones_like(wake)
    ratio = (dot(v[:, 0], v[:, 0]) + least) / m.reynolds_speed[STRIPS // 2] ** 2
    gain[wing] = ratio ** (0.5 * m.lift_power)
    friction = np.sqrt(np.sqrt(m.reynolds_speed**2 / (speed * speed + least)))
    angle = np.arctan2(rising, ahead)
    lift, drag, pitch = section(m.panel_sections, angle, sine, cosine, gain, friction)
    chord, width = m.chord, m.width
    steady = 0.5 * speed * chord * lift
    change[CIRCULATION : CIRCULATION + PANELS] = (
        (steady - circulation) * (speed + LAG_SPEED) / (LAG_CHORDS * chord)
    )
    up = 0.5 * speed * width * (steady + circulation)
    back = 0.5 * speed * speed * chord * width * drag
    push = (up * tilted - back * cosine) * c + (up * cosine + back * tilted) * n
    nose_up = cross(c, n)
    damping = math.pi / 16.0 * chord**3 * ahead * dot(turning, nose_up) * width
    twist = 0.5 * speed * speed * chord * chord * width * pitch - damping
    moment = cross(m.quarter, push) + twist * nose_up
    about_saddle = cross(m.saddle_point[:, None], push[:, wing])
    about_joint = cross(m.joint_point[:, None], push[:, tail])
    rolls = (
        moment[0, wing] - about_saddle[0],
        moment[0, tail] - about_joint[0],
        moment[1, tail] - about_joint[1],
    )
    return (
        np.sum(push, axis=1),
        np.sum(moment, axis=1),
        np.stack([np.sum(given, axis=0) for given in rolls]),
    )
