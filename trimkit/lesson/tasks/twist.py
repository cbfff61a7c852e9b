"""Lesson 05, twist and roll: the questions and each pupil's own figures."""

from __future__ import annotations

import math
from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, least_gap, shuffled

TIP_CHORD_MM = 86  # the trainer's
DEGREES = 180 / math.pi

# The trainer with 1157 turns in still air, 98 s as on the card: what was changed, seconds, metres
# climbed to, left wing down at the start in degrees.
RIGHT_DOWN_4, RIGHT_DOWN_26, RIGHT_DOWN_1 = (12.0, 2.5, 33), (31.6, 2.8, 31), (109.8, 6.7, 25)
RIGHT_UP_2 = (14.3, 2.4, 9)
FIN_FOR_TWIST = (22.9, 2.7, 27)  # right tip 2.6° washed in, and the fin 3° to the right
LEFT_IN_2 = (105.1, 9.5, 18)  # 2° more wash-in at the left tip
WING_MIDDLE = (30.0, 2.9, 28)  # the wing slid 15 mm to the right, to the middle
LEFT_OUT_S = {2.0: 87.1, 4.0: 58.7}  # so many degrees less wash-in at the left tip: seconds
# What only a look finds, by size: seconds.
LOOKS_S = {
    "skewed-wing": {5.0: 113.1, 8.0: 2.0},  # degrees
    "tired-saddle-bands": {0.7: 53.6},  # of their full play
    "broken-dihedral-joint": {8.0: 89.8},  # degrees
}
CASE_S = {"twist": 31.6, "place": 30.0, "shim": 31.9}  # the last: 1 mm of shim too many


_ROLLS = ("It rolls left", "It rolls right", "It does not roll", "The nose drops, and no roll")
LEFT, RIGHT, NONE = range(3)
_TWISTS = (
    ("the left tip's trailing edge {mm} mm up, the right tip flat", LEFT),
    ("the right tip's trailing edge {mm} mm down, the left tip flat", LEFT),
    ("the left tip's trailing edge {mm} mm down, the right tip flat", RIGHT),
    ("the right tip's trailing edge {mm} mm up, the left tip flat", RIGHT),
    ("both tips' trailing edges {mm} mm up", NONE),
    ("both tips' trailing edges {mm} mm down", NONE),
)


def _draw_way(random: Random) -> Figures:
    words, place = random.choice(_TWISTS)
    seen = words.format(mm=random.choice((2, 3, 4)))
    return {"seen": seen, "place": place, "order": shuffled(random, len(_ROLLS))}


WAY = Task(
    id="05.1",
    title="Which way does it roll?",
    kind="choice",
    draw=_draw_way,
    ask=lambda f: (
        f"Laid on a table, a wing has {f['seen']}. What does this twist alone do to the aeroplane?"
    ),
    choices=_ROLLS,
    look="trailing edge down means more lift there. Which side is pushed up?",
)


def _draw_edge(random: Random) -> Figures:
    while True:
        chord, wanted = random.randint(78, 95), random.randint(10, 30) / 10
        answers = (wanted / DEGREES * chord, wanted, wanted * chord, chord / DEGREES)
        if least_gap(answers) > 0.25:
            return {"chord_mm": chord, "wanted_deg": wanted}


EDGE = Task(
    id="05.2",
    title="How far does the edge go?",
    kind="number",
    unit="mm",
    draw=_draw_edge,
    ask=lambda f: (
        f"You want {f['wanted_deg']}° more wash-in at the left tip. The chord there is "
        f"{f['chord_mm']} mm. By how many millimetres must its trailing edge go down?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "The question asks how far, not which way."),
        Check(
            "more than a finger",
            lambda value, _: value > 20,
            "That would bend the tip out of the wing. An angle over 57 is a share of the chord.",
        ),
    ),
    look="degrees over 57.3 is a share. Take it of the chord.",
)


def _draw_change(random: Random) -> Figures:
    while True:
        card = random.choice((1.0, 1.5, 2.0, 2.5))
        today = -random.choice((0.5, 1.0, 1.5, 2.0))
        chord = random.randint(78, 95)
        whole = (card - today) / chord * DEGREES
        answers = (whole, (card + today) / chord * DEGREES, -today / chord * DEGREES, card - today)
        if least_gap(answers) > 0.35:
            return {"card_mm": card, "today_mm": today, "chord_mm": chord}


CHANGE = Task(
    id="05.3",
    title="After the night in the car",
    kind="number",
    unit="°",
    draw=_draw_change,
    ask=lambda f: (
        f"The card says: left tip's trailing edge {f['card_mm']} mm down. Today your ruler says "
        f"{-f['today_mm']} mm up. The chord there is {f['chord_mm']} mm. By how many degrees did "
        "the tip lose wash-in?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "The question asks how much was lost: no minus."),
        Check(
            "too much for a tip",
            lambda value, _: value > 15,
            "So much twist would be seen across the hall. Divide by the chord.",
        ),
    ),
    look="from down to up: how many millimetres are that together?",
)

_CURES = (
    "Take the twist out of the wing, then fly the same turns",
    "Set the fin against it, then fly the same turns",
    "Slide the wing to the side, then fly the same turns",
    "Set the fin back to its mark, then fly the same turns",
)
UNTWIST, USE_FIN, SLIDE, FIN_BACK = range(4)


def _draw_cure(random: Random) -> Figures:
    place = random.choice((UNTWIST, FIN_BACK))
    card_fin, card_tip = random.randint(2, 4) / 2, random.choice((0.0, 0.5))
    more = random.choice((2.0, 2.5, 3.0))
    slip = random.choice((-0.5, 0.0, 0.5))
    return {
        "place": place,
        "card_fin_mm": card_fin,
        "fin_mm": card_fin + (slip if place == UNTWIST else more),
        "card_tip_mm": card_tip,
        "tip_mm": card_tip + (more + 1.0 if place == UNTWIST else slip),
        "where": random.choice(("at low power too", "at every power")),
        "order": shuffled(random, len(_CURES)),
    }


CURE = Task(
    id="05.4",
    title="Fin or wing?",
    kind="choice",
    draw=_draw_cure,
    ask=lambda f: (
        f"It leans left and winds in, {f['where']}. Ruler, good to .5 mm: fin's trailing edge "
        f"{f['fin_mm']} mm left, {f['card_fin_mm']} on the card. Right tip's trailing edge "
        f"{f['tip_mm']} mm down, {f['card_tip_mm']} on the card. What do you do?"
    ),
    choices=_CURES,
    look="which of the two is off by more than the ruler's error? Mend that one.",
)


def _draw_place(random: Random) -> Figures:
    return {
        "torque_mNm": random.randint(20, 40) / 10,
        "mass_g": random.randint(100, 130) / 10,
        "twist_mNm": random.choice((0.3, 0.4, 0.5)),
    }


PLACE = Task(
    id="05.5",
    title="Where must the wing sit?",
    kind="number",
    unit="mm",
    draw=_draw_place,
    ask=lambda f: (
        f"The rubber rolls it left with {f['torque_mNm']} mN m. Wash-in rolls it right with "
        f"{f['twist_mNm']} mN m. The rest shall come from the wing's place. The aeroplane weighs "
        f"{f['mass_g']} g; one gram weighs 9.81 mN. How many millimetres to the left must the wing "
        "sit? (Millinewton times millimetres is thousandths of mN m.)"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "To the left is asked: no minus."),
        Check(
            "metres, not millimetres",
            lambda value, _: 0 < value < 0.5,
            "That is less than half a millimetre. Is it in metres?",
        ),
        Check(
            "beyond the tip",
            lambda value, _: value > 230,
            "That is further than half a wing reaches. Look at the units.",
        ),
    ),
    look="what is left to hold? Then over the weight in millinewton, then millimetres.",
)

_PICTURES = (
    "It balances level: look for twist, and for a wing that is not square",
    "Put clay on the high wing",
    "Sand the low wing lighter",
    "More fin against the low wing",
)

LOW_WING = Task(
    id="05.6",
    title="The low wing",
    kind="choice",
    draw=lambda random: {
        "bank_deg": random.randint(24, 34),
        "side": random.choice(("left", "right")),
        "flights": random.randint(2, 4),
        "order": shuffled(random, len(_PICTURES)),
    },
    ask=lambda f: (
        f"In {f['flights']} flights at low power the {f['side']} wing hangs {f['bank_deg']}° low. "
        "On two fingertips under its middle the aeroplane stays level. What now?"
    ),
    choices=_PICTURES,
    look="it balances level. So is that wing heavy?",
)

_CAUSES = (
    "The right tip is twisted: take the twist out",
    "The wing slid to the middle: back to its pencil mark",
    "Too much shim: take one out",
    "The fin is bent: bend it back",
)
TWIST, SLID, SHIM, FIN = range(4)


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 2)
    time_s = tuple(CASE_S.values())[place]

    def near() -> float:
        return random.choice((-0.5, 0.0, 0.5))

    return {
        "time_s": round(time_s),
        "tip_mm": (4.0 if place == TWIST else 0.0) + near(),
        "place_mm": (0.0 if place == SLID else 15.0) + near(),
        "boom_mm": 42.0 + (6.0 if place == SHIM else 0.0) + near(),
        "fin_mm": 2.0 + near(),
        "order": shuffled(random, len(_CAUSES)),
    }


CASE = Task(
    id="05.7",
    title="The case: it leans and comes down",
    kind="choice",
    draw=_draw_case,
    ask=lambda f: (
        f"Last week 98 s, today {f['time_s']} s, twice, with the left wing 30° low. Your ruler is "
        "good to 1 mm:\n"
        f"right tip's trailing edge {f['tip_mm']} mm down, 0 on the card;\n"
        f"wing {f['place_mm']} mm left of the middle, 15 on the card;\n"
        f"boom's tail end {f['boom_mm']} mm up, 42 on the card;\n"
        f"fin's trailing edge {f['fin_mm']} mm left, 2 on the card.\n"
        "What is the cause, and the cure?"
    ),
    choices=_CAUSES,
    look="lay each reading beside its card. One is off by more than its error.",
)

LESSON = Lesson(
    id="05",
    title="Twist and roll",
    tasks=(WAY, EDGE, CHANGE, CURE, PLACE, LOW_WING, CASE),
)
