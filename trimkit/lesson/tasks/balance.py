"""Lesson 03, where it balances: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled

# The trainer in still air at 1157 turns: seconds flown, and metres climbed to.
BASE = (97.9, 8.6)
HEAVIER_FLIES = {0.4: (15.7, 2.1), 0.8: (4.6, 1.8)}  # grams more at the propeller, wing left alone
BACK_IN_PLACE = (76.0, 6.5)  # .8 g more, the wing slid forward until it balances as before
CLAY_FLIES = {0: 18.5, 163: 89.8, 430: 21.6}  # .36 g: mm behind the bearing, seconds
# A tail heavier by some grams: left alone, wing slid back, clay on the nose; seconds.
TAIL_FLIES = {0.2: (62.4, 95.5, 86.3), 0.36: (21.6, 91.3, 77.4)}
# Millimetres of wing and of shim moved: margin in percent, seconds.
TOGETHER = {(0, 0.0): (24, 97.9), (-10, 0.0): (18, 53.5), (-10, -0.6): (18, 117.5)}
# Wing moved, best shim in steps of .2 mm: margin, seconds with it, and with .2 and .4 mm less.
ROOM = {
    (10, 1.0): (30, 104.9, 93.1, 74.2),
    (0, 0.2): (24, 112.4, 97.9, 66.1),
    (-10, -0.6): (18, 117.5, 91.1, 7.4),
    (-20, -1.4): (12, 112.5, 5.2, 3.6),
}
LOW, HIGH = 750, 1157
# A stall that only shows with power: shim and clay on the nose; seconds at LOW, at HIGH, metres.
UNDER_POWER = {
    (0.4, 0.0): (36.6, 107.1, 5.7),
    (0.4, 0.4): (14.6, 66.2, 6.3),
    (0.2, 0.0): (36.8, 112.4, 8.2),
}
SLACK, PLENTY = 5, 45  # margins of the table, percent of the chord; common practice, no source

_STATION = Check(
    "outside the aeroplane",
    lambda value, _: value < -30 or value > 600,
    "There is no aeroplane at that place. Did you divide by the grams?",
)


def _draw_beam(random: Random) -> Figures:
    return {
        "wing_g": random.randint(56, 68) / 20,
        "wing_mm": random.randint(116, 128),
        "stick_g": random.randint(36, 46) / 20,
        "stick_mm": random.randint(120, 136),
        "tail_g": random.randint(26, 34) / 20,
        "tail_mm": random.randint(370, 390),
        "propeller_g": random.randint(46, 56) / 20,
        "propeller_mm": -random.randint(6, 9),
    }


BEAM = Task(
    id="03.1",
    title="Where four parts balance",
    kind="number",
    unit="mm",
    draw=_draw_beam,
    ask=lambda f: (
        f"Wing {f['wing_g']:.2f} g at {f['wing_mm']} mm. Stick {f['stick_g']:.2f} g at "
        f"{f['stick_mm']} mm. Boom and tail {f['tail_g']:.2f} g at {f['tail_mm']} mm. Propeller "
        f"{f['propeller_g']:.2f} g at {f['propeller_mm']} mm. All counted from the bearing. Where "
        "do they balance together, in mm behind the bearing?"
    ),
    checks=(
        _STATION,
        Check(
            "behind the tail",
            lambda value, f: f["tail_mm"] < value <= 600,
            "That is behind the tail. The balance point lies among the parts.",
        ),
    ),
    look="grams times millimetres for each part, added up, over all the grams.",
)


def _draw_slide(random: Random) -> Figures:
    return {
        "mass_g": random.randint(215, 245) / 20,
        "wing_g": random.randint(56, 68) / 20,
        "balance_mm": random.randint(135, 165),
        "edge_mm": random.randint(38, 48),
        "added_g": random.randint(10, 20) / 20,
    }


SLIDE = Task(
    id="03.2",
    title="A heavier propeller",
    kind="number",
    unit="mm",
    draw=_draw_slide,
    ask=lambda f: (
        f"An aeroplane weighs {f['mass_g']:.2f} g with its rubber; the wing is "
        f"{f['wing_g']:.2f} g of that. It balances {f['balance_mm']} mm behind the bearing, which "
        f"is {f['edge_mm']} mm behind the wing's leading edge. The new propeller is "
        f"{f['added_g']:.2f} g heavier. It sits 5 mm in front of the bearing. How far must the "
        "wing slide, so that the aeroplane balances at the old place on the wing? Forward is +."
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "Weight at the nose pulls the balance forward. Which way does the wing follow?",
        ),
        Check(
            "off the stick",
            lambda value, f: value > f["balance_mm"] / 2,
            "That slides the wing half-way to the propeller. What did you divide by?",
        ),
    ),
    look="the three steps of the worked example. The lever runs from the propeller.",
)


def _draw_margin(random: Random) -> Figures:
    cg_mm = random.randint(30, 40)
    return {
        "cg_mm": cg_mm,
        "neutral_mm": cg_mm + random.randint(9, 16),
        "chord_mm": random.randint(62, 78),
    }


def _ask_points(f: Figures) -> str:
    return (
        f"A wing's mean chord is {f['chord_mm']} mm. The aeroplane balances {f['cg_mm']} mm behind "
        f"the wing's leading edge. Its neutral point is {f['neutral_mm']} mm behind it."
    )


MARGIN = Task(
    id="03.3",
    title="The static margin",
    kind="number",
    unit="%",
    draw=_draw_margin,
    ask=lambda f: (
        f"{_ask_points(f)} What is the static margin, in percent of the chord? + when it balances "
        "ahead of the neutral point."
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "Which of the two points is nearer to the nose? Then read + and - once more.",
        ),
        Check(
            "ratio, not percent",
            lambda value, _: 0 <= value < 1,
            "That is less than one in a hundred. Did you turn it into percent?",
        ),
        Check(
            "more than the chord",
            lambda value, _: value > 100,
            "Then the two points would lie more than a chord apart. What did you divide?",
        ),
    ),
    look="how far the two points lie apart, over the chord, times 100.",
)

_MEANINGS = (
    "A nose that is pushed up comes back by itself",
    "The nose wanders up and down and hardly comes back",
    "A nose that begins to rise goes on rising, whatever the shim",
    "The nose is heavy, and wants a lot of shim to stay up",
)
BACK, WANDERS, RUNS_AWAY, HEAVY = range(4)
_MARGINS = {BACK: (12, 32), WANDERS: (2, 4), RUNS_AWAY: (-12, -5), HEAVY: (52, 62)}


def _draw_meaning(random: Random) -> Figures:
    place, chord_mm = random.randint(0, 3), random.randint(70, 96)
    neutral_mm = random.randint(54, 66)
    ahead_mm = chord_mm * random.randint(*_MARGINS[place]) / 100
    return {
        "cg_mm": round(2 * (neutral_mm - ahead_mm)) / 2,
        "neutral_mm": neutral_mm,
        "chord_mm": chord_mm,
        "order": shuffled(random, len(_MEANINGS)),
    }


MEANING = Task(
    id="03.4",
    title="What the margin means",
    kind="choice",
    draw=_draw_meaning,
    ask=lambda f: f"{_ask_points(f)} What do you expect of its nose?",
    choices=_MEANINGS,
    look="first the margin in percent, then the table.",
)

_POWER_CURES = (
    "A thinner shim by a hair, boom's tail end down 1 mm; then fly low and high again",
    "Clay on the nose until the swing is gone",
    "Clay on the nose, and the wing forward until it balances as before",
    "Another shim on top, and then more turns",
)

POWER_STALL = Task(
    id="03.5",
    title="It stalls, but only with power",
    kind="choice",
    draw=lambda random: {
        "low_s": random.randint(35, 38),
        "high_m": random.randint(54, 60) / 10,
        "old_m": random.randint(80, 88) / 10,
        "order": shuffled(random, len(_POWER_CURES)),
    },
    ask=lambda f: (
        f"At {LOW} turns it flies smoothly, {f['low_s']} s. At {HIGH} turns the nose swings up and "
        f"down, and it climbs to {f['high_m']} m where {f['old_m']} m were usual. The balance "
        "point is on its mark. What do you change?"
    ),
    choices=_POWER_CURES,
    look="the table of the three aeroplanes: what happened to each at low power?",
)


def _draw_minimum(random: Random) -> Figures:
    return {
        "minimum_g": random.choice((7.0, 7.5, 8.0, 8.5)),
        "short_g": random.randint(22, 58) / 100,
        "rubber_g": random.randint(18, 23) / 10,
        "spare_g": random.choice((0.05, 0.06, 0.08, 0.1)),
    }


def airframe_g(f: Figures) -> float:
    """Work out what the aeroplane of task 03.6 weighs without rubber.

    Parameters
    ----------
    f : mapping
        The figures of the task [-].

    Returns
    -------
    float
        Mass [g].
    """
    return float(f["minimum_g"] - f["short_g"])


MINIMUM = Task(
    id="03.6",
    title="Under the minimum",
    kind="number",
    unit="g",
    draw=_draw_minimum,
    ask=lambda f: (
        f"Your team's rules ask for at least {f['minimum_g']:.2f} g without rubber. Ready to fly, "
        f"with {f['rubber_g']:.2f} g of rubber, the aeroplane weighs "
        f"{airframe_g(f) + f['rubber_g']:.2f} g. You want {f['spare_g']:.2f} g to spare, for the "
        "scales. How much clay do you add, at the balance point?"
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "You cannot add less than nothing. Is the rubber counted in the rule?",
        ),
        Check(
            "as heavy as the rubber",
            lambda value, f: value >= f["rubber_g"],
            "That is more than all the rubber. What is missing is a small part of a gram.",
        ),
    ),
    look="first the grams without rubber, then what is missing, then what you want to spare.",
)

_CAUSES = (
    "The propeller is heavier: slide the wing forward",
    "The tail is lighter: slide the wing forward",
    "The wing has slid back: put it on its pencil mark",
    "A shim is missing: put it back, and leave the wing",
)
PROPELLER, TAIL, WING, SHIM = range(4)
# What each does to grams, balance behind the leading edge, leading edge behind the bearing and
# the boom's tail end, mm; and the seconds that it leaves of BASE.
CHANGES: dict[int, tuple[float, float, float, float]] = {
    PROPELLER: (0.4, -5.4, 0.0, 0.0),
    TAIL: (-0.26, -6.0, 0.0, 0.0),
    WING: (0.0, -5.4, 7.2, 0.0),
    SHIM: (0.0, 0.0, 0.0, -1.8),
}
CASES_S = {PROPELLER: 15.7, TAIL: 15.4, WING: 15.8, SHIM: 15.6}
_CARD = {"mass_g": 11.95, "balance_mm": 44.5, "wing_mm": 118.5}


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 3)
    card_boom_mm = random.randint(72, 88) / 2
    grams, balance_mm, wing_mm, boom_mm = CHANGES[place]
    half = random.choice((-0.5, 0.0, 0.5))
    return {
        "time_s": round(CASES_S[place]),
        "mass_g": round(_CARD["mass_g"] + grams + random.choice((-0.02, 0.0, 0.02)), 2),
        "balance_mm": round(2 * (_CARD["balance_mm"] + balance_mm + half)) / 2,
        "wing_mm": round(2 * (_CARD["wing_mm"] + wing_mm)) / 2,
        "card_boom_mm": card_boom_mm,
        "boom_mm": card_boom_mm + round(2 * boom_mm) / 2,
        "order": shuffled(random, len(_CAUSES)),
    }


CASE = Task(
    id="03.7",
    title="The case: it sinks",
    kind="choice",
    draw=_draw_case,
    ask=lambda f: (
        f"Last week {BASE[0]:.0f} s. After a week in the cupboard it sinks, {f['time_s']} s, three "
        "times the same. Others have used its parts.\n"
        f"Scales: {f['mass_g']:.2f} g; {_CARD['mass_g']} g on the card, good to .05.\n"
        f"Balance point behind the wing's leading edge: {f['balance_mm']} mm; "
        f"{_CARD['balance_mm']} on the card, good to 1.\n"
        f"Wing's leading edge behind the bearing: {f['wing_mm']} mm; {_CARD['wing_mm']} on the "
        "card, good to 1.\n"
        f"Boom's tail end above the table: {f['boom_mm']} mm; {f['card_boom_mm']} on the card, "
        "good to .5.\n"
        "What is the cause, and what do you do?"
    ),
    choices=_CAUSES,
    look="each reading beside its card. Balance last: several causes move it.",
)

LESSON = Lesson(
    id="03",
    title="Where it balances",
    tasks=(BEAM, SLIDE, MARGIN, MEANING, POWER_STALL, MINIMUM, CASE),
)
