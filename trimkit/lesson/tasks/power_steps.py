"""Lesson 09, stepping up the power: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, least_gap, shuffled
from trimkit.units import MNM_PER_OUNCE_INCH

# The trainer in still air at 20 °C, flown at 1.25, 1.6, 2 and 2.6 times the torque of level
# flight. For each aeroplane and step: seconds, metres climbed to, nose up at the start in degrees.
STEPS = {1.25: 784, 1.6: 1005, 2.0: 1173, 2.6: 1336}
GOOD, LINE_UP, SOFT, NO_SHIM = "good", "line up", "soft", "no shim"
LINE_UP_DEG, SOFT_SIZE, SHIM_MM = -3.0, 0.08, -0.3  # down thrust; deg of bow per mN m; shim
FLIES = {
    GOOD: ((31.9, 2.4, 5.0), (67.5, 5.0, 9.7), (101.2, 9.1, 12.8), (133.8, 14.9, 13.9)),
    LINE_UP: ((31.1, 2.1, 9.3), (54.4, 2.9, 14.5), (93.7, 5.0, 19.3), (138.6, 9.9, 20.7)),
    SOFT: ((19.0, 1.8, 1.1), (43.3, 3.6, 3.4), (73.7, 7.2, 3.7), (8.1, 2.7, -0.4)),
    NO_SHIM: ((10.9, 1.7, -1.1), (22.8, 2.5, 2.0), (43.2, 5.4, 3.8), (68.7, 10.7, 2.7)),
}
GOOD_LEFT = (563, 534, 459, 375)  # turns left of the good one at each step
# One degree more, to the left, at the middle step: nose up at the start in degrees.
ONE_MORE_NOSE_DEG = {"side_thrust_deg": 2.5, "fin_deg": 6.0}
NOSE_WEIGHT_G, NOSE_WEIGHT_S = 0.8, 5.4  # on the aeroplane with its thrust line up, at low power
DIVE_MM, DIVE_S = -1.0, (3.1, 3.1, 2.9, 2.6)  # shim taken out, and what each step then lasts

# Under a roof of 8 m: turns, launch torque in mN m, seconds, metres climbed to.
ROOF_M = 8.0
UNDER_ROOF = (
    (1000, 3.55, 66.6, 5.0),
    (1050, 3.77, 76.2, 5.9),
    (1100, 4.02, 86.2, 7.1),
    (1157, 4.35, 39.6, 7.9),
)


def _draw_torque(random: Random) -> Figures:
    return {
        "level_oz_in": random.randint(26, 36) / 100,
        "share": random.choice((1.6, 2.0, 2.4)),
    }


TORQUE = Task(
    id="09.1",
    title="Torque for the next step",
    kind="number",
    unit="mN m",
    draw=_draw_torque,
    ask=lambda f: (
        f"Your aeroplane just holds its height with {f['level_oz_in']:.2f} oz in. The low-power "
        f"test at 1.25 times that was good. The next step is {f['share']} times the level torque. "
        "What must the meter read, in mN m? One oz in is 7.06 mN m."
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "A wound motor reads more than nothing."),
        Check(
            "less than level flight",
            lambda value, f: value < f["level_oz_in"] * MNM_PER_OUNCE_INCH,
            "That would not hold its height. One oz in is about seven mN m.",
        ),
    ),
    look="a step is counted from level flight, not from the step before.",
)

_DIVES = (
    "Stop. Look and measure: boom's tail end and balance point",
    "Wind more turns: it needs speed to fly",
    "Go to the next step: power will lift the nose",
    "Throw it harder, with the nose up",
)

DIVES = Task(
    id="09.2",
    title="It dives at low power",
    kind="choice",
    draw=lambda random: {
        "first_s": random.randint(28, 42) / 10,
        "second_s": random.randint(28, 42) / 10,
        "order": shuffled(random, len(_DIVES)),
    },
    ask=lambda f: (
        f"At 1.25 times the level torque your aeroplane noses down and is on the floor after "
        f"{f['first_s']:.1f} s, then after {f['second_s']:.1f} s. What now?"
    ),
    choices=_DIVES,
    look="the first flight of this lesson. What did more turns do for a dive?",
)


def _draw_gain(random: Random) -> Figures:
    while True:
        before = tuple(random.randint(58, 74) for _ in range(3))
        after = tuple(random.randint(70, 92) for _ in range(3))
        old, new = sum(before) / 3, sum(after) / 3
        answers = (
            100 * (new - old) / old,
            new - old,
            100 * (max(after) - max(before)) / max(before),
            100 * new / old,
        )
        if least_gap(answers) > 2.2 and answers[0] > 4:
            return {"before_s": before, "after_s": after}


def _seconds(times_s: tuple[int, ...]) -> str:
    return ", ".join(f"{time_s} s" for time_s in times_s)


GAIN = Task(
    id="09.3",
    title="Three before, three after",
    kind="number",
    unit="%",
    draw=_draw_gain,
    ask=lambda f: (
        f"Same turns, nothing changed: {_seconds(f['before_s'])}. One change, same turns: "
        f"{_seconds(f['after_s'])}. By how many percent did the mean time grow?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "The later flights are longer."),
        Check(
            "share, not percent",
            lambda value, _: 0 < value < 1,
            "That looks like a share. Times 100 makes percent of it.",
        ),
    ),
    look="a mean for each three. The difference, over the mean before, times 100.",
)

_SIGNS = (
    "It is there at every power: shim, twist, fin or balance",
    "It grows with power: thrust line, or something that bends",
    "It is the launch: another hand, or walking pace",
    "It cannot be told from these two flights",
)
ALWAYS, POWER, LAUNCH, UNCLEAR = range(4)


def _draw_sign(random: Random) -> Figures:
    place = random.randint(0, 3)
    low_card, high_card = random.randint(4, 6), random.randint(12, 14)
    much, side = random.randint(6, 9), random.choice((-1, 1))
    off_low, off_high, error = {
        ALWAYS: (side * much, side * (much + random.choice((-1, 0, 1))), 2),
        POWER: (random.choice((-1, 0, 1)), side * (much + 2), 2),
        LAUNCH: (0, side * much, 2),
        UNCLEAR: (random.choice((-2, 2)), random.choice((-3, 3)), 4),
    }[place]
    return {
        "place": place,
        "low_card": low_card,
        "high_card": high_card,
        "low": low_card + off_low,
        "high": high_card + off_high,
        "error": error,
        "order": shuffled(random, len(_SIGNS)),
    }


def _ask_sign(f: Figures) -> str:
    again = (
        f"Another pupil launches at high power: {f['high_card']}° again, as on the card."
        if f["place"] == LAUNCH
        else "Another pupil launches: it is the same."
    )
    return (
        f"Nose up at the start. Low power: {f['low']}°; the card says {f['low_card']}°. High "
        f"power: {f['high']}°; the card says {f['high_card']}°. By eye this is good to "
        f"{f['error']}°. {again} What kind of fault is it?"
    )


SIGN = Task(
    id="09.4",
    title="Always there, or only with power?",
    kind="choice",
    draw=_draw_sign,
    ask=_ask_sign,
    choices=_SIGNS,
    look="how far off at low power, how far at high power, and is it more than the eye's error?",
)

_CURES = (
    "A little more down thrust, then the same two steps again",
    "Nose weight, then the last step again",
    "Stiffen the stick, then the same two steps again",
    "Another shim, then the same two steps again",
)
MORE_DOWN, WEIGHT, STIFFEN, SHIM = range(4)
_SEEN = {
    MORE_DOWN: "Low power is good. At high power the nose stands {nose}° up, it wallows and "
    "hardly climbs",
    STIFFEN: "Low power is good. At high power the nose drops by {nose}° and it hits the floor. "
    "Wound up, behind the shield, the stick's middle is {bow} mm up",
    SHIM: "At low power and at high power alike the nose is {nose}° under the card's",
}


def _draw_cure(random: Random) -> Figures:
    place = random.choice((MORE_DOWN, STIFFEN, SHIM))
    nose = random.randint(19, 24) if place == MORE_DOWN else random.randint(6, 9)
    return {
        "place": place,
        "seen": _SEEN[place].format(nose=nose, bow=random.choice((2, 3))),
        "order": shuffled(random, len(_CURES)),
    }


CURE = Task(
    id="09.5",
    title="Which cure?",
    kind="choice",
    draw=_draw_cure,
    ask=lambda f: f"{f['seen']}. The balance point is where the card says. What do you do?",
    choices=_CURES,
    look="does it come with power? And what happened to the low-power flight with nose weight?",
)


def _draw_roof(random: Random) -> Figures:
    while True:
        first = random.randint(0, 1)
        _, low_mNm, _, low_m = UNDER_ROOF[first]
        _, high_mNm, _, high_m = UNDER_ROOF[first + 1]
        free_m = random.randint(5, 10) / 10
        roof_m = round(random.uniform(low_m + 0.3, high_m - 0.2) + free_m, 1)
        per_m = (high_mNm - low_mNm) / (high_m - low_m)
        heights = (roof_m - free_m, roof_m, roof_m + free_m)
        answers = [low_mNm + (height_m - low_m) * per_m for height_m in heights]
        answers.append(low_mNm * (roof_m - free_m) / low_m)
        if least_gap(answers) > 0.045:
            break
    return {
        "low_mNm": low_mNm,
        "low_m": low_m,
        "high_mNm": high_mNm,
        "high_m": high_m,
        "roof_m": roof_m,
        "free_m": free_m,
    }


ROOF = Task(
    id="09.6",
    title="A torque for this roof",
    kind="number",
    unit="mN m",
    draw=_draw_roof,
    ask=lambda f: (
        f"With {f['low_mNm']:.2f} mN m at the launch it climbed to {f['low_m']} m, with "
        f"{f['high_mNm']:.2f} mN m to {f['high_m']} m. The lowest lamp hangs at {f['roof_m']} m. "
        f"You want {f['free_m']} m free below it. Which torque, on the straight line between the "
        "two flights?"
    ),
    checks=(
        Check(
            "outside the two flights",
            lambda value, f: value < f["low_mNm"] or value > f["high_mNm"] + 0.3,
            "The height you want lies between the two flights. So does its torque.",
        ),
    ),
    look="which height do you want? How far is that from the lower flight to the higher one?",
)

_CAUSES = (
    "Thrust line too high: a little more down thrust",
    "The stick bends: stiffen it",
    "Too little decalage: a shim under the tail",
    "Nothing: this is a good aeroplane, go on to the next step",
)
_KINDS = (LINE_UP, SOFT, NO_SHIM, GOOD)


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 3)
    rows = FLIES[_KINDS[place]]
    return {
        "nose_deg": tuple(round(nose + random.choice((-1, 0, 1))) for _, _, nose in rows[:4]),
        "card_deg": tuple(round(nose) for _, _, nose in FLIES[GOOD]),
        "time_s": tuple(round(time_s) for time_s, _, _ in rows),
        "card_s": tuple(round(time_s) for time_s, _, _ in FLIES[GOOD]),
        "bow_mm": random.choice((2.5, 3.0)) if place == 1 else random.choice((0.0, 0.5)),
        "order": shuffled(random, len(_CAUSES)),
    }


def _row(name: str, given: tuple[int, ...], unit: str) -> str:
    return f"{name}: " + ", ".join(f"{value}{unit}" for value in given)


def _ask_case(f: Figures) -> str:
    return (
        "Four steps: 1.25, 1.6, 2.0 and 2.6 times the level torque.\n"
        f"{_row('Nose up at the start', f['nose_deg'], '°')}; "
        f"{_row('card', f['card_deg'], '°')}; good to 2°.\n"
        f"{_row('Time', f['time_s'], ' s')}; {_row('card', f['card_s'], ' s')}.\n"
        f"The stick's middle, wound against unwound, behind the shield: {f['bow_mm']} mm up, good "
        "to 1 mm.\n"
        "What is the cause, and what do you do?"
    )


CASE = Task(
    id="09.7",
    title="The case: four steps, one log",
    kind="choice",
    draw=_draw_case,
    ask=_ask_case,
    choices=_CAUSES,
    look="the nose at the first step and at the last, each against its card. Then the stick.",
)

LESSON = Lesson(
    id="09",
    title="Stepping up the power",
    tasks=(TORQUE, DIVES, GAIN, SIGN, CURE, ROOF, CASE),
)
