"""Lesson 01, straight and square: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled
from trimkit.lesson.tasks.start import CLEAN_FLIGHTS

# Seconds that the trainer flies with one thing wrong: 1157 turns, exact launch, still air.
# The fault's name and size are those of `trimkit.faults`.
GOOD_S = 97.9
FLIES_S = {
    ("bowed-boom", 0.5): 4.3,
    ("right-panel-washed-out", 2.0): 14.3,
    ("torn-panel", 0.15): 44.7,
    ("loose-tail", 0.5): 48.4,
    ("tired-saddle-bands", 0.7): 53.6,
    ("bent-shaft", 3.5): 54.4,
    ("slack-covering", 0.03): 84.9,
    ("left-panel-washed-out", 2.0): 87.1,
    ("unequal-blades", 8.0): 89.7,
    ("blades-out-of-track", 3.0): 95.7,
    ("out-of-balance-propeller", 4.0): 98.8,
    ("skewed-wing", 2.0): 98.7,
    ("skewed-wing", 5.0): 113.1,
    ("skewed-wing", 8.0): 2.0,
}

# The trainer with its shaft bent by 3.5°, flown by `start.repeat`'s hand: the seeds that hit
# nothing, 1, 2, 4 to 10.
BENT_FLIGHTS_S = (63.6, 54.3, 61.0, 49.1, 43.6, 47.6, 57.6, 59.3, 56.0)

_RATIO = Check(
    "ratio, not degrees",
    lambda value, _: abs(value) < 0.2,
    "That is very small. A height over a length is a ratio. Times 57 turns it into degrees.",
)
_TOO_MUCH = Check(
    "too much",
    lambda value, _: abs(value) > 15,
    "You would see that from across the hall. Look at the decimal point.",
)


def _draw_twist(random: Random) -> Figures:
    low = random.randint(2, 6) / 2
    high = low + random.randint(5, 10) / 2
    leading, trailing = random.choice(((low, high), (high, low)))
    return {
        "leading_mm": leading,
        "trailing_mm": trailing,
        "tip_chord_mm": random.randint(80, 86),
        "root_chord_mm": random.randint(100, 106),
    }


TWIST = Task(
    id="01.1",
    title="How much twist?",
    kind="number",
    unit="°",
    draw=_draw_twist,
    ask=lambda f: (
        "You hold the middle of a wing panel flat on the table. At the tip the leading edge is "
        f"{f['leading_mm']} mm above the table, the trailing edge {f['trailing_mm']} mm. The "
        f"chord is {f['root_chord_mm']} mm in the middle and {f['tip_chord_mm']} mm at the tip. "
        "How many degrees of twist are there at the tip? Trailing edge down, wash-in, is +."
    ),
    checks=(_RATIO, _TOO_MUCH),
    look="the worked example: leading edge less trailing edge, over the chord there, times 57.",
)


def _draw_skew(random: Random) -> Figures:
    middle = random.randint(380, 420) / 2
    way = random.choice((-1, 1)) * random.randint(8, 20) / 2
    return {
        "span_mm": random.randint(440, 480),
        "left_mm": middle - way,
        "right_mm": middle + way,
    }


SKEW = Task(
    id="01.2",
    title="Is the wing square?",
    kind="number",
    unit="°",
    draw=_draw_skew,
    ask=lambda f: (
        "A long ruler lies along the tailplane's leading edge. From each wing tip you measure "
        f"straight back to it: left {f['left_mm']} mm, right {f['right_mm']} mm. The tips are "
        f"{f['span_mm']} mm apart. By how many degrees is the wing turned? Right tip ahead is +."
    ),
    checks=(_RATIO, _TOO_MUCH),
    look="the drawing from above: which tip is ahead, by how much, over what length?",
)
_VERDICTS = (
    "It helped",
    "It made things worse",
    "Nobody can tell yet: fly the same again",
    "Nobody can tell yet: mend a second thing, then compare",
)
_CHANGES = (
    "straightens the propeller shaft",
    "puts on new bands",
    "glues the tail joint",
)


def _apart(before: list[float], after: list[float]) -> bool:
    return min(after) > max(before) or max(after) < min(before)


def _draw_helped(random: Random) -> Figures:
    good, poor = [time_s for time_s, _ in CLEAN_FLIGHTS], list(BENT_FLIGHTS_S)
    first, then = random.choice(((poor, good), (good, poor), (good, good), (poor, poor)))
    while True:
        before, after = random.sample(first, 3), random.sample(then, 2)
        if _apart(before, after) == (first is not then):
            break
    return {
        "before_s": tuple(round(time_s) for time_s in before),
        "after_s": tuple(round(time_s) for time_s in after),
        "change": random.choice(_CHANGES),
        "order": shuffled(random, len(_VERDICTS)),
    }


WORTH = Task(
    id="01.3",
    title="From lesson 00: did it help?",
    kind="choice",
    draw=_draw_helped,
    ask=lambda f: (
        f"Three flights: {f['before_s'][0]} s, {f['before_s'][1]} s, {f['before_s'][2]} s. Then "
        f"the team {f['change']}. Two flights, same turns: {f['after_s'][0]} s and "
        f"{f['after_s'][1]} s. What do you say?"
    ),
    choices=_VERDICTS,
    look="do the two times lie among the three, or well outside them?",
)

TAPE = Task(
    id="01.4",
    title="Tape on the light blade",
    kind="number",
    unit="mg",
    draw=lambda random: {
        "light_g": random.randint(80, 100) / 100,
        "more_g": random.randint(5, 10) / 100,
        "middle_mm": random.randint(50, 65),
        "tape_mm": random.randint(92, 110),
    },
    ask=lambda f: (
        f"One blade weighs {f['light_g']:.2f} g, the other {f['light_g'] + f['more_g']:.2f} g. "
        f"Each balances on a pin {f['middle_mm']} mm from the shaft. You put tape on the light "
        f"blade, {f['tape_mm']} mm from the shaft. How many milligrams of tape? 1 g is 1000 mg."
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "Tape weighs more than nothing."),
        Check(
            "grams, not milligrams",
            lambda value, _: 0 < value < 1,
            "No tape is as light as that. The question asks for milligrams.",
        ),
        Check(
            "as heavy as a blade",
            lambda value, f: value > 500 * f["light_g"],
            "That is half a blade of tape. Look at the difference of the two blades only.",
        ),
    ),
    look="the seesaw: too much here, times its arm, is tape there, times its arm.",
)

SAVED = Task(
    id="01.5",
    title="What two minutes are worth",
    kind="number",
    unit="min",
    draw=lambda random: {
        "flights": random.randint(3, 7),
        "flight_min": random.randint(5, 7),
        "look_min": random.choice((2.0, 2.5, 3.0)),
    },
    ask=lambda f: (
        f"Winding, flying, fetching and writing take {f['flight_min']} minutes for each flight. "
        f"Last week a team flew {f['flights']} flights before it found its loose tail. This week "
        f"it looks once before the first flight: {f['look_min']:g} minutes. Gluing takes as long "
        "either way. How many minutes does the look save?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "That would make the look a loss. Is it one?"),
        Check(
            "more than an evening",
            lambda value, _: value > 90,
            "That is more than a whole hall evening.",
        ),
        Check(
            "hours, not minutes",
            lambda value, _: 0 <= value < 1,
            "That is less than a minute. The question asks for minutes.",
        ),
    ),
    look="what the wasted flights took, and what the look took.",
)

_FIRST = (
    "Wiggle every joint, then sight along the boom and the wing",
    "Balance the propeller on a pin",
    "Weigh the aeroplane",
    "Fly it at full turns and see what happens",
)
_SEEN = (
    "It comes out of its box after a week",
    "It hit the wall a minute ago",
    "It is new from the building board",
)

FIRST = Task(
    id="01.6",
    title="Two minutes: what first?",
    kind="choice",
    draw=lambda random: {
        "seen": random.choice(_SEEN),
        "minutes": random.randint(2, 3),
        "order": shuffled(random, len(_FIRST)),
    },
    ask=lambda f: (
        f"{f['seen']}. You have {f['minutes']} minutes before your flight. What do you do first?"
    ),
    choices=_FIRST,
    look="the table: what each fault leaves of the flight, and how long its look takes.",
)

_CAUSES = (
    "Loose tail joint",
    "Right tip washed out",
    "Bent propeller shaft",
    "Tired wing bands",
)
# What the bench reads when all is well, its error, and what the fault adds.
_BENCH = {
    "tail_mm": (0.5, 0.5, 3.0),
    "tip_mm": (3.0, 0.5, 3.0),
    "spin_s": (5.0, 1.0, -3.0),
    "wing_mm": (1.0, 1.0, 4.0),
}
_CAUSE_FLIES_S = (
    FLIES_S["loose-tail", 0.5],
    FLIES_S["right-panel-washed-out", 2.0],
    FLIES_S["bent-shaft", 3.5],
    FLIES_S["tired-saddle-bands", 0.7],
)


def _draw_case(random: Random) -> Figures:
    cause = random.randrange(len(_CAUSES))
    drawn: dict[str, object] = {"seen_s": round(_CAUSE_FLIES_S[cause])}
    for place, (name, (card, error, fault)) in enumerate(_BENCH.items()):
        drawn[f"card_{name}"] = card
        slip = random.choice((0.0, error, -error))
        drawn[name] = max(card + slip, 0.0) if place != cause else card + fault
    return {**drawn, "order": shuffled(random, len(_CAUSES))}


CASE = Task(
    id="01.7",
    title="The case: a fault you do not know",
    kind="choice",
    draw=_draw_case,
    ask=lambda f: (
        f"The card says {GOOD_S:.0f} s. Today it flew {f['seen_s']} s, twice. So you look.\n"
        f"Boom's tail end moves by: card {f['card_tail_mm']} mm, today {f['tail_mm']} mm, good to "
        "half a millimetre.\n"
        f"Right tip's trailing edge over the table: card {f['card_tip_mm']} mm, today "
        f"{f['tip_mm']} mm, good to half a millimetre.\n"
        f"Propeller, flicked, no rubber, spins on for: card {f['card_spin_s']:.0f} s, today "
        f"{f['spin_s']:.0f} s, good to one second.\n"
        f"Wing tip moves before the stick does: card {f['card_wing_mm']:.0f} mm, today "
        f"{f['wing_mm']:.0f} mm, good to one millimetre.\n"
        "What is wrong?"
    ),
    choices=_CAUSES,
    look="put each reading beside its card. Which one is off by more than its error?",
)

LESSON = Lesson(
    id="01",
    title="Straight and square: look before you fly",
    tasks=(TWIST, SKEW, WORTH, TAPE, SAVED, FIRST, CASE),
)
