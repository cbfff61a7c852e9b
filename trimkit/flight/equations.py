"""The equations of motion of one small aeroplane, written once, compiled.

Axes: earth is north, east, down; body x is forward, y right, z down, from the balance point.
SI units. State and model are described in `model`; the velocity in the state is that through
the hall's air, so a steady drift changes nothing but the position.

`rates` is the one right-hand side, in this order:

    position       x' = R v + air of the hall
    attitude       q' = q (0, w)/2 + 2 (1 - |q|²) q                (stays of length 1)
    rigid body     [M_r + M_a] [v'; w'] = [F + m R'(g - a) - m w x v;
                                           M - w x (I w + s J W e) - s e (Q_r - Q_f)]
    propeller      W' = (Q_r - Q_f - Q_a)/J - s e.w'               (s = 1 right-hand, -1 left-hand)
    rubber         N' = -W/2 pi
    panels         G' = (V c cl/2 - G) (V + 0.2)/(1.5 c)           (lag of lift)
    downwash       d' = (d_steady - d) (V + 0.2)/l_tail
    rings          m n' = dT - 2 rho dA F U n,  m w' = dQ/r - 2 rho dA F U w
    slant          m' k' = roll and pitch moment of the disc - rho A R U k/2
    joints         I t'' = moment - stiffness (t outside its play) - damping t'

F and M are forces and moments of air and touch, M without the shaft's own torque Q_a; Q_r is the
rubber's torque, Q_f the bearing's; a is how fast the hall's air itself speeds up.

Sources, all from memory: B. L. Stevens, F. L. Lewis, E. N. Johnson, Aircraft Control and
Simulation, 3rd ed. 2016, section 1.7 (rigid body); R. T. Jones, NACA report 681, 1940 (lag of
lift; one lag near aspect ratio 5: half of a step comes at once, half with the time of 1.5 chords);
D. M. Pitt, D. A. Peters, Vertica 5, 1981 (dynamic inflow: apparent mass 8/3 rho R³ of the disc
and 16/45 rho R⁴ of its slant); the rings share out the first by area.
"""

from __future__ import annotations

import math

from trimkit.flight.compiled import compiled
from trimkit.flight.model import (
    BLADES,
    CIRCULATION,
    DOWNWASH,
    ENERGY,
    FIN,
    GUSTS,
    INFLOW,
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
    TOUCHES,
    TURNS,
    VELOCITY,
    Model,
)
from trimkit.units import STANDARD_GRAVITY_M_S2 as GRAVITY
from trimkit.units import Floats

Vector = tuple[float, float, float]
Six = tuple[float, float, float, float, float, float]

LAG_CHORDS = 1.5  # assumed: Jones' two lags at aspect ratio 5 drawn together
LAG_SPEED = 0.2  # keeps lags finite at rest; assumed [m/s]
STREAM_AT_WING = 1.6  # the stream has nearly its full 2 v there; assumed
SWIRL_KEPT = 0.8  # assumed
STREAM_FLOOR = 0.3  # keeps the swirl finite at rest; assumed [m/s]
FLUX_FLOOR = 0.0025  # keeps the flow through a ring above 0.05 m/s; assumed [m²/s²]
TOUCH_STIFFNESS = 4000.0  # of wall and ceiling for each kg of aeroplane; assumed [1/s²]
TOUCH_DAMPING = 60.0  # assumed [1/s]
TOUCH_FRICTION = 0.4  # assumed
KNOT_TURNS = 4.0  # a knot of the wound loop lets go in so many turns; assumed
KNOT_SHARE = 0.1  # torque swings by so much at that rate and at 2, 3 and 4 times it; assumed
HUB_DAMPING = 4e-5  # torque beyond its grip for each rad/s that a hub slips; assumed [N m s]


@compiled
def dot(a: Vector, b: Vector) -> float:
    """Multiply two vectors to a number.

    Parameters
    ----------
    a, b : tuple
        Vectors [-].

    Returns
    -------
    float
        Their dot product [-].
    """
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@compiled
def cross(a: Vector, b: Vector) -> Vector:
    """Multiply two vectors to a vector.

    Parameters
    ----------
    a, b : tuple
        Vectors [-].

    Returns
    -------
    tuple
        Their cross product [-].
    """
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


@compiled
def row(table: Floats, i: int) -> Vector:
    """Read a vector from a table.

    Parameters
    ----------
    table : numpy.ndarray
        Rows of three [-].
    i : int
        Which [-].

    Returns
    -------
    tuple
        That row [-].
    """
    return (table[i, 0], table[i, 1], table[i, 2])


@compiled
def vector(numbers: Floats, start: int) -> Vector:
    """Read a vector from a list of numbers.

    Parameters
    ----------
    numbers : numpy.ndarray
        Such as the state [-].
    start : int
        Where it begins [-].

    Returns
    -------
    tuple
        Three numbers [-].
    """
    return (numbers[start], numbers[start + 1], numbers[start + 2])


@compiled
def to_body(q: tuple[float, float, float, float], v: Vector) -> Vector:
    """Turn an earth vector into body axes.

    Parameters
    ----------
    q : tuple
        Quaternion, body to earth [-].
    v : tuple
        Earth vector [-].

    Returns
    -------
    tuple
        The same in body axes [-].
    """
    w, x, y, z = q
    return (
        (1 - 2 * (y * y + z * z)) * v[0] + 2 * (x * y + w * z) * v[1] + 2 * (x * z - w * y) * v[2],
        2 * (x * y - w * z) * v[0] + (1 - 2 * (x * x + z * z)) * v[1] + 2 * (y * z + w * x) * v[2],
        2 * (x * z + w * y) * v[0] + 2 * (y * z - w * x) * v[1] + (1 - 2 * (x * x + y * y)) * v[2],
    )


@compiled
def to_earth(q: tuple[float, float, float, float], v: Vector) -> Vector:
    """Turn a body vector into earth axes.

    Parameters
    ----------
    q : tuple
        Quaternion, body to earth [-].
    v : tuple
        Body vector [-].

    Returns
    -------
    tuple
        The same in earth axes [-].
    """
    return to_body((q[0], -q[1], -q[2], -q[3]), v)


@compiled
def section_lift_drag_moment(
    s: Floats, angle: float, sine: float, cosine: float, gain: float, friction: float
) -> Vector:
    """Lift, drag and moment coefficient of a thin plate at any angle, as `section` has it.

    Parameters
    ----------
    s : numpy.ndarray
        See `model.section_numbers` [-].
    angle, sine, cosine : float
        Angle of attack [rad], and its sine and cosine [-].
    gain : float
        Attached lift for the Reynolds number, 1 at the reference [-].
    friction : float
        Least drag for the Reynolds number, 1 at the reference [-].

    Returns
    -------
    tuple
        Lift, drag and moment about the quarter chord [-].
    """
    # 1/[(1 + e^((a - upper)/d)) (1 + e^((lower - a)/d))], with one exponential
    e = math.exp((angle - s[3]) * s[5])
    attached = e / ((1.0 + e) * (e + s[4]))
    size = abs(sine)
    plate = (1.0 - attached) * 1.9 * sine / (0.56 + 0.44 * size)
    linear = s[0] * (sine * s[2] - cosine * s[1]) * gain
    lift = s[10] * (attached * linear + plate * cosine)
    drag = s[6] * friction + attached * s[7] * (linear - s[8]) ** 2 + plate * sine + s[11]
    moment = s[10] * (attached * s[9] - plate * (0.075 + 0.1114 * abs(angle)))
    return lift, drag, moment


@compiled
def table_value(table: Floats, share: float) -> float:
    """Read an evenly spaced table smoothly (cubic pieces after Catmull and Rom).

    Parameters
    ----------
    table : numpy.ndarray
        Values [-].
    share : float
        Where, from 0 at the first to 1 at the last [-].

    Returns
    -------
    float
        Value there [-].
    """
    last = TORQUE_POINTS - 1
    place = min(max(share, 0.0), 1.0) * last
    i = min(int(place), last - 1)
    t = place - i
    b, c = table[i], table[i + 1]
    a = table[i - 1] if i > 0 else 2 * b - c
    d = table[i + 2] if i + 2 <= last else 2 * c - b
    bend = 2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)
    return float(b + 0.5 * t * (c - a + t * bend))


@compiled
def motor_torque(m: Model, turns: float) -> float:
    """Torque of the rubber.

    Parameters
    ----------
    m : numpy record
        The model [-].
    turns : float
        Turns left, negative when the air has wound it the other way [turns].

    Returns
    -------
    float
        Torque that drives the propeller [N m].
    """
    if turns >= 0.0:
        return table_value(m.torque, turns / m.turns_on)
    return -table_value(m.torque_back, -turns / 100.0)


@compiled
def knots(turns: float) -> float:
    """Unevenness of the rubber's torque: the wound loop is a row of knots that let go in turn.

    Parameters
    ----------
    turns : float
        Turns left [turns].

    Returns
    -------
    float
        Share of the torque that is added, 0 in the mean [-].
    """
    place = 2.0 * math.pi / KNOT_TURNS * turns
    sine, cosine = math.sin(place), math.cos(place)
    sine_2, cosine_2 = 2.0 * sine * cosine, 1.0 - 2.0 * sine * sine
    sine_3 = sine_2 * cosine + cosine_2 * sine
    return KNOT_SHARE * (sine + sine_2 + sine_3 + 2.0 * sine_2 * cosine_2)


@compiled
def air_of_hall(m: Model, time: float) -> tuple[Vector, Vector]:
    """Speed of the hall's air, and how fast that changes.

    Parameters
    ----------
    m : numpy record
        The model [-].
    time : float
        Since the launch [s].

    Returns
    -------
    (tuple, tuple)
        North, east, down [m/s] and [m/s²].
    """
    n, e, d = m.drift[0], m.drift[1], m.drift[2]
    dn, de, dd = 0.0, 0.0, 0.0
    for k in range(GUSTS):
        rate = m.gust_rate[k]
        if m.gust_speed[k, 0] > 0.0:
            n += m.gust_speed[k, 0] * math.sin(rate * time + m.gust_phase[k, 0])
            e += m.gust_speed[k, 1] * math.sin(rate * time + m.gust_phase[k, 1])
            d += m.gust_speed[k, 2] * math.sin(rate * time + m.gust_phase[k, 2])
            dn += rate * m.gust_speed[k, 0] * math.cos(rate * time + m.gust_phase[k, 0])
            de += rate * m.gust_speed[k, 1] * math.cos(rate * time + m.gust_phase[k, 1])
            dd += rate * m.gust_speed[k, 2] * math.cos(rate * time + m.gust_phase[k, 2])
    return (n, e, d), (dn, de, dd)


@compiled
def kinematics(state: Floats, air: Vector, change: Floats) -> None:
    """Put the rates of position and attitude into `change`.

    Parameters
    ----------
    state, change : numpy.ndarray
        State and its rates; `change` is written [-].
    air : tuple
        Speed of the hall's air, earth axes [m/s].
    """
    q = (state[QUATERNION], state[QUATERNION + 1], state[QUATERNION + 2], state[QUATERNION + 3])
    north, east, down = to_earth(q, vector(state, VELOCITY))
    change[POSITION] = north + air[0]
    change[POSITION + 1] = east + air[1]
    change[POSITION + 2] = down + air[2]
    w, x, y, z = q
    p, r_y, r_z = vector(state, RATES)
    pull = 2.0 * (1.0 - (w * w + x * x + y * y + z * z))
    change[QUATERNION] = 0.5 * (-x * p - y * r_y - z * r_z) + pull * w
    change[QUATERNION + 1] = 0.5 * (w * p + y * r_z - z * r_y) + pull * x
    change[QUATERNION + 2] = 0.5 * (w * r_y + z * p - x * r_z) + pull * y
    change[QUATERNION + 3] = 0.5 * (w * r_z + x * r_y - y * p) + pull * z


@compiled
def rigid_body(
    mass: float,
    inertia: Floats,
    accelerance: Floats,
    state: Floats,
    weight: Vector,
    loads: Six,
    rotor: Vector,
    shaft_torque: Vector,
    change: Floats,
) -> None:
    """Put the accelerations of the rigid body into `change`.

    Parameters
    ----------
    mass : float
        Mass [kg].
    inertia : numpy.ndarray
        Inertia (3, 3) [kg m²].
    accelerance : numpy.ndarray
        Inverse of mass and apparent mass (6, 6) [1/kg, 1/kg m²].
    state, change : numpy.ndarray
        State and its rates; `change` is written [-].
    weight : tuple
        Weight in body axes [N].
    loads : tuple
        Force [N] and moment [N m] of everything else in body axes.
    rotor : tuple
        Angular momentum of the propeller against the body [kg m²/s].
    shaft_torque : tuple
        What the shaft takes from the body [N m].
    """
    v, w = vector(state, VELOCITY), vector(state, RATES)
    turning = cross(w, v)
    spin = (
        inertia[0, 0] * w[0] + inertia[0, 1] * w[1] + inertia[0, 2] * w[2] + rotor[0],
        inertia[1, 0] * w[0] + inertia[1, 1] * w[1] + inertia[1, 2] * w[2] + rotor[1],
        inertia[2, 0] * w[0] + inertia[2, 1] * w[1] + inertia[2, 2] * w[2] + rotor[2],
    )
    gyro = cross(w, spin)
    right = (
        loads[0] + weight[0] - mass * turning[0],
        loads[1] + weight[1] - mass * turning[1],
        loads[2] + weight[2] - mass * turning[2],
        loads[3] - gyro[0] - shaft_torque[0],
        loads[4] - gyro[1] - shaft_torque[1],
        loads[5] - gyro[2] - shaft_torque[2],
    )
    for i in range(6):
        total = 0.0
        for j in range(6):
            total += accelerance[i, j] * right[j]
        change[VELOCITY + i] = total


@compiled
def blade_forces(m: Model, state: Floats, axis: Vector, change: Floats) -> tuple[Six, float, float]:
    """Sum the air forces of both blades as they stand, and move the inflow.

    Parameters
    ----------
    m : numpy record
        The model [-].
    state, change : numpy.ndarray
        State and its rates; inflow, swirl and slant of `change` are written [-].
    axis : tuple
        Thrust line as it is now [-].

    Returns
    -------
    ((float, ...), float, float)
        Force and moment about the balance point without the shaft's own torque, torque that
        the air holds against the shaft, and mean inflow: the first two over the air's density
        [m⁴/s², m⁵/s², m⁵/s², m/s].
    """
    hub, radius, hand = (m.hub[0], m.hub[1], m.hub[2]), m.radius, m.hand
    turning = vector(state, RATES)
    carried = cross(turning, hub)
    v = (
        state[VELOCITY] + carried[0],
        state[VELOCITY + 1] + carried[1],
        state[VELOCITY + 2] + carried[2],
    )
    size = math.sqrt(axis[0] * axis[0] + axis[1] * axis[1])
    right = (-axis[1] / size, axis[0] / size, 0.0)
    below = cross(axis, right)
    ahead, v_right, v_below = dot(v, axis), dot(v, right), dot(v, below)
    w_axis, w_right, w_below = dot(turning, axis), dot(turning, right), dot(turning, below)
    spin = state[SHAFT_SPEED] + hand * w_axis
    slant_right, slant_below = state[SLANT], state[SLANT + 1]
    azimuths = int(m.azimuths)
    weight = 1.0 / azimuths
    side = v_right * v_right + v_below * v_below
    c0, s0 = math.cos(hand * state[SHAFT_ANGLE]), math.sin(hand * state[SHAFT_ANGLE])

    thrust, drag_torque = 0.0, 0.0
    force_right, force_below, lever_right, lever_below = 0.0, 0.0, 0.0, 0.0
    mean_inflow, disc_flux = 0.0, 0.0
    for k in range(RINGS):
        r, chord_width = m.ring_radius[k], m.ring_chord[k] * m.ring_width[k]
        inflow, swirl = state[INFLOW + k], state[SWIRL + k]
        ring_thrust, ring_torque = 0.0, 0.0
        for turn in range(azimuths):
            psi = hand * state[SHAFT_ANGLE] + math.pi * turn * weight
            cosine_1, sine_1 = (c0, s0) if azimuths == 1 else (math.cos(psi), math.sin(psi))
            for blade in range(BLADES):
                side_of = 1.0 - 2.0 * blade
                c, s = side_of * cosine_1, side_of * sine_1
                through = (
                    ahead
                    + inflow
                    + r * (w_right * s - w_below * c)
                    + r / radius * (slant_right * c + slant_below * s)
                )
                around = hand * (c * v_below - s * v_right) + spin * r - swirl
                square = through * through + around * around + 1e-12
                part = 1.0 / math.sqrt(square)
                cosine, sine = around * part, through * part
                set_sine, set_cosine = m.blade_sine[blade, k], m.blade_cosine[blade, k]
                seen_sine = set_sine * cosine - set_cosine * sine
                seen_cosine = set_cosine * cosine + set_sine * sine
                lift, drag, _ = section_lift_drag_moment(
                    m.blade_section,
                    math.atan2(seen_sine, seen_cosine),
                    seen_sine,
                    seen_cosine,
                    1.0,
                    1.0,
                )
                pressure = 0.5 * square * chord_width * weight
                push = pressure * (lift * cosine - drag * sine)
                back = pressure * (lift * sine + drag * cosine)
                ring_thrust += push
                ring_torque += back * r
                force_right += hand * s * back
                force_below -= hand * c * back
                lever_right += c * r * push
                lever_below += s * r * push
        thrust += ring_thrust
        drag_torque += ring_torque

        # momentum of this ring of the disc: what the blades give, the stream carries away
        area = 2.0 * math.pi * r * m.ring_width[k]
        axial, tangent = ahead + inflow, spin * r - swirl
        steep = math.sqrt((axial * axial + 1e-4) / (axial * axial + tangent * tangent + 1e-4))
        out = (1.0 - r / radius) * radius / (r * steep)
        loss = 2.0 / math.pi * math.acos(math.exp(-0.5 * BLADES * out))
        flux = math.sqrt(axial * axial + side + FLUX_FLOOR)
        carried_away = 2.0 * area * loss * flux
        share = 2.0 * r * m.ring_width[k] / (radius * radius)
        virtual = 8.0 / 3.0 * radius**3 * share
        change[INFLOW + k] = (ring_thrust - carried_away * inflow) / virtual
        change[SWIRL + k] = (ring_torque / r - carried_away * swirl) / virtual
        mean_inflow += share * inflow
        disc_flux += share * flux

    disc = math.pi * radius * radius
    slow = 0.5 * disc * radius * disc_flux
    virtual = 16.0 / 45.0 * radius**4
    change[SLANT] = (lever_right - slow * slant_right) / virtual
    change[SLANT + 1] = (lever_below - slow * slant_below) / virtual

    # moment of the thrusts about the hub: r e_r x (push axis)
    m_right, m_below = lever_below, -lever_right
    f = (
        thrust * axis[0] + force_right * right[0] + force_below * below[0],
        thrust * axis[1] + force_right * right[1] + force_below * below[1],
        thrust * axis[2] + force_right * right[2] + force_below * below[2],
    )
    about = cross(hub, f)
    loads = (
        f[0],
        f[1],
        f[2],
        about[0] + m_right * right[0] + m_below * below[0],
        about[1] + m_right * right[1] + m_below * below[1],
        about[2] + m_right * right[2] + m_below * below[2],
    )
    return loads, drag_torque, mean_inflow


@compiled
def joint_rate(joint: Floats, angle: float, speed: float, moment: float) -> float:
    """Acceleration of a joint with play: free inside it, a spring outside.

    Parameters
    ----------
    joint : numpy.ndarray
        Stiffness, damping, inertia, half play, rest angle [N m/rad, N m s/rad, kg m², rad, rad].
    angle, speed : float
        Where it stands and how it moves [rad, rad/s].
    moment : float
        What turns it [N m].

    Returns
    -------
    float
        Angular acceleration [rad/s²].
    """
    at = angle + joint[4]
    beyond = at - min(max(at, -joint[3]), joint[3])
    return float((moment - joint[0] * beyond - joint[1] * speed) / joint[2])


@compiled
def touch_forces(m: Model, state: Floats, q: tuple[float, float, float, float], air: Vector) -> Six:
    """Push of walls and ceiling on the points that touch them.

    Parameters
    ----------
    m : numpy record
        The model [-].
    state : numpy.ndarray
        The state [-].
    q : tuple
        Attitude, body to earth [-].
    air : tuple
        Speed of the hall's air [m/s].

    Returns
    -------
    tuple
        Force [N] and moment [N m] in body axes.
    """
    fx, fy, fz, mx, my, mz = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    turning = vector(state, RATES)
    for i in range(TOUCHES):
        arm = row(m.touch, i)
        place = to_earth(q, arm)
        carried = cross(turning, arm)
        speed = to_earth(
            q,
            (
                state[VELOCITY] + carried[0],
                state[VELOCITY + 1] + carried[1],
                state[VELOCITY + 2] + carried[2],
            ),
        )
        speed = (speed[0] + air[0], speed[1] + air[1], speed[2] + air[2])
        pn = face_force(m.mass, abs(state[0] + place[0]) - m.room[0], state[0] + place[0], speed[0])
        pe = face_force(m.mass, abs(state[1] + place[1]) - m.room[1], state[1] + place[1], speed[1])
        pd = face_force(m.mass, -(state[2] + place[2]) - m.room[2], state[2] + place[2], speed[2])
        press = abs(pn) + abs(pe) + abs(pd)
        if press > 0.0:
            slide = math.sqrt(dot(speed, speed)) + 0.1
            rub = TOUCH_FRICTION * press / slide
            force = to_body(
                q,
                (
                    pn - (0.0 if pn != 0.0 else rub * speed[0]),
                    pe - (0.0 if pe != 0.0 else rub * speed[1]),
                    pd - (0.0 if pd != 0.0 else rub * speed[2]),
                ),
            )
            moment = cross(arm, force)
            fx, fy, fz = fx + force[0], fy + force[1], fz + force[2]
            mx, my, mz = mx + moment[0], my + moment[1], mz + moment[2]
    return fx, fy, fz, mx, my, mz


@compiled
def face_force(mass: float, depth: float, side: float, speed: float) -> float:
    """Push of one flat face along one axis.

    Parameters
    ----------
    mass : float
        Mass of the aeroplane [kg].
    depth : float
        How deep the point is in the face, negative outside [m].
    side : float
        Its sign says which of two opposite faces it is [-].
    speed : float
        Speed of the point along the axis [m/s].

    Returns
    -------
    float
        Force along the axis, away from the face [N].
    """
    if depth <= 0.0:
        return 0.0
    inward = -1.0 if side > 0.0 else 1.0
    push = mass * (TOUCH_STIFFNESS * depth - TOUCH_DAMPING * inward * speed)
    return inward * max(push, 1e-9)


@compiled
def rates(time: float, state: Floats, m: Model, change: Floats) -> None:
    """Work out how fast each part of the state changes.

    Parameters
    ----------
    time : float
        Since the launch [s].
    state : numpy.ndarray
        The state, `model.STATES` numbers [SI].
    m : numpy record
        The model [SI].
    change : numpy.ndarray
        Its rates, written [SI/s].
    """
    q = (state[QUATERNION], state[QUATERNION + 1], state[QUATERNION + 2], state[QUATERNION + 3])
    v, turning = vector(state, VELOCITY), vector(state, RATES)
    spin, rho, hand = state[SHAFT_SPEED], m.density, m.hand
    air, air_change = air_of_hall(m, time)
    kinematics(state, air, change)

    # rubber: its torque, and what that does to the stick
    torque = motor_torque(m, state[TURNS])
    if m.azimuths == 1.0:  # over a row of knots they are nothing
        torque *= 1.0 + knots(state[TURNS])
    friction = (m.friction[0] + m.friction[1] * abs(torque)) * math.tanh(spin)
    bow = m.bow * torque
    axis = (1.0, -math.tan(m.thrust_left), math.tan(m.thrust_down + bow))
    length = math.sqrt(dot(axis, axis))
    axis = (axis[0] / length, axis[1] / length, axis[2] / length)

    # propeller
    loads, held, inflow = blade_forces(m, state, axis, change)
    fx, fy, fz = rho * loads[0], rho * loads[1], rho * loads[2]
    mx, my, mz = rho * loads[3], rho * loads[4], rho * loads[5]
    holding = rho * held
    if m.imbalance + m.wobble > 0.0 and m.azimuths == 1.0:  # over a whole turn it is nothing
        angle, square = hand * state[SHAFT_ANGLE], spin * spin
        across, below = math.cos(angle) * square, math.sin(angle) * square
        whirl = (0.0, m.imbalance * across, m.imbalance * below)
        moment = cross((m.hub[0], m.hub[1], m.hub[2]), whirl)
        fy, fz = fy + whirl[1], fz + whirl[2]
        mx += moment[0]
        my, mz = my + moment[1] - m.wobble * below, mz + moment[2] + m.wobble * across
    body_roll = mx - hand * (torque - friction)  # roll that reaches the stick, for the saddle

    # stream behind the propeller
    flow = max(dot(v, axis) + inflow, 0.0) + STREAM_FLOOR
    disc = math.pi * m.radius * m.radius
    swirl = hand * SWIRL_KEPT * 2.0 * held / (flow * disc * m.radius * m.radius)
    stream = STREAM_AT_WING * inflow

    # wing and tail as the joints let them stand
    rock, rock_speed = state[ROCK], state[ROCK + 1]
    wing_turn, stick_turn = (1.0 - m.wing_share) * rock, -m.wing_share * rock
    wing_spin, stick_spin = (1.0 - m.wing_share) * rock_speed, -m.wing_share * rock_speed
    tail_pitch = state[TAIL_PITCH] + bow
    tail_roll = state[TAIL_TWIST] - hand * m.twist * torque + stick_turn
    wing_cos, wing_sin = math.cos(wing_turn), math.sin(wing_turn)
    roll_cos, roll_sin = math.cos(tail_roll), math.sin(tail_roll)
    pitch_cos, pitch_sin = math.cos(tail_pitch), math.sin(tail_pitch)
    joint = (m.joint_point[0], m.joint_point[1], m.joint_point[2])
    saddle = (m.saddle_point[0], m.saddle_point[1], m.saddle_point[2])
    speed_ratio = (dot(v, v) + REYNOLDS_SPEED_FLOOR_M_S**2) / m.reynolds_speed[STRIPS // 2] ** 2
    wing_gain = speed_ratio ** (0.5 * m.lift_power)

    # panels: wing strips, tail halves, fin
    ax, ay, az, bx, by, bz = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0  # force and moment over density
    wing_roll, tail_roll_moment, tail_pitch_moment = 0.0, 0.0, 0.0
    for i in range(PANELS):
        c, n = row(m.along, i), row(m.normal, i)
        rear, quarter = row(m.rear, i), row(m.quarter, i)
        carried = cross(turning, rear)
        at = (v[0] + carried[0], v[1] + carried[1], v[2] + carried[2])
        if i < STRIPS:
            c = (c[0], c[1] * wing_cos - c[2] * wing_sin, c[1] * wing_sin + c[2] * wing_cos)
            n = (n[0], n[1] * wing_cos - n[2] * wing_sin, n[1] * wing_sin + n[2] * wing_cos)
            arm_y, arm_z = rear[1] - saddle[1], rear[2] - saddle[2]
            at = (at[0], at[1] - wing_spin * arm_z, at[2] + wing_spin * arm_y)
        else:
            c = (c[0] * pitch_cos + c[2] * pitch_sin, c[1], c[2] * pitch_cos - c[0] * pitch_sin)
            n = (n[0] * pitch_cos + n[2] * pitch_sin, n[1], n[2] * pitch_cos - n[0] * pitch_sin)
            c = (c[0], c[1] * roll_cos - c[2] * roll_sin, c[1] * roll_sin + c[2] * roll_cos)
            n = (n[0], n[1] * roll_cos - n[2] * roll_sin, n[1] * roll_sin + n[2] * roll_cos)
            arm_x, arm_y, arm_z = rear[0] - joint[0], rear[1] - joint[1], rear[2] - joint[2]
            nod, roll = state[TAIL_PITCH + 1], state[TAIL_TWIST + 1] + stick_spin
            at = (
                at[0] + nod * arm_z,
                at[1] - roll * arm_z,
                at[2] + roll * arm_y - nod * arm_x,
            )
        share = m.stream[i]
        at = (
            at[0] + share * stream * axis[0],
            at[1] + share * (stream * axis[1] + swirl * m.stream_place[i, 1]),
            at[2] + share * (stream * axis[2] - swirl * m.stream_place[i, 0]),
        )
        ahead, rising = dot(at, c), -dot(at, n)
        wake, gain, number = m.influence[i, i] * state[CIRCULATION + i], 1.0, 0
        if i < STRIPS:
            gain, wake, number = wing_gain, 0.0, (3 if i < STRIPS // 2 else 0)
            for j in range(STRIPS):
                wake += m.influence[i, j] * state[CIRCULATION + j]
        elif i < FIN:
            number = 1
            rising += state[DOWNWASH + i - TAIL_LEFT]
        else:
            number = 2
        tilted = rising + m.tilt[i] * wake
        rising += wake
        speed = math.sqrt(ahead * ahead + rising * rising + 1e-12)
        part = 1.0 / speed
        cosine, sine = ahead * part, rising * part
        slow = m.reynolds_speed[i] ** 2 / (speed * speed + REYNOLDS_SPEED_FLOOR_M_S**2)
        friction_gain = math.sqrt(math.sqrt(slow))
        lift, drag, pitch = section_lift_drag_moment(
            m.sections[number], math.atan2(rising, ahead), sine, cosine, gain, friction_gain
        )
        chord, width = m.chord[i], m.width[i]
        steady = 0.5 * speed * chord * lift
        circulation = state[CIRCULATION + i]
        lag = (speed + LAG_SPEED) / (LAG_CHORDS * chord)
        change[CIRCULATION + i] = (steady - circulation) * lag
        up = speed * width * 0.5 * (steady + circulation)
        back = 0.5 * speed * speed * chord * width * drag
        tilted *= part
        along, across = up * tilted - back * cosine, up * cosine + back * tilted
        f = (
            along * c[0] + across * n[0],
            along * c[1] + across * n[1],
            along * c[2] + across * n[2],
        )
        nose_up = cross(c, n)
        damping = math.pi / 16.0 * chord**3 * ahead * dot(turning, nose_up) * width
        twist = 0.5 * speed * speed * chord * chord * width * pitch - damping
        about = cross(quarter, f)
        t = (
            about[0] + twist * nose_up[0],
            about[1] + twist * nose_up[1],
            about[2] + twist * nose_up[2],
        )
        ax, ay, az = ax + f[0], ay + f[1], az + f[2]
        bx, by, bz = bx + t[0], by + t[1], bz + t[2]
        if i < STRIPS:
            wing_roll += t[0] - (saddle[1] * f[2] - saddle[2] * f[1])
        else:
            tail_roll_moment += t[0] - (joint[1] * f[2] - joint[2] * f[1])
            tail_pitch_moment += t[1] - (joint[2] * f[0] - joint[0] * f[2])

    # lag of the downwash
    lag = (math.sqrt(dot(v, v)) + LAG_SPEED) / m.tail_lag
    for half in range(2):
        steady = 0.0
        for j in range(STRIPS):
            steady += m.tail_influence[half, j] * state[CIRCULATION + j]
        change[DOWNWASH + half] = (steady - state[DOWNWASH + half]) * lag

    # drag of sticks and posts
    spot = (m.drag_point[0], m.drag_point[1], m.drag_point[2])
    carried = cross(turning, spot)
    at = (v[0] + carried[0], v[1] + carried[1], v[2] + carried[2])
    pull = -0.5 * m.drag_area * math.sqrt(dot(at, at) + 1e-12)
    f = (pull * at[0], pull * at[1], pull * at[2])
    t = cross(spot, f)
    fx, fy, fz = fx + rho * (ax + f[0]), fy + rho * (ay + f[1]), fz + rho * (az + f[2])
    mx, my, mz = mx + rho * (bx + t[0]), my + rho * (by + t[1]), mz + rho * (bz + t[2])

    # walls and ceiling, when they are in reach
    if (
        abs(state[0]) + m.reach > m.room[0]
        or abs(state[1]) + m.reach > m.room[1]
        or m.reach - state[2] > m.room[2]
    ):
        push = touch_forces(m, state, q, air)
        fx, fy, fz = fx + push[0], fy + push[1], fz + push[2]
        mx, my, mz = mx + push[3], my + push[4], mz + push[5]

    # rigid body
    weight = to_body(q, (-air_change[0], -air_change[1], GRAVITY - air_change[2]))
    weight = (m.mass * weight[0], m.mass * weight[1], m.mass * weight[2])
    shaft = (m.shaft[0], m.shaft[1], m.shaft[2])
    driving = torque - friction
    turn = hand * m.shaft_inertia * spin
    given = hand * driving
    rigid_body(
        m.mass,
        m.inertia,
        m.accelerance,
        state,
        weight,
        (fx, fy, fz, mx, my, mz),
        (turn * shaft[0], turn * shaft[1], turn * shaft[2]),
        (given * shaft[0], given * shaft[1], given * shaft[2]),
        change,
    )

    # propeller's shaft and the rubber
    change[SHAFT_SPEED] = (driving - holding) / m.shaft_inertia - hand * dot(
        shaft, vector(change, RATES)
    )
    change[SHAFT_ANGLE] = spin
    slip = max(driving - m.hub_grip, 0.0) / HUB_DAMPING  # the hook runs ahead of the propeller
    change[TURNS] = -m.unwinds * (spin + slip) / (2.0 * math.pi)
    change[ENERGY] = torque * (spin + slip)

    # joints
    felt = fz / m.mass  # what a plumb line on board feels
    hanging = tail_pitch_moment * rho - m.joint_weight * felt
    change[TAIL_PITCH] = state[TAIL_PITCH + 1]
    change[TAIL_PITCH + 1] = joint_rate(
        m.joint_pitch, state[TAIL_PITCH], state[TAIL_PITCH + 1], hanging
    )
    change[TAIL_TWIST] = state[TAIL_TWIST + 1]
    change[TAIL_TWIST + 1] = joint_rate(
        m.joint_twist, state[TAIL_TWIST], state[TAIL_TWIST + 1], tail_roll_moment * rho
    )
    between = rho * wing_roll * (1.0 - m.wing_share) - m.wing_share * (
        body_roll + rho * tail_roll_moment
    )
    change[ROCK] = rock_speed
    change[ROCK + 1] = joint_rate(m.saddle, rock, rock_speed, between)


@compiled
def lowest_point(m: Model, state: Floats) -> tuple[float, int]:
    """Find the point of the aeroplane that is nearest to the floor.

    Parameters
    ----------
    m : numpy record
        The model [-].
    state : numpy.ndarray
        The state [-].

    Returns
    -------
    (float, int)
        Its height above the floor [m], and which it is in `model.TOUCH_NAMES` [-].
    """
    q = (state[QUATERNION], state[QUATERNION + 1], state[QUATERNION + 2], state[QUATERNION + 3])
    least, which = 1e9, 0
    for i in range(TOUCHES):
        height = -(state[2] + to_earth(q, row(m.touch, i))[2])
        if height < least:
            least, which = height, i
    return least, which


@compiled
def face_in_touch(m: Model, state: Floats) -> int:
    """Say which face a point of the aeroplane is pressed against.

    Parameters
    ----------
    m : numpy record
        The model [-].
    state : numpy.ndarray
        The state [-].

    Returns
    -------
    int
        0 none, else 1 + point + `TOUCHES` x (0 a wall, 1 the ceiling) [-].
    """
    q = (state[QUATERNION], state[QUATERNION + 1], state[QUATERNION + 2], state[QUATERNION + 3])
    for i in range(TOUCHES):
        place = to_earth(q, row(m.touch, i))
        if -(state[2] + place[2]) > m.room[2]:
            return 1 + i + TOUCHES
        if abs(state[0] + place[0]) > m.room[0] or abs(state[1] + place[1]) > m.room[1]:
            return 1 + i
    return 0
