"""Lesson 11, your own aeroplane: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled

# The demo aeroplane with its motor 3, 1180 turns less 40, in still air at 20 °C: seconds and
# metres climbed to, as measured and as fitted; and what the logbook has of it.
TURNS, BACKED_OFF, MOTOR = 1180, 40, "3"
AS_MEASURED, AS_FITTED = (87.1, 6.9), (66.4, 4.2)
LOGGED_S = (54.5, 56.1)
# The fitted one with motor 2, 1330 turns less 60: seconds in a high hall, and under 7 m.
TOUCH_TURNS, TOUCH_BACK, TOUCH_ROOF_M = 1330, 60, 7.0
TOUCH_S = (105.6, 99.1)

_SIGN = Check("sign", lambda value, _: value <= 0, "That is nothing, or less than nothing.")


def _draw_speed(random: Random) -> Figures:
    return {"circle_m": random.randint(50, 110) / 10, "lap_s": random.randint(80, 140) / 10}


SPEED = Task(
    id="11.1",
    title="How fast does yours fly?",
    kind="number",
    unit="m/s",
    draw=_draw_speed,
    ask=lambda f: (
        f"You pace the circle on the floor: {f['circle_m']} m across. The stopwatch says "
        f"{f['lap_s']} s for one lap. How fast does the aeroplane fly, in metres each second?"
    ),
    checks=(
        _SIGN,
        Check(
            "too fast",
            lambda value, _: value > 12,
            "That is faster than you can run. An indoor aeroplane flies at walking pace.",
        ),
    ),
    look="the worked example: how long is the way around?",
)


def _draw_ballast(random: Random) -> Figures:
    least = random.choice((8.0, 8.5, 9.0))
    return {
        "least_g": least,
        "airframe_g": round(least - random.randint(20, 60) / 100, 2),
        "margin_g": random.choice((0.05, 0.06, 0.08)),
    }


BALLAST = Task(
    id="11.2",
    title="Too light",
    kind="number",
    unit="g",
    draw=_draw_ballast,
    ask=lambda f: (
        f"The scales say {f['airframe_g']:.2f} g without the motor. The card asks for at least "
        f"{f['least_g']:.2f} g. The scales may be wrong by {f['margin_g']:.2f} g, so you want to "
        "be over by that much. How much clay goes on at the balance point, in grams?"
    ),
    checks=(
        _SIGN,
        Check(
            "too much",
            lambda value, _: abs(value) > 4,
            "That is as much as half an aeroplane. How much is missing?",
        ),
    ),
    look="first what is missing, then what the scales may be wrong by.",
)

_FIRST = (
    "The tail joint wobbles",
    "The aeroplane is .6 g over its planned mass",
    "The propeller could have 1° more pitch",
    "The covering has a small wrinkle",
)

FIRST = Task(
    id="11.3",
    title="What first?",
    kind="choice",
    draw=lambda random: {
        "mass_g": random.randint(82, 98) / 10,
        "flights": random.randint(2, 4),
        "order": shuffled(random, len(_FIRST)),
    },
    ask=lambda f: (
        f"Your aeroplane of {f['mass_g']} g flew {f['flights']} times: no two flights alike. The "
        "inspection names four things. Which do you mend before you fly again?"
    ),
    choices=_FIRST,
    look="which of the four can make two flights differ?",
)

_PAIRS = ("F1 and F3", "F2 and F3", "F2 and F4", "F1 and F4")
_ASKED = ("the shim", "the wing's place", "the turns")


def _draw_pairs(random: Random) -> Figures:
    return {
        "asked": random.choice(_ASKED),
        "shim_mm": random.choice((0.4, 0.8)),
        "back_mm": random.randint(4, 8),
        "more": 10 * random.randint(8, 15),
        "order": shuffled(random, len(_PAIRS)),
    }


PAIRS = Task(
    id="11.4",
    title="Which two flights?",
    kind="choice",
    draw=_draw_pairs,
    ask=lambda f: (
        "Four flights stand in the logbook.\n"
        "F1: as marked.\n"
        f"F2: shim +{f['shim_mm']} mm, wing back {f['back_mm']} mm.\n"
        f"F3: shim +{f['shim_mm']} mm.\n"
        f"F4: shim +{f['shim_mm']} mm, wing back {f['back_mm']} mm, {f['more']} turns more.\n"
        f"Which two flights tell what {f['asked']} did?"
    ),
    choices=_PAIRS,
    look="they may differ in one thing only.",
)

_VERDICTS = (
    "Cannot tell yet: fly the same again",
    "It flies longer now: the change was good",
    "It was luck: put the old setting back",
    "Make the same change once more",
)


def _draw_repeats(random: Random) -> Figures:
    first = random.randint(48, 70)
    times = [first, first + random.randint(3, 5), first + random.randint(7, 9)]
    random.shuffle(times)
    return {
        "times": tuple(times),
        "after_s": first + random.randint(10, 13),
        "order": shuffled(random, len(_VERDICTS)),
    }


REPEATS = Task(
    id="11.5",
    title="Longer, or luck?",
    kind="choice",
    draw=_draw_repeats,
    ask=lambda f: (
        f"Three flights, nothing changed: {f['times'][0]}, {f['times'][1]} and {f['times'][2]} s. "
        f"Then one change, and one flight: {f['after_s']} s. What do you write?"
    ),
    choices=_VERDICTS,
    look="the first three: how far apart are they, with nothing changed?",
)


def _draw_read(random: Random) -> Figures:
    limit = 10 * random.randint(130, 150)
    good = round(0.85 * limit)
    further = random.random() < 0.5
    read = good + random.randint(40, 90) if further else good - random.randint(60, 160)
    return {"limit": limit, "read": 5 * round(read / 5)}


READ = Task(
    id="11.6",
    title="How far does the curve go?",
    kind="number",
    unit="turns",
    draw=_draw_read,
    ask=lambda f: (
        f"You read the torque meter up to {f['read']} turns. A loop like this breaks near "
        f"{f['limit']} turns, and your team winds to 85 % of that at most. You plan only where "
        "you have read. How many turns may the plan have?"
    ),
    checks=(
        _SIGN,
        Check(
            "over the limit",
            lambda value, f: value > f["limit"],
            "That loop is in two pieces by then.",
        ),
    ),
    look="there are two limits. Which one comes first?",
)


def _draw_roof(random: Random) -> Figures:
    roof = random.randint(70, 110) / 10
    free = random.choice((0.5, 0.6, 0.8))
    spread = random.randint(7, 11) / 10
    top = roof - free
    # what the high end of each row has to do with the roof makes the rows
    highs = (top - random.uniform(0.7, 1.0), top - random.uniform(0.05, 0.25),
             top + random.uniform(0.1, 0.35), top + spread - random.uniform(0.05, 0.2),
             roof + spread)  # fmt: skip
    turns = 10 * random.randint(92, 104)
    rows = tuple(
        (turns + 50 * place, round(high - spread, 1), round(high - spread, 1) + spread)
        for place, high in enumerate(highs)
    )
    return {"roof_m": roof, "free_m": free, "rows": rows}


def _rows_words(rows: tuple[tuple[int, float, float], ...]) -> str:
    return "\n".join(
        f"{turns} turns: half of the flights reach {middle:.1f} m, one in ten goes over "
        f"{high:.1f} m"
        for turns, middle, high in rows
    )


ROOF = Task(
    id="11.7",
    title="The plan under a roof",
    kind="number",
    unit="turns",
    draw=_draw_roof,
    ask=lambda f: (
        f"The hall is {f['roof_m']} m high. You keep {f['free_m']} m free, so that is "
        f"{f['roof_m'] - f['free_m']:.1f} m to fly in. The plan says:\n{_rows_words(f['rows'])}\n"
        "At most one flight in ten may go into the free room. What is the most that you wind?"
    ),
    checks=(
        Check(
            "not in the plan",
            lambda value, f: value < f["rows"][0][0] - 60 or value > f["rows"][-1][0] + 60,
            "The plan has no row near that. Take one of its rows.",
        ),
    ),
    look="the middle is only the middle: half of all flights go higher.",
)

LESSON = Lesson(
    id="11",
    title="Your own aeroplane",
    tasks=(SPEED, BALLAST, FIRST, PAIRS, REPEATS, READ, ROOF),
)
