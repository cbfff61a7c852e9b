"""Keys and named mistakes of lesson 10, the clinic."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.diagnosis.readings import FALSE_ALARM, FOUND
from trimkit.lesson.case import FLIGHT_MINUTES, LOOK_MINUTES
from trimkit.lesson.task import Figures


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "10.1": pair,
        "10.2": minutes,
        "10.3": empty_look,
        "10.4": sign,
        "10.5": following,
        "10.6": sure,
        "10.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def pair(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "A fair pair differs in the one thing that is asked for.",
        {
            0: ("pair that shows the shim", "Those two differ in the shim alone.", 0.25),
            1: (
                "pair that shows the wing",
                "Those two differ in the wing's place alone.",
                0.25,
            ),
            2: ("pair that shows the turns", "Those two differ in the turns alone.", 0.25),
            3: (
                "a fair pair not seen",
                "There is one. Lay the flights in pairs and count what differs.",
                0.0,
            ),
        },
    )


def minutes(f: Figures) -> Key:
    before = f["looks"] * LOOK_MINUTES + f["ruler_min"] + f["flights"] * FLIGHT_MINUTES
    good = before + f["repair_min"] + 2 * FLIGHT_MINUTES
    return Key(
        value=good,
        tolerance=0.5,
        why="Looks, reading, flights, the repair and its two flights.",
        mistakes=(
            Mistake(
                name="one good flight proves it",
                value=good - FLIGHT_MINUTES,
                words="One flight after the repair may be luck. There is one more.",
                share=0.5,
            ),
            Mistake(
                name="a repair is its own proof",
                value=good - 2 * FLIGHT_MINUTES,
                words="A repair must be flown, and flown once more.",
                share=0.25,
            ),
            Mistake(
                name="looks cost nothing",
                value=good - f["looks"] * LOOK_MINUTES,
                words="Looking costs minutes, too. It is only cheaper than flying.",
                share=0.25,
            ),
        ),
    )


def empty_look(f: Figures) -> Key:
    there = f["of_100"] * (1 - FOUND)
    fine = (100 - f["of_100"]) * (1 - FALSE_ALARM)
    return Key(
        value=100 * there / (there + fine),
        tolerance=0.9,
        why="Of all empty looks you took the part in which something is wrong all the same.",
        mistakes=(
            Mistake(
                name="an eye misses nothing",
                value=0.0,
                words="An eye misses one fault in five. Some of the empty looks are such.",
            ),
            Mistake(
                name="an empty look tells nothing",
                value=float(f["of_100"]),
                words="That was before the look. The empty look makes it less likely.",
            ),
            Mistake(
                name="only the misses counted",
                value=there,
                words="So many of all 100. But not all 100 have an empty look. Put it over those.",
                share=0.5,
            ),
            Mistake(
                name="the eye's misses taken for the answer",
                value=100 * (1 - FOUND),
                words="That is how often an eye misses a fault that is there. How many are there?",
                share=0.25,
            ),
        ),
    )


def sign(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "The part that moves, and when, leave one of the four.",
        {
            0: (
                "wing blamed for a quiet wing",
                "A loose wing rocks. Does this one?",
                0.0,
            ),
            1: (
                "propeller blamed without a shake",
                "Unequal blades shake the nose at every power. Do they here?",
                0.0,
            ),
            2: (
                "stick blamed at every power",
                "A stick bends with the torque. Is low power good here?",
                0.25,
            ),
            3: (
                "decalage blamed for what comes with power",
                "Too little decalage dives at every power. Does it here?",
                0.25,
            ),
        },
    )


def following(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "The step that splits what is left, for the fewest minutes.",
        {
            0: (
                "flown again where it tells nothing new",
                "You know how it flies. What would the same flight split?",
                0.25,
            ),
            1: (
                "put back where one thing was changed",
                "That is for two changes at once. Were there two here?",
                0.0,
            ),
            2: (
                "measured what is known",
                "Which two causes are left? If one is left, or none, no reading splits them.",
                0.25,
            ),
            3: (
                "the first answer is the fault",
                "Is one cause clearly likeliest, and not repaired yet? Else it is a guess.",
                0.0,
            ),
        },
    )


def sure(f: Figures) -> Key:
    came = 100 * f["came"] / f["said"]
    return Key(
        value=f["promised"] - came,
        tolerance=0.6,
        why="What was promised, less what came, both in 100.",
        mistakes=(
            Mistake(
                name="what came true, not the difference",
                value=came,
                words="So many in 100 came true. How many were promised?",
                share=0.5,
            ),
            Mistake(
                name="counted, not in 100",
                value=f["promised"] - f["came"],
                words="Promised is in 100, yours is a count. Put both in 100 first.",
                share=0.25,
            ),
            Mistake(
                name="nobody can be too sure",
                value=0.0,
                words="Fewer came true than the word promises. That is too sure.",
            ),
        ),
    )


def case(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "Each reading against the card and its error, and the flights against their scatter.",
        {
            0: (
                "decalage blamed within the ruler's error",
                "Is the decalage off by more than its error, and was it measured?",
                0.0,
            ),
            1: (
                "balance blamed within its error",
                "Is the balance point off by more than its error, and was it measured?",
                0.0,
            ),
            2: (
                "a dive taken for scatter",
                "Flights scatter by a tenth. How far off are these?",
                0.0,
            ),
            3: (
                "cannot tell where it can be told",
                "That is a good answer when nothing was measured. Was it?",
                0.25,
            ),
        },
    )


WORDS_KEY = {
    2: "Says that something else can look or fly the same, or that an eye can be wrong, **and** "
    "names a step that decides it: a reading, or the repair and two flights.",
    1: "Says only that one must look further, or only that an eye can err.",
    0: "Agrees that it is found.",
}

SENTENCES = {
    2: "An eye is wrong now and then and another fault would dive as well, so I would measure the "
    "balance point, and believe it when it is repaired and flies well twice.",
    1: "Look at the rest too, it may be something else.",
    0: "Yes, that was it.",
}
