/* The right-hand side of trimkit/flight/equations.py and the march of trimkit/flight/march.py
 * once more, in C, to time the compiled Python against. `model.h` is made from MODEL_TYPE and
 * from the constants of those modules, so a number is written in one place only. */

#include <math.h>
#include <string.h>

#include "model.h"

#define PI 3.141592653589793

typedef struct { double x, y, z; } Vector;
typedef struct { double w, x, y, z; } Quaternion;
typedef struct { Vector force, moment; } Loads;

static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }

static inline Vector at3(const double *p) { return (Vector){p[0], p[1], p[2]}; }

static inline Vector plus(Vector a, Vector b) {
    return (Vector){a.x + b.x, a.y + b.y, a.z + b.z};
}

static inline Vector times(double s, Vector a) { return (Vector){s * a.x, s * a.y, s * a.z}; }

static inline double dot(Vector a, Vector b) { return a.x * b.x + a.y * b.y + a.z * b.z; }

static inline Vector cross(Vector a, Vector b) {
    return (Vector){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static inline Vector turned_x(Vector a, double c, double s) {
    return (Vector){a.x, a.y * c - a.z * s, a.y * s + a.z * c};
}

static inline Vector turned_y(Vector a, double c, double s) {
    return (Vector){a.x * c + a.z * s, a.y, a.z * c - a.x * s};
}

static inline Quaternion attitude(const double *state) {
    const double *q = state + QUATERNION;
    return (Quaternion){q[0], q[1], q[2], q[3]};
}

static inline Vector to_body(Quaternion q, Vector v) {
    const double w = q.w, x = q.x, y = q.y, z = q.z;
    return (Vector){
        (1 - 2 * (y * y + z * z)) * v.x + 2 * (x * y + w * z) * v.y + 2 * (x * z - w * y) * v.z,
        2 * (x * y - w * z) * v.x + (1 - 2 * (x * x + z * z)) * v.y + 2 * (y * z + w * x) * v.z,
        2 * (x * z + w * y) * v.x + 2 * (y * z - w * x) * v.y + (1 - 2 * (x * x + y * y)) * v.z,
    };
}

static inline Vector to_earth(Quaternion q, Vector v) {
    return to_body((Quaternion){q.w, -q.x, -q.y, -q.z}, v);
}

static inline void section(const double *s, double angle, double sine, double cosine, double gain,
                           double friction, double *lift, double *drag, double *moment) {
    const double e = exp((angle - s[3]) * s[5]);
    const double attached = e / ((1.0 + e) * (e + s[4]));
    const double plate = (1.0 - attached) * 1.9 * sine / (0.56 + 0.44 * fabs(sine));
    const double linear = s[0] * (sine * s[2] - cosine * s[1]) * gain;
    const double off = linear - s[8];
    *lift = s[10] * (attached * linear + plate * cosine);
    *drag = s[6] * friction + attached * s[7] * off * off + plate * sine + s[11];
    *moment = s[10] * (attached * s[9] - plate * (0.075 + 0.1114 * fabs(angle)));
}

static double table_value(const double *table, double share) {
    const int last = TORQUE_POINTS - 1;
    const double place = least(most(share, 0.0), 1.0) * last;
    const int i = (int)place < last - 1 ? (int)place : last - 1;
    const double t = place - i, b = table[i], c = table[i + 1];
    const double a = i > 0 ? table[i - 1] : 2 * b - c;
    const double d = i + 2 <= last ? table[i + 2] : 2 * c - b;
    return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
}

static double motor_torque(const Model *m, double turns) {
    if (turns >= 0.0) return table_value(m->torque, turns / m->turns_on);
    return -table_value(m->torque_back, -turns / 100.0);
}

static double knots(double turns) {
    const double place = 2.0 * PI / KNOT_TURNS * turns, sine = sin(place), cosine = cos(place);
    const double sine_2 = 2.0 * sine * cosine, cosine_2 = 1.0 - 2.0 * sine * sine;
    const double sine_3 = sine_2 * cosine + cosine_2 * sine;
    return KNOT_SHARE * (sine + sine_2 + sine_3 + 2.0 * sine_2 * cosine_2);
}

static void air_of_hall(const Model *m, double time, Vector *air, Vector *air_change) {
    double speed[3] = {m->drift[0], m->drift[1], m->drift[2]}, change[3] = {0.0, 0.0, 0.0};
    for (int k = 0; k < GUSTS; k++) {
        if (!(m->gust_speed[k][0] > 0.0)) continue;
        for (int i = 0; i < 3; i++) {
            const double phase = m->gust_rate[k] * time + m->gust_phase[k][i];
            speed[i] += m->gust_speed[k][i] * sin(phase);
            change[i] += m->gust_rate[k] * m->gust_speed[k][i] * cos(phase);
        }
    }
    *air = at3(speed);
    *air_change = at3(change);
}

static void kinematics(const double *state, Vector air, double *change) {
    const Quaternion q = attitude(state);
    const Vector going = plus(to_earth(q, at3(state + VELOCITY)), air);
    const double w = q.w, x = q.x, y = q.y, z = q.z;
    const double p = state[RATES], r_y = state[RATES + 1], r_z = state[RATES + 2];
    const double pull = 2.0 * (1.0 - (w * w + x * x + y * y + z * z));
    change[POSITION] = going.x;
    change[POSITION + 1] = going.y;
    change[POSITION + 2] = going.z;
    change[QUATERNION] = 0.5 * (-x * p - y * r_y - z * r_z) + pull * w;
    change[QUATERNION + 1] = 0.5 * (w * p + y * r_z - z * r_y) + pull * x;
    change[QUATERNION + 2] = 0.5 * (w * r_y + z * p - x * r_z) + pull * y;
    change[QUATERNION + 3] = 0.5 * (w * r_z + x * r_y - y * p) + pull * z;
}

static void rigid_body(const Model *m, const double *state, Vector weight, Loads loads,
                       Vector rotor, Vector shaft_torque, double *change) {
    const Vector v = at3(state + VELOCITY), w = at3(state + RATES), turning = cross(w, v);
    const Vector spin = {dot(at3(m->inertia[0]), w) + rotor.x, dot(at3(m->inertia[1]), w) + rotor.y,
                         dot(at3(m->inertia[2]), w) + rotor.z};
    const Vector gyro = cross(w, spin);
    const double right[6] = {
        loads.force.x + weight.x - m->mass * turning.x,
        loads.force.y + weight.y - m->mass * turning.y,
        loads.force.z + weight.z - m->mass * turning.z,
        loads.moment.x - gyro.x - shaft_torque.x,
        loads.moment.y - gyro.y - shaft_torque.y,
        loads.moment.z - gyro.z - shaft_torque.z,
    };
    for (int i = 0; i < 6; i++) {
        double total = 0.0;
        for (int j = 0; j < 6; j++) total += m->accelerance[i][j] * right[j];
        change[VELOCITY + i] = total;
    }
}

static Loads blade_forces(const Model *m, const double *state, Vector axis, double *change,
                          double *held, double *mean) {
    const Vector hub = at3(m->hub), turning = at3(state + RATES);
    const double radius = m->radius, hand = m->hand;
    const Vector v = plus(at3(state + VELOCITY), cross(turning, hub));
    const double size = sqrt(axis.x * axis.x + axis.y * axis.y);
    const Vector right = {-axis.y / size, axis.x / size, 0.0}, below = cross(axis, right);
    const double ahead = dot(v, axis), v_right = dot(v, right), v_below = dot(v, below);
    const double w_right = dot(turning, right), w_below = dot(turning, below);
    const double spin = state[SHAFT_SPEED] + hand * dot(turning, axis);
    const double slant_right = state[SLANT], slant_below = state[SLANT + 1];
    const int azimuths = (int)m->azimuths;
    const double weight = 1.0 / azimuths, side = v_right * v_right + v_below * v_below;
    const double c0 = cos(hand * state[SHAFT_ANGLE]), s0 = sin(hand * state[SHAFT_ANGLE]);
    double thrust = 0.0, drag_torque = 0.0, force_right = 0.0, force_below = 0.0;
    double lever_right = 0.0, lever_below = 0.0, mean_inflow = 0.0, disc_flux = 0.0;

    for (int k = 0; k < RINGS; k++) {
        const double r = m->ring_radius[k], chord_width = m->ring_chord[k] * m->ring_width[k];
        const double inflow = state[INFLOW + k], swirl = state[SWIRL + k];
        double ring_thrust = 0.0, ring_torque = 0.0;
        for (int turn = 0; turn < azimuths; turn++) {
            const double psi = hand * state[SHAFT_ANGLE] + PI * turn * weight;
            const double cosine_1 = azimuths == 1 ? c0 : cos(psi);
            const double sine_1 = azimuths == 1 ? s0 : sin(psi);
            for (int blade = 0; blade < BLADES; blade++) {
                const double side_of = 1.0 - 2.0 * blade;
                const double c = side_of * cosine_1, s = side_of * sine_1;
                const double through = ahead + inflow + r * (w_right * s - w_below * c) +
                                       r / radius * (slant_right * c + slant_below * s);
                const double around = hand * (c * v_below - s * v_right) + spin * r - swirl;
                const double square = through * through + around * around + 1e-12;
                const double part = 1.0 / sqrt(square);
                const double cosine = around * part, sine = through * part;
                const double set_sine = m->blade_sine[blade][k];
                const double set_cosine = m->blade_cosine[blade][k];
                const double seen_sine = set_sine * cosine - set_cosine * sine;
                const double seen_cosine = set_cosine * cosine + set_sine * sine;
                double lift, drag, moment;
                section(m->blade_section, atan2(seen_sine, seen_cosine), seen_sine, seen_cosine,
                        1.0, 1.0, &lift, &drag, &moment);
                const double pressure = 0.5 * square * chord_width * weight;
                const double push = pressure * (lift * cosine - drag * sine);
                const double back = pressure * (lift * sine + drag * cosine);
                ring_thrust += push;
                ring_torque += back * r;
                force_right += hand * s * back;
                force_below -= hand * c * back;
                lever_right += c * r * push;
                lever_below += s * r * push;
            }
        }
        thrust += ring_thrust;
        drag_torque += ring_torque;

        const double area = 2.0 * PI * r * m->ring_width[k];
        const double axial = ahead + inflow, tangent = spin * r - swirl;
        const double steep =
            sqrt((axial * axial + 1e-4) / (axial * axial + tangent * tangent + 1e-4));
        const double out = (1.0 - r / radius) * radius / (r * steep);
        const double loss = 2.0 / PI * acos(exp(-0.5 * BLADES * out));
        const double flux = sqrt(axial * axial + side + FLUX_FLOOR);
        const double carried_away = 2.0 * area * loss * flux;
        const double share = 2.0 * r * m->ring_width[k] / (radius * radius);
        const double virtual = 8.0 / 3.0 * radius * radius * radius * share;
        change[INFLOW + k] = (ring_thrust - carried_away * inflow) / virtual;
        change[SWIRL + k] = (ring_torque / r - carried_away * swirl) / virtual;
        mean_inflow += share * inflow;
        disc_flux += share * flux;
    }
    const double slow = 0.5 * PI * radius * radius * radius * disc_flux;
    const double virtual = 16.0 / 45.0 * radius * radius * radius * radius;
    change[SLANT] = (lever_right - slow * slant_right) / virtual;
    change[SLANT + 1] = (lever_below - slow * slant_below) / virtual;

    const Vector f =
        plus(plus(times(thrust, axis), times(force_right, right)), times(force_below, below));
    const Vector bending = plus(times(lever_below, right), times(-lever_right, below));
    *held = drag_torque;
    *mean = mean_inflow;
    return (Loads){f, plus(cross(hub, f), bending)};
}

static double joint_rate(const double *joint, double angle, double speed, double moment) {
    const double at = angle + joint[4];
    const double beyond = at - least(most(at, -joint[3]), joint[3]);
    return (moment - joint[0] * beyond - joint[1] * speed) / joint[2];
}

static double face_force(double mass, double depth, double side, double speed) {
    if (depth <= 0.0) return 0.0;
    const double inward = side > 0.0 ? -1.0 : 1.0;
    return inward * most(mass * (TOUCH_STIFFNESS * depth - TOUCH_DAMPING * inward * speed), 1e-9);
}

static Loads touch_forces(const Model *m, const double *state, Quaternion q, Vector air) {
    Loads sum = {{0.0, 0.0, 0.0}, {0.0, 0.0, 0.0}};
    const Vector turning = at3(state + RATES), v = at3(state + VELOCITY);
    for (int i = 0; i < TOUCHES; i++) {
        const Vector arm = at3(m->touch[i]);
        const Vector place = plus(at3(state + POSITION), to_earth(q, arm));
        const Vector speed = plus(to_earth(q, plus(v, cross(turning, arm))), air);
        const double pn = face_force(m->mass, fabs(place.x) - m->room[0], place.x, speed.x);
        const double pe = face_force(m->mass, fabs(place.y) - m->room[1], place.y, speed.y);
        const double pd = face_force(m->mass, -place.z - m->room[2], place.z, speed.z);
        const double press = fabs(pn) + fabs(pe) + fabs(pd);
        if (!(press > 0.0)) continue;
        const double rub = TOUCH_FRICTION * press / (sqrt(dot(speed, speed)) + 0.1);
        const Vector earth = {pn - (pn != 0.0 ? 0.0 : rub * speed.x),
                              pe - (pe != 0.0 ? 0.0 : rub * speed.y),
                              pd - (pd != 0.0 ? 0.0 : rub * speed.z)};
        const Vector force = to_body(q, earth);
        sum.force = plus(sum.force, force);
        sum.moment = plus(sum.moment, cross(arm, force));
    }
    return sum;
}

static int near_a_face(const Model *m, const double *state) {
    return fabs(state[0]) + m->reach > m->room[0] || fabs(state[1]) + m->reach > m->room[1] ||
           m->reach - state[2] > m->room[2];
}

void rates(double time, const double *restrict state, const Model *restrict m,
           double *restrict change) {
    const Quaternion q = attitude(state);
    const Vector v = at3(state + VELOCITY), turning = at3(state + RATES);
    const double spin = state[SHAFT_SPEED], rho = m->density, hand = m->hand;
    Vector air, air_change;
    air_of_hall(m, time, &air, &air_change);
    kinematics(state, air, change);

    double torque = motor_torque(m, state[TURNS]);
    if (m->azimuths == 1.0) torque *= 1.0 + knots(state[TURNS]);
    const double friction = (m->friction[0] + m->friction[1] * fabs(torque)) * tanh(spin);
    const double bow = m->bow * torque;
    Vector axis = {1.0, -tan(m->thrust_left), tan(m->thrust_down + bow)};
    axis = times(1.0 / sqrt(dot(axis, axis)), axis);

    double held, inflow;
    Loads loads = blade_forces(m, state, axis, change, &held, &inflow);
    Vector f = times(rho, loads.force), t = times(rho, loads.moment);
    const double holding = rho * held;
    if (m->imbalance + m->wobble > 0.0 && m->azimuths == 1.0) {
        const double angle = hand * state[SHAFT_ANGLE], square = spin * spin;
        const double across = cos(angle) * square, below = sin(angle) * square;
        const Vector whirl = {0.0, m->imbalance * across, m->imbalance * below};
        const Vector wobble = {0.0, -m->wobble * below, m->wobble * across};
        f = plus(f, whirl);
        t = plus(plus(t, cross(at3(m->hub), whirl)), wobble);
    }
    const double body_roll = t.x - hand * (torque - friction);

    const double flow = most(dot(v, axis) + inflow, 0.0) + STREAM_FLOOR;
    const double disc = PI * m->radius * m->radius;
    const double swirl = hand * SWIRL_KEPT * 2.0 * held / (flow * disc * m->radius * m->radius);
    const double stream = STREAM_AT_WING * inflow;

    const double rock = state[ROCK], rock_speed = state[ROCK + 1];
    const double wing_turn = (1.0 - m->wing_share) * rock, stick_turn = -m->wing_share * rock;
    const double wing_spin = (1.0 - m->wing_share) * rock_speed;
    const double nod = state[TAIL_PITCH + 1];
    const double roll = state[TAIL_TWIST + 1] - m->wing_share * rock_speed;
    const double tail_pitch = state[TAIL_PITCH] + bow;
    const double tail_roll = state[TAIL_TWIST] - hand * m->twist * torque + stick_turn;
    const double wing_cos = cos(wing_turn), wing_sin = sin(wing_turn);
    const double roll_cos = cos(tail_roll), roll_sin = sin(tail_roll);
    const double pitch_cos = cos(tail_pitch), pitch_sin = sin(tail_pitch);
    const Vector joint = at3(m->joint_point), saddle = at3(m->saddle_point);
    const double reference = m->reynolds_speed[STRIPS / 2];
    const double floor_square = REYNOLDS_SPEED_FLOOR_M_S * REYNOLDS_SPEED_FLOOR_M_S;
    const double speed_ratio = (dot(v, v) + floor_square) / (reference * reference);
    const double wing_gain = pow(speed_ratio, 0.5 * m->lift_power);

    Vector a = {0.0, 0.0, 0.0}, b = {0.0, 0.0, 0.0};
    double wing_roll = 0.0, tail_roll_moment = 0.0, tail_pitch_moment = 0.0;
    for (int i = 0; i < PANELS; i++) {
        Vector c = at3(m->along[i]), n = at3(m->normal[i]);
        const Vector rear = at3(m->rear[i]), quarter = at3(m->quarter[i]);
        Vector at = plus(v, cross(turning, rear));
        if (i < STRIPS) {
            c = turned_x(c, wing_cos, wing_sin);
            n = turned_x(n, wing_cos, wing_sin);
            at.y -= wing_spin * (rear.z - saddle.z);
            at.z += wing_spin * (rear.y - saddle.y);
        } else {
            c = turned_x(turned_y(c, pitch_cos, pitch_sin), roll_cos, roll_sin);
            n = turned_x(turned_y(n, pitch_cos, pitch_sin), roll_cos, roll_sin);
            at.x += nod * (rear.z - joint.z);
            at.y -= roll * (rear.z - joint.z);
            at.z += roll * (rear.y - joint.y) - nod * (rear.x - joint.x);
        }
        const double share = m->stream[i];
        at.x += share * stream * axis.x;
        at.y += share * (stream * axis.y + swirl * m->stream_place[i][1]);
        at.z += share * (stream * axis.z - swirl * m->stream_place[i][0]);
        const double ahead = dot(at, c);
        double rising = -dot(at, n), gain = 1.0;
        double wake = m->influence[i][i] * state[CIRCULATION + i];
        int number = 2;
        if (i < STRIPS) {
            gain = wing_gain;
            number = i < STRIPS / 2 ? 3 : 0;
            wake = 0.0;
            for (int j = 0; j < STRIPS; j++) wake += m->influence[i][j] * state[CIRCULATION + j];
        } else if (i < FIN) {
            number = 1;
            rising += state[DOWNWASH + i - TAIL_LEFT];
        }
        double tilted = rising + m->tilt[i] * wake;
        rising += wake;
        const double speed = sqrt(ahead * ahead + rising * rising + 1e-12), part = 1.0 / speed;
        const double cosine = ahead * part, sine = rising * part;
        const double own = m->reynolds_speed[i];
        const double slow = own * own / (speed * speed + floor_square);
        double lift, drag, pitch;
        section(m->sections[number], atan2(rising, ahead), sine, cosine, gain, sqrt(sqrt(slow)),
                &lift, &drag, &pitch);
        const double chord = m->chord[i], width = m->width[i];
        const double steady = 0.5 * speed * chord * lift, circulation = state[CIRCULATION + i];
        change[CIRCULATION + i] =
            (steady - circulation) * ((speed + LAG_SPEED) / (LAG_CHORDS * chord));
        const double up = speed * width * 0.5 * (steady + circulation);
        const double back = 0.5 * speed * speed * chord * width * drag;
        tilted *= part;
        const Vector push = plus(times(up * tilted - back * cosine, c),
                                 times(up * cosine + back * tilted, n));
        const Vector nose_up = cross(c, n);
        const double damping =
            PI / 16.0 * chord * chord * chord * ahead * dot(turning, nose_up) * width;
        const double twist = 0.5 * speed * speed * chord * chord * width * pitch - damping;
        const Vector moment = plus(cross(quarter, push), times(twist, nose_up));
        a = plus(a, push);
        b = plus(b, moment);
        if (i < STRIPS) {
            wing_roll += moment.x - (saddle.y * push.z - saddle.z * push.y);
        } else {
            tail_roll_moment += moment.x - (joint.y * push.z - joint.z * push.y);
            tail_pitch_moment += moment.y - (joint.z * push.x - joint.x * push.z);
        }
    }

    const double lag = (sqrt(dot(v, v)) + LAG_SPEED) / m->tail_lag;
    for (int half = 0; half < 2; half++) {
        double steady = 0.0;
        for (int j = 0; j < STRIPS; j++)
            steady += m->tail_influence[half][j] * state[CIRCULATION + j];
        change[DOWNWASH + half] = (steady - state[DOWNWASH + half]) * lag;
    }

    const Vector spot = at3(m->drag_point), at = plus(v, cross(turning, spot));
    const Vector drag = times(-0.5 * m->drag_area * sqrt(dot(at, at) + 1e-12), at);
    f = plus(f, times(rho, plus(a, drag)));
    t = plus(t, times(rho, plus(b, cross(spot, drag))));
    if (near_a_face(m, state)) {
        const Loads push = touch_forces(m, state, q, air);
        f = plus(f, push.force);
        t = plus(t, push.moment);
    }

    const Vector fall = {-air_change.x, -air_change.y, GRAVITY - air_change.z};
    const Vector weight = times(m->mass, to_body(q, fall)), shaft = at3(m->shaft);
    const double driving = torque - friction;
    rigid_body(m, state, weight, (Loads){f, t}, times(hand * m->shaft_inertia * spin, shaft),
               times(hand * driving, shaft), change);

    change[SHAFT_SPEED] =
        (driving - holding) / m->shaft_inertia - hand * dot(shaft, at3(change + RATES));
    change[SHAFT_ANGLE] = spin;
    const double slip = most(driving - m->hub_grip, 0.0) / HUB_DAMPING;
    change[TURNS] = -m->unwinds * (spin + slip) / (2.0 * PI);
    change[ENERGY] = torque * (spin + slip);

    const double hanging = tail_pitch_moment * rho - m->joint_weight * (f.z / m->mass);
    const double between = rho * wing_roll * (1.0 - m->wing_share) -
                           m->wing_share * (body_roll + rho * tail_roll_moment);
    change[TAIL_PITCH] = nod;
    change[TAIL_PITCH + 1] = joint_rate(m->joint_pitch, state[TAIL_PITCH], nod, hanging);
    change[TAIL_TWIST] = state[TAIL_TWIST + 1];
    change[TAIL_TWIST + 1] = joint_rate(m->joint_twist, state[TAIL_TWIST], state[TAIL_TWIST + 1],
                                        tail_roll_moment * rho);
    change[ROCK] = rock_speed;
    change[ROCK + 1] = joint_rate(m->saddle, rock, rock_speed, between);
}

static void step_once(double time, double *state, const Model *m, double step) {
    double k1[STATES], k2[STATES], k3[STATES], k4[STATES], at[STATES];
    rates(time, state, m, k1);
    for (int i = 0; i < STATES; i++) at[i] = state[i] + 0.5 * step * k1[i];
    rates(time + 0.5 * step, at, m, k2);
    for (int i = 0; i < STATES; i++) at[i] = state[i] + 0.5 * step * k2[i];
    rates(time + 0.5 * step, at, m, k3);
    for (int i = 0; i < STATES; i++) at[i] = state[i] + step * k3[i];
    rates(time + step, at, m, k4);
    for (int i = 0; i < STATES; i++)
        state[i] += step / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]);
}

static double lowest_height(const Model *m, const double *state) {
    const Quaternion q = attitude(state);
    double lowest = 1e9;
    for (int i = 0; i < TOUCHES; i++)
        lowest = least(lowest, -(state[2] + to_earth(q, at3(m->touch[i])).z));
    return lowest;
}

static int face_in_touch(const Model *m, const double *state) {
    const Quaternion q = attitude(state);
    for (int i = 0; i < TOUCHES; i++) {
        const Vector place = plus(at3(state), to_earth(q, at3(m->touch[i])));
        if (-place.z > m->room[2]) return 1 + i + TOUCHES;
        if (fabs(place.x) > m->room[0] || fabs(place.y) > m->room[1]) return 1 + i;
    }
    return 0;
}

/* Steps taken; a row of the history every so many steps, and a touch whenever one begins. */
int march(double time, double *state, const Model *m, double step, int steps, int every,
          double *history, double *touches, int most_touches) {
    int rows = 0, found = 0, before = 0;
    for (int taken = 0; taken < steps; taken++) {
        if (taken % every == 0) memcpy(history + STATES * rows++, state, STATES * sizeof *state);
        step_once(time + taken * step, state, m, step);
        double speed = 0.0;
        for (int i = VELOCITY; i < RATES + 3; i++) speed += fabs(state[i]);
        if (!(speed < 10.0 * FASTEST_M_S) || !isfinite(state[QUATERNION])) return taken + 1;
        if (-state[2] < m->reach && lowest_height(m, state) <= 0.0) {
            memcpy(history + STATES * rows, state, STATES * sizeof *state);
            return taken + 1;
        }
        const int face = near_a_face(m, state) ? face_in_touch(m, state) : 0;
        if (face != 0 && before == 0 && found < most_touches) {
            touches[2 * found] = taken + 1;
            touches[2 * found++ + 1] = face;
        }
        before = face;
    }
    memcpy(history + STATES * rows, state, STATES * sizeof *state);
    return steps;
}
