"""Lesson 10, the clinic: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.case import FLIGHT_MINUTES, LOOK_MINUTES
from trimkit.lesson.task import Check, Figures, Lesson, Task, least_gap, shuffled
from trimkit.log import CERTAINTY

# The trainer at 784 turns with its shim too thin by .8 mm, and what two changes make of it:
# change of shim in mm, of the wing's station in mm, and the seconds it flies.
TURNS = 784
DIVE_MM, BACK_MM = -0.8, 5.0
TWO_CHANGES = {(0.0, 0.0): 3.7, (0.8, 5.0): 9.5, (0.8, 0.0): 31.9, (0.0, 5.0): 2.9}
STRIP_S = 4.0

# What a sign looks like on the trainer when all is well, and with the one fault that shows it:
# fault and its size, turns, feature, without, with.
SIGNS = (
    ("tired-saddle-bands", 0.7, 1173, "rock_deg", 0.1, 2.8),
    ("unequal-blades", 8.0, 784, "shake_deg_s", 1.0, 6.8),
    ("soft-stick", 0.08, 1336, "early_nose_deg", 13.9, -0.4),
    ("too-little-decalage", 0.8, 784, "early_nose_deg", 5.0, -9.1),
)

_PAIRS = ("Flights 1 and 3", "Flights 2 and 3", "Flights 2 and 4", "No two of these flights")
FIRST, SECOND, THIRD, NONE = range(4)


def _draw_pair(random: Random) -> Figures:
    place = random.randint(0, 3)
    shim, wing, turns = (
        random.choice((0.4, 0.6, 0.8)),
        random.randint(3, 7),
        random.choice((80, 100, 120)),
    )
    asked = ("the shim", "the wing's place", "the turns", "the fin")[place]
    return {
        "shim_mm": shim,
        "wing_mm": wing,
        "turns": turns,
        "place": place,
        "asked": asked,
        "order": shuffled(random, len(_PAIRS)),
    }


PAIR = Task(
    id="10.1",
    title="Which two flights?",
    kind="choice",
    draw=_draw_pair,
    ask=lambda f: (
        "Flight 1: as on the card.\n"
        f"Flight 2: shim +{f['shim_mm']} mm, wing back {f['wing_mm']} mm.\n"
        f"Flight 3: shim +{f['shim_mm']} mm.\n"
        f"Flight 4: shim +{f['shim_mm']} mm, wing back {f['wing_mm']} mm, {f['turns']} turns "
        "more.\n"
        f"Which two flights show what {f['asked']} alone does?"
    ),
    choices=_PAIRS,
    look="a fair pair differs in one thing. Write the four flights in a column.",
)


def _draw_minutes(random: Random) -> Figures:
    return {
        "looks": random.choice((4, 5, 7)),  # 3 or 6 would cost as much as one flight or two
        "ruler_min": 4,
        "flights": random.randint(2, 4),
        "repair_min": random.randint(8, 15),
    }


MINUTES = Task(
    id="10.2",
    title="What a case costs",
    kind="number",
    unit="min",
    draw=_draw_minutes,
    ask=lambda f: (
        f"A pair takes {f['looks']} looks of {LOOK_MINUTES:g} min, one ruler reading of "
        f"{f['ruler_min']} min and {f['flights']} flights of {FLIGHT_MINUTES:g} min. Then a repair "
        f"of {f['repair_min']} min, a flight after it, and one more flight with nothing changed. "
        "How many minutes is that?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "Everything costs minutes. Add them up."),
        Check("hours", lambda value, _: value > 240, "That is a whole afternoon. Look once more."),
    ),
    look="list each action with its minutes, one below the other.",
)


def _draw_empty_look(random: Random) -> Figures:
    return {
        "of_100": random.choice((*range(34, 47), *range(62, 77))),
        "place": random.choice(("tail", "wing", "propeller")),
    }


EMPTY_LOOK = Task(
    id="10.3",
    title="Nothing seen. Nothing there?",
    kind="number",
    unit="in 100",
    draw=_draw_empty_look,
    ask=lambda f: (
        f"Of 100 aeroplanes that fly like yours, {f['of_100']} have something wrong at the "
        f"{f['place']}. An eye finds it in 80 of 100. Where nothing is wrong, it sees nothing in "
        f"95 of 100. You look at your {f['place']}: nothing. How many in 100 such aeroplanes, "
        "with an empty look, have the fault all the same?"
    ),
    checks=(
        Check(
            "out of range",
            lambda value, _: not 0 <= value <= 100,
            "It is a number in 100: none at least, all of them at most.",
        ),
        Check(
            "share",
            lambda value, _: 0 < value < 1,
            "That looks like a share. Times 100 makes it so many in 100.",
        ),
    ),
    look="draw the 100 as two heaps. From each heap keep those with an empty look.",
)

_CAUSES = (
    "Tired bands: the wing sits loose",
    "One blade stands steeper than the other",
    "A stick that bends under the loop",
    "Too little decalage",
)
BANDS, BLADES, SOFT, LESS = range(4)
_SEEN = (
    "The wing rocks by {much}°, the nose does not. It is worse with more power",
    "The nose shakes and it buzzes, at low and at high power. The wing is quiet",
    "Good at low power. With {turns} turns the nose drops, though the balance is as on the card",
    "Nose down from the hand in {flights} flights, at low and at high power alike",
)


def _draw_sign(random: Random) -> Figures:
    place = random.randint(0, 3)
    told = _SEEN[place].format(
        much=random.choice((2, 3)),
        turns=random.choice((1300, 1320, 1340)),
        flights=random.choice(("two", "three")),
    )
    return {"place": place, "seen": told, "order": shuffled(random, len(_CAUSES))}


SIGN = Task(
    id="10.4",
    title="What does the sign speak for?",
    kind="choice",
    draw=_draw_sign,
    ask=lambda f: f"{f['seen']}. Of these four, which cause is likeliest now?",
    choices=_CAUSES,
    look="which part moves, and does it come with power or is it always there?",
)

_NEXT = (
    "Fly once more with nothing changed",
    "Put one of the two back, and fly",
    "Measure what tells the two causes apart",
    "Repair it, and fly with the same turns",
)
AGAIN, BACK, MEASURE, REPAIR = range(4)
_STATES = (
    "You repaired the one thing that you were fairly sure of. It flew once, {time} s, as on the "
    "card",
    "You moved the shim and the wing together. It flew {time} s instead of 4 s",
    "It dived twice, {time} s on average. It is the decalage or the balance point, as likely one "
    "as the other",
    "It dived twice, {time} s on average. The balance point is as on the card; the decalage is "
    "1.5° less, and the ruler is good to half a degree",
)


def _draw_next(random: Random) -> Figures:
    place = random.randint(0, 3)
    time = random.randint(26, 34) if place == AGAIN else random.randint(30, 60) / 10
    if place == BACK:
        time = random.randint(8, 14)
    told = _STATES[place].format(time=time)
    return {"place": place, "told": told, "order": shuffled(random, len(_NEXT))}


NEXT = Task(
    id="10.5",
    title="What next?",
    kind="choice",
    draw=_draw_next,
    ask=lambda f: f"{f['told']}. What is your next step?",
    choices=_NEXT,
    look="how many causes are left, and what is the cheapest thing that splits them?",
)


def _draw_sure(random: Random) -> Figures:
    """Draw until no usual slip gives the same number as another."""
    while True:
        word = random.choice(("fairly sure", "would bet my motor"))
        said = random.choice((16, 20, 25))
        low, high = (0.3, 0.6) if word == "fairly sure" else (0.5, 0.8)
        promised = round(100 * CERTAINTY[word])
        count = random.randint(round(low * said), round(high * said))
        came = 100 * count / said
        values = (promised - came, came, promised - count, 0.0)
        if least_gap(values) > 2:
            return {"word": word, "promised": promised, "said": said, "came": count}


SURE = Task(
    id="10.6",
    title="Sure, and too sure",
    kind="number",
    unit="in 100",
    draw=_draw_sure,
    ask=lambda f: (
        f"“{f['word'].capitalize()}” means: true in {f['promised']} of 100. A pupil said it "
        f"{f['said']} times, and {f['came']} came true. By how many in 100 is this pupil too sure?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "Fewer came true than were promised: too sure."),
        Check(
            "share",
            lambda value, _: 0 < value < 1,
            "That looks like a share. Times 100 makes it so many in 100.",
        ),
    ),
    look="how many in 100 came true? Then take that from what was promised.",
)

_SAID = (
    "Decalage: repair that",
    "Balance point: repair that",
    "Nothing is wrong: these flights are scatter",
    "Cannot tell yet: measure both first",
)
DECALAGE, BALANCE, SCATTER, UNKNOWN = range(4)


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 3)
    card_s = random.randint(30, 36)
    dives = place != SCATTER
    times = [random.randint(32, 60) / 10 for _ in range(3)] if dives else [
        card_s + part for part in random.sample((-3, -2, -1, 1, 2), 3)
    ]  # fmt: skip
    card_deg, card_mm = random.randint(13, 17) / 10, random.randint(42, 47)
    off_deg = random.randint(12, 20) / 10 if place == DECALAGE else random.choice((0.0, 0.1, 0.2))
    off_mm = random.randint(5, 8) if place == BALANCE else random.choice((-1, 0, 1))
    return {
        "place": place,
        "card_s": card_s,
        "times_s": times,
        "card_deg": card_deg,
        "deg": None if place == UNKNOWN else round(card_deg - off_deg, 1),
        "card_mm": card_mm,
        "mm": None if place == UNKNOWN else card_mm - off_mm,
        "order": shuffled(random, len(_SAID)),
    }


def _ask_case(f: Figures) -> str:
    def read(value: float | None, unit: str) -> str:
        return "not measured yet" if value is None else f"{value:g}{unit}"

    times = ", ".join(f"{one:g}" for one in f["times_s"])
    return (
        f"Card: {f['card_s']} s at low power, decalage {f['card_deg']}°, balances {f['card_mm']} "
        "mm behind the wing's leading edge.\n"
        f"Today, the same turns: {times} s.\n"
        f"Decalage: {read(f['deg'], '°')}, good to .5°. Balance point: {read(f['mm'], ' mm')}, "
        "good to 1 mm. What do you say?"
    )


CASE = Task(
    id="10.7",
    title="The case: what do you say?",
    kind="choice",
    draw=_draw_case,
    ask=_ask_case,
    choices=_SAID,
    look="is each reading further from the card than its error? And are the flights?",
)

LESSON = Lesson(
    id="10",
    title="The clinic",
    tasks=(PAIR, MINUTES, EMPTY_LOOK, SIGN, NEXT, SURE, CASE),
)
