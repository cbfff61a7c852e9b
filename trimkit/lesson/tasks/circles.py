"""Lesson 06, making the circle: the questions and each pupil's own figures."""

from __future__ import annotations

import math
from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, least_gap, shuffled

DEGREES = 180 / math.pi

SCHOOL_HALL_M, LARGE_HALL_M = (26.0, 18.0, 15.0), (40.0, 30.0, 15.0)
LOW, FULL = 784, 1157  # turns
# The trainer in the school hall, by how far right of the middle it is launched [m]: seconds at
# low power, and with 1157 turns.
STAND_S = {0: (6.8, 50.3), 3: (31.9, 89.3), 5: (31.9, 97.9)}
# The same in the large hall, by degrees of fin to the left: seconds at low power and with 1157.
FIN_S = {-5: (12.2, 32.5), 0: (31.9, 97.9), 1: (22.4, 79.7), 2: (9.8, 8.0)}
# Air that drifts to the right, in the school hall, launched 5 m right of the middle: seconds.
DRIFT_S = {0.0: 97.9, 0.05: 81.5, 0.1: 55.1}
DRIFT_MET_S = 98.3  # the same .05 m/s, launched 3 m right of the middle
# Degrees a second that 2° less side thrust, or fin, take off the circle: at low power, and with
# 55 turns, which is a quarter of the torque that holds its height.
GONE = 55
LESS_DEG_S = {"side_thrust_deg": (8.4, 5.7), "fin_deg": (8.6, 9.5)}
OFFSET_M = {5: 8.3, -5: 9.7}  # first circle across, the wing 5 mm to the right and to the left
THRUST_2_S = 5.2  # with 2° more left thrust and 1157 turns
# First circle across [m] with the tail tilted 4° one way and the other, at middle power.
TILT_M = {"Hallfinch 46": (6.4, 8.7), "Longreed 42": (7.0, 12.1)}
TILT_TURNS = {"Hallfinch 46": 1157, "Longreed 42": 975}


def _draw_speed(random: Random) -> Figures:
    while True:
        across = random.randint(56, 96) / 10
        lap = round(math.pi * across / random.uniform(2.0, 3.0), 1)
        answers = (3.14 * across / lap, 6.28 * across / lap, across / lap, lap / (3.14 * across))
        if least_gap(answers) > 0.1:
            return {"across_m": across, "lap_s": lap}


SPEED = Task(
    id="06.1",
    title="How fast does it fly?",
    kind="number",
    unit="m/s",
    draw=_draw_speed,
    ask=lambda f: (
        f"Its circle is {f['across_m']} m across. One round takes {f['lap_s']} s. How fast does it "
        "fly? (Once round is 3.14 times across.)"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "It does move."),
        Check(
            "faster than a bicycle",
            lambda value, _: value > 12,
            "That is faster than a bicycle. Divide by the time.",
        ),
    ),
    look="once round is 3.14 times the way across. Then over the time.",
)


def _draw_stand(random: Random) -> Figures:
    while True:
        width, across = random.randint(15, 24), random.randint(60, 100) / 10
        answers = (across / 2, across, (width - across) / 2, (width + across) / 4)
        if least_gap(answers) > 0.25:
            return {"width_m": width, "across_m": across}


STAND = Task(
    id="06.2",
    title="Where do you stand?",
    kind="number",
    unit="m",
    draw=_draw_stand,
    ask=lambda f: (
        f"The hall is {f['width_m']} m wide. Your left circle is {f['across_m']} m across. You "
        "launch along the hall, so the circle lies wholly to your left. How far right of the "
        "middle line do you stand, so that there is as much room on both sides?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "Right of the middle is asked: no minus."),
        Check(
            "in the wall",
            lambda value, f: value > f["width_m"] / 2,
            "That is outside the hall.",
        ),
    ),
    look="the middle of the circle shall lie on the middle line. How far is that from you?",
)


def _draw_fin(random: Random) -> Figures:
    while True:
        chord, wanted = random.randint(48, 66), random.choice((0.5, 0.6, 0.7, 0.8, 0.9, 1.0))
        answers = (wanted / DEGREES * chord, wanted, wanted * chord, 10 * wanted / DEGREES * chord)
        if least_gap(answers) > 0.09:
            return {"chord_mm": chord, "wanted_deg": wanted}


FIN = Task(
    id="06.3",
    title="A little fin",
    kind="number",
    unit="mm",
    draw=_draw_fin,
    ask=lambda f: (
        f"You want {f['wanted_deg']}° more fin to the left. It turns about its leading edge; its "
        f"chord is {f['chord_mm']} mm. By how many millimetres does its trailing edge move?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "How far is asked, not which way."),
        Check(
            "centimetres",
            lambda value, _: value > 2.5,
            "More than two and a half millimetres? A degree of fin is about one.",
        ),
    ),
    look="degrees over 57.3 is a share. Take it of the chord.",
)


def _draw_drift(random: Random) -> Figures:
    return {
        "paper_m": random.choice((1.0, 1.5, 2.0)),
        "paper_s": random.randint(18, 40),
        "time_s": random.randint(70, 110),
    }


DRIFT = Task(
    id="06.4",
    title="How far does the air carry it?",
    kind="number",
    unit="m",
    draw=_draw_drift,
    ask=lambda f: (
        f"A feather in the air goes {f['paper_m']} m sideways in {f['paper_s']} s. Your flight "
        f"takes {f['time_s']} s. How far does the air carry your whole circle?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "How far is asked: no minus."),
        Check(
            "outside every hall",
            lambda value, _: value > 30,
            "That is out of the hall. Metres for one second first, then the seconds.",
        ),
    ),
    look="metres for one second, times the seconds of the flight.",
)

_SETTINGS = (
    "Less left thrust, and a little more fin to the left",
    "A little less fin, and a little more left thrust",
    "Fin to the left, half a millimetre",
    "Look for twist, and for a fin that came loose",
)
THRUST_MADE, FIN_MADE, STRAIGHT, WANDERS = range(4)
_SEEN = (
    "With power it circles tightly, {tight} s a round. As the power fades it goes straight",
    "With power it circles widely, {wide} s a round. As the power fades it winds in",
    "It flies straight into the far wall, at every power. Both tips measure as on the card",
    "Its rounds take {one}, {two} and {three} s. The air is still: a strip of tissue hangs quiet",
)


def _draw_setting(random: Random) -> Figures:
    place = random.randint(0, 3)
    seen = _SEEN[place].format(
        tight=random.randint(5, 7),
        wide=random.randint(13, 17),
        one=random.randint(8, 9),
        two=random.randint(12, 14),
        three=random.randint(6, 7),
    )
    return {"place": place, "seen": seen, "order": shuffled(random, len(_SETTINGS))}


SETTING = Task(
    id="06.5",
    title="What makes this circle?",
    kind="choice",
    draw=_draw_setting,
    ask=lambda f: f"{f['seen']}. What do you change, or look for?",
    choices=_SETTINGS,
    look="what fades as the power fades? And what stays?",
)


_PAIRS = ("flights 1 and 2", "flights 1 and 3", "flights 2 and 3", "no two of them")


def _draw_pair(random: Random) -> Figures:
    """Three flights; fin, wing's place and turns, of which one pair differs in the fin alone."""
    place = random.randint(0, 3)
    base = {"fin": 0, "wing": 0, "turns": 1100}
    fin, both, other = (
        base | {"fin": 1},
        base | {"fin": 1, "wing": 1},
        base | {"wing": 1, "turns": 1160},
    )
    rows = {
        0: (base, fin, other),
        1: (base, other, fin),
        2: (other, base, fin),
        3: (base, both, other),
    }[place]
    return {
        "place": place,
        "rows": tuple((row["fin"], row["wing"], row["turns"]) for row in rows),
        "order": shuffled(random, len(_PAIRS)),
    }


def _ask_pair(f: Figures) -> str:
    lines = "\n".join(
        f"Flight {n}: fin {'1 mm more' if fin else 'as on the card'}, wing "
        f"{'5 mm left' if wing else 'as on the card'}, {turns} turns."
        for n, (fin, wing, turns) in enumerate(f["rows"], 1)
    )
    return f"{lines}\nWhich two flights show what the fin does alone?"


PAIR = Task(
    id="06.6",
    title="Which two tell?",
    kind="choice",
    draw=_draw_pair,
    ask=_ask_pair,
    choices=_PAIRS,
    look="which two are alike in everything but the fin?",
)

_CAUSES = (
    "You stood in the middle: stand further right",
    "The air drifts: start on the side it comes from",
    "Too little fin: half a millimetre more to the left",
    "Too much fin: half a millimetre back",
)
STOOD, DRIFTS, LITTLE, MUCH = range(4)


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 3)

    def near() -> float:
        return random.choice((-0.25, 0.0, 0.25))

    return {
        "stood_m": 0.0 if place == STOOD else 5.0,
        "feather_m": (1.5 if place == DRIFTS else 0.0) + random.choice((0.0, 0.1)),
        "fin_mm": 2.0 + {LITTLE: -4.0, MUCH: 2.0}.get(place, 0.0) + near(),
        "end": "noses in, winding tighter and tighter" if place == MUCH else "meets the wall",
        "round_s": {LITTLE: 21, MUCH: 9}.get(place, 11) + random.choice((0, 1)),
        "order": shuffled(random, len(_CAUSES)),
    }


def _ask_case(f: Figures) -> str:
    side = "in the middle" if f["stood_m"] == 0 else f"{f['stood_m']:.0f} m right of the middle"
    return (
        f"Last week it circled to the left and landed in the hall, today it {f['end']}, three "
        "times.\n"
        f"You stood {side}; 5 m right is on the card.\n"
        f"A feather went {f['feather_m']} m sideways in 15 s; on the card 0, good to .2.\n"
        f"Fin's trailing edge: {f['fin_mm']} mm left; 2 on the card, good to .5.\n"
        f"A round took {f['round_s']} s; 11 on the card, good to 1.\n"
        "What is the cause, and the cure?"
    )


CASE = Task(
    id="06.7",
    title="The case: it does not stay in the hall",
    kind="choice",
    draw=_draw_case,
    ask=_ask_case,
    choices=_CAUSES,
    look="lay each reading beside its card. One is off by more than its error.",
)

LESSON = Lesson(
    id="06",
    title="Making the circle",
    tasks=(SPEED, STAND, FIN, DRIFT, SETTING, PAIR, CASE),
)
