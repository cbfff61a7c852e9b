"""Lesson 12, contest day: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled

# The trainer in still air, wound with 1157 turns: seconds it flies with so many grams of clay
# added, at the balance point, at the tail's end and on the nose.
CLAY_TURNS, CLAY_G = 1157, 0.4
CLAY_S = {"none": 97.9, "balance point": 88.9, "tail": 5.1, "nose": 14.6}

# In a hall of 30 by 24 by 9 m with 1100 turns: drift to the north in m/s, launched so many metres
# north of the middle (5 m east of it), seconds.
DRIFT_TURNS, DRIFT_HALL_M, DRIFT_EAST_M = 1100, (30.0, 24.0, 9.0), 5.0
DRIFTS = {(0.0, 0.0): 86.2, (0.15, 0.0): 60.3, (0.15, -8.0): 86.2}


def _draw_least(random: Random) -> Figures:
    least = random.choice((8.0, 8.5, 9.0, 9.8))
    return {
        "least_g": least,
        "mass_g": round(least - random.randint(16, 55) / 100, 2),
        "error_g": random.randint(4, 8) / 100,
    }


LEAST = Task(
    id="12.1",
    title="Heavy enough for any scales",
    kind="number",
    unit="g",
    draw=_draw_least,
    ask=lambda f: (
        f"The card says: at least {f['least_g']:.2f} g without the motor. Your scales read "
        f"{f['mass_g']:.2f} g, and may be wrong by {f['error_g']:.2f} g either way. How many grams "
        "of clay must you add at least, so that it passes on any scales?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "Is it too light or too heavy? Clay is added."),
        Check(
            "more than clay",
            lambda value, _: value > 2,
            "That is more than a whole motor. You need the difference, not the mass.",
        ),
    ),
    look="what is missing, and what the scales may hide.",
)


def _draw_shift(random: Random) -> Figures:
    return {
        "clay_g": random.randint(30, 50) / 100,
        "arm_mm": random.randint(290, 330),
        "mass_g": random.randint(115, 126) / 10,
    }


SHIFT = Task(
    id="12.2",
    title="Clay in the wrong place",
    kind="number",
    unit="mm",
    draw=_draw_shift,
    ask=lambda f: (
        f"Somebody sticks {f['clay_g']:.2f} g of clay on the tail's end, {f['arm_mm']} mm behind "
        f"the balance point. Now the aeroplane weighs {f['mass_g']:.1f} g, ready to fly. By how "
        "many millimetres does the balance point move? + is back, towards the tail."
    ),
    checks=(
        Check(
            "too far",
            lambda value, _: abs(value) > 60,
            "So far, and it would balance behind the wing. What must the moment go over?",
        ),
        Check("too little", lambda value, _: abs(value) < 1, "You could not feel that. It flies "
              "for five seconds, so it is more."),
    ),
    look="lesson 03: grams times lever, over the whole mass.",
)  # fmt: skip

_TABLE = (
    "It is ready: hand it in",
    "Measure again: one figure is too close to call",
    "Mend first: one figure is outside the rule",
    "Fetch a paper first: the figures are good",
)
READY, CLOSE, OUTSIDE, PAPER = range(4)


def _draw_table(random: Random) -> Figures:
    place = random.randint(0, 3)
    on_mass = random.random() < 0.5
    rooms_g = {CLOSE: (-4, 4), OUTSIDE: (-20, -8)}
    rooms_mm = {CLOSE: (0, 0), OUTSIDE: (-5, -2)}
    mass_room = random.randint(*(rooms_g.get(place, (9, 30)) if on_mass else (9, 30)))
    span_room = random.randint(*(rooms_mm.get(place, (2, 9)) if not on_mass else (2, 9)))
    least_g, most_mm = random.choice((8.0, 9.0, 9.8)), random.choice((450, 460, 465))
    return {
        "least_g": least_g,
        "mass_g": round(least_g + mass_room / 100, 2),
        "most_mm": most_mm,
        "span_mm": most_mm - span_room,
        "mass_error_g": 0.05,
        "span_error_mm": 0.5,
        "drawing": place != PAPER,
        "order": shuffled(random, len(_TABLE)),
    }


TABLE = Task(
    id="12.3",
    title="Read the contest table",
    kind="choice",
    draw=_draw_table,
    ask=lambda f: (
        f"Mass without the motor: {f['mass_g']:.2f} g, the card says at least "
        f"{f['least_g']:.2f} g; your scales may be wrong by {f['mass_error_g']:.2f} g.\n"
        f"Wing span: {f['span_mm']} mm, the card says at most {f['most_mm']} mm; your ruler may "
        f"be wrong by {f['span_error_mm']} mm.\n"
        "Check-in sheet and logbook lie in the box. "
        + ("The drawing too." if f["drawing"] else "The drawing lies at home.")
        + " What now?"
    ),
    choices=_TABLE,
    look="for each line: inside, outside, or nearer to the limit than the error?",
)


def _draw_drift(random: Random) -> Figures:
    return {
        "strip_m": random.randint(5, 9) / 10,
        "strip_s": random.choice((5, 6)),
        "flight_s": random.randint(70, 98),
    }


DRIFT = Task(
    id="12.4",
    title="Where the air carries it",
    kind="number",
    unit="m",
    draw=_draw_drift,
    ask=lambda f: (
        f"A strip of tissue floats {f['strip_m']} m across the hall in {f['strip_s']} s. Your "
        f"aeroplane flies {f['flight_s']} s. By how many metres does the air carry its circle?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "How far is a size; leave the minus away."),
        Check(
            "out of any hall",
            lambda value, _: value > 25,
            "That is longer than most halls. How far does the air go in one second?",
        ),
    ),
    look="metres in one second first, then times the seconds of the flight.",
)


def _draw_window(random: Random) -> Figures:
    return {
        "window_min": random.choice((9, 10, 11)),
        "winding_min": random.choice((2.0, 2.25, 2.5)),
        "flight_s": random.randint(66, 100),
    }


WINDOW = Task(
    id="12.5",
    title="The official window",
    kind="number",
    unit="min",
    draw=_draw_window,
    ask=lambda f: (
        f"You have {f['window_min']} minutes for two official flights. For each you need "
        f"{f['winding_min']:g} minutes to wind, hook up and walk out, and {f['flight_s']} s to "
        "fly. How many minutes are left over at the end?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "A minus would mean that you run out of time. "
              "Are all your figures in minutes?"),
        Check(
            "nothing used",
            lambda value, f: value >= f["window_min"],
            "That is the whole window. Winding and flying take some of it.",
        ),
    ),
    look="sixty seconds are a minute. Everything happens twice.",
)  # fmt: skip

_ROW = ("turns left", "launch torque", "motor number", "what it hit")
_UNKNOWN = (
    "How many turns it used in a second",
    "Whether it had the same power as last week",
    "How often this loop was wound before",
    "Whether it may have been knocked out of trim",
)


def _draw_row(random: Random) -> Figures:
    missing = random.randint(0, 3)
    filled = (
        str(random.randint(260, 420)),
        f"{random.randint(28, 40) / 10:.1f} mN m",
        str(random.randint(1, 6)),
        random.choice(("nothing", "a net", "the wall, softly")),
    )
    return {
        "turns": random.randrange(1000, 1160, 10),
        "time_s": random.randint(62, 98),
        "row": tuple("" if place == missing else one for place, one in enumerate(filled)),
        "order": shuffled(random, len(_UNKNOWN)),
    }


def _ask_row(f: Figures) -> str:
    cells = "; ".join(
        f"{name}: {one or '(empty)'}" for name, one in zip(_ROW, f["row"], strict=True)
    )
    return (
        f"One row of a logbook. Turns on: {f['turns']}; {cells}; time: {f['time_s']} s. "
        "Which question can nobody answer from this row?"
    )


ROW = Task(
    id="12.6",
    title="A row that is not complete",
    kind="choice",
    draw=_draw_row,
    ask=_ask_row,
    choices=_UNKNOWN,
    look="find the empty cell. What is that figure good for?",
)

_SECOND = (
    "The same trim, with less torque",
    "The same trim, with a little more torque",
    "Pencil marks first, then one low-power flight",
    "The same trim and torque, launched further upwind",
)
LESS, MORE, MARKS, UPWIND = range(4)
_FIRST = {
    LESS: "It topped at {high} m, a hand under a lamp at {lamp} m: {time} s. Nothing was hit",
    MORE: "It topped at {low} m, with the lowest lamp at {lamp} m: {time} s. Nothing was hit",
    MARKS: "It met the wall bars nose first after {time} s",
    UPWIND: "It topped at {top} m, under a lamp at {lamp} m. The circle slid across the hall and "
    "ended {near} m from the far wall after {time} s. Nothing was hit",
}


def _draw_second(random: Random) -> Figures:
    place = random.randint(0, 3)
    lamp = random.randint(14, 18) / 2
    told = _FIRST[place].format(
        lamp=lamp,
        high=round(lamp - random.choice((0.1, 0.2)), 1),
        low=lamp - random.randint(5, 7) / 2,
        top=round(lamp - random.randint(6, 9) / 10, 1),
        near=random.choice((0.5, 1, 1.5)),
        time=random.randint(20, 40) if place == MARKS else random.randint(62, 92),
    )
    return {"place": place, "told": told, "order": shuffled(random, len(_SECOND))}


SECOND = Task(
    id="12.7",
    title="The case: between two official flights",
    kind="choice",
    draw=_draw_second,
    ask=lambda f: (
        f"First official flight. {f['told']}. In practice it flew well at this torque. You have "
        "four minutes. What is the second flight?"
    ),
    choices=_SECOND,
    look="what ended the flight, or what did it leave unused: height, room, or the trim?",
)

LESSON = Lesson(
    id="12",
    title="Contest day",
    tasks=(LEAST, SHIFT, TABLE, DRIFT, WINDOW, ROW, SECOND),
)
