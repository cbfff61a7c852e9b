"""Keys and named mistakes of lesson 12, contest day."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit import rules
from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

READY, CLOSE, OUTSIDE, PAPER = range(4)
LESS, MORE, MARKS, UPWIND = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "12.1": least,
        "12.2": shift,
        "12.3": table,
        "12.4": drift,
        "12.5": window,
        "12.6": row,
        "12.7": second,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def least(f: Figures) -> Key:
    short = f["least_g"] - f["mass_g"]
    return Key(
        value=short + f["error_g"],
        tolerance=0.011,
        why="What is missing, and once more what the scales may hide.",
        mistakes=(
            Mistake(
                name="the scales are exact",
                value=short,
                words="Then it passes on your scales. Theirs may read less.",
                share=0.5,
            ),
            Mistake(
                name="the error taken away",
                value=short - f["error_g"],
                words="That is the lucky case. Ask for the unlucky one: your scales read too much.",
                share=0.25,
            ),
            Mistake(
                name="the error counted twice",
                value=short + 2 * f["error_g"],
                words="That passes. Each gram costs seconds, and once the error is enough.",
                share=0.5,
            ),
        ),
    )


def shift(f: Figures) -> Key:
    good = f["clay_g"] * f["arm_mm"] / f["mass_g"]
    return Key(
        value=good,
        tolerance=0.3,
        why="Grams times lever, over the whole mass; towards the clay.",
        mistakes=(
            Mistake(
                name="balance moves away from the clay",
                value=-good,
                words="The size is good. The balance point moves towards what is added.",
                share=0.5,
            ),
            Mistake(
                name="a moment is not a distance",
                value=f["clay_g"] * f["arm_mm"],
                words="That is the moment. Put it over the mass of the whole aeroplane.",
                share=0.25,
            ),
            Mistake(
                name="the lever left out",
                value=100 * f["clay_g"] / f["mass_g"],
                words="That is the clay in percent of the mass. Far back it counts for more.",
            ),
        ),
    )


def table(f: Figures) -> Key:
    states = {
        rules.judged(
            f["mass_g"],
            rules.Limit("mass_without_motor_g", least=f["least_g"]),
            f["mass_error_g"],
        ),
        rules.judged(
            f["span_mm"], rules.Limit("wing_span_mm", most=f["most_mm"]), f["span_error_mm"]
        ),
    }
    good = (
        OUTSIDE
        if "fail" in states
        else CLOSE
        if "measure again" in states
        else READY
        if f["drawing"]
        else PAPER
    )
    return choice_key(
        f,
        good,
        "Each line against its rule, with the reading error beside it, and then the papers.",
        {
            READY: (
                "handed in unread",
                "Go through the lines once more, one by one. One of them says stop.",
                0.0,
            ),
            CLOSE: (
                "reading error where there is none",
                "Is the distance to the limit smaller than the reading error? In which line?",
                0.25,
            ),
            OUTSIDE: (
                "mended what may be well",
                "Is a figure really outside by more than its error? Measure before you cut.",
                0.25,
            ),
            PAPER: (
                "papers before figures",
                "Look at the papers again, and at the figures. Which of them stops you?",
                0.0,
            ),
        },
    )


def drift(f: Figures) -> Key:
    good = f["strip_m"] / f["strip_s"] * f["flight_s"]
    return Key(
        value=good,
        tolerance=0.3,
        why="Metres in one second, times the seconds of the flight.",
        mistakes=(
            Mistake(
                name="as if the strip moved one metre",
                value=f["flight_s"] / f["strip_s"],
                words="So often the strip's time fits in. Each time it goes its own way, not a "
                "metre.",
                share=0.25,
            ),
            Mistake(
                name="the strip's way in one second",
                value=f["strip_m"] * f["flight_s"],
                words="The strip needed some seconds for that way. Share it out first.",
                share=0.25,
            ),
            Mistake(
                name="only half the flight drifts",
                value=good / 2,
                words="That is where to start it from. The air carries it the whole flight long.",
                share=0.5,
            ),
        ),
    )


def window(f: Figures) -> Key:
    flight_min = f["flight_s"] / 60
    return Key(
        value=f["window_min"] - 2 * (f["winding_min"] + flight_min),
        tolerance=0.06,
        why="Winding and flying, each twice, all in minutes.",
        mistakes=(
            Mistake(
                name="one flight only",
                value=f["window_min"] - f["winding_min"] - flight_min,
                words="That is after the first flight. There are two.",
                share=0.25,
            ),
            Mistake(
                name="the flying forgotten",
                value=f["window_min"] - 2 * f["winding_min"],
                words="The clock runs while it flies as well.",
                share=0.25,
            ),
            Mistake(
                name="the winding forgotten",
                value=f["window_min"] - 2 * flight_min,
                words="Winding takes longer than flying. That is where teams lose flights.",
                share=0.25,
            ),
            Mistake(
                name="a hundred seconds to a minute",
                value=f["window_min"] - 2 * (f["winding_min"] + f["flight_s"] / 100),
                words="A minute has sixty seconds. Seconds are no decimals of a minute.",
                share=0.25,
            ),
        ),
    )


def row(f: Figures) -> Key:
    return choice_key(
        f,
        f["row"].index(""),
        "The empty cell holds the one figure that question needs.",
        {
            0: ("turns left not seen", "Turns on, turns left and time: are all three there?", 0.0),
            1: (
                "turns taken for power",
                "Torque is the power. Is it written down here? Then it can be compared.",
                0.25,
            ),
            2: (
                "motor number not seen",
                "The number leads to the loop's own list. Is it there?",
                0.0,
            ),
            3: (
                "a hit not seen",
                "What it hit stands in a cell of its own. Is that one empty?",
                0.0,
            ),
        },
    )


def second(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "What ended the first flight, or what it left unused, says what the second one needs.",
        {
            LESS: (
                "power taken off where it was not too much",
                "Less torque costs height. Was it too high, or was it something else?",
                0.25,
            ),
            MORE: (
                "always more power",
                "More torque climbs higher. Is there room above, and is that what was missing?",
                0.0,
            ),
            MARKS: (
                "trim doubted after a good flight",
                "Nothing was knocked. A trim that was good stays as it is.",
                0.25,
            ),
            UPWIND: (
                "the air blamed",
                "Did the circle slide across the hall? If not, the place of launch was fine.",
                0.25,
            ),
        },
    )


WORDS_KEY = {
    2: "Keeps all flights in the log **and** says what the bad ones are good for: they show what "
    "a change did, how far flights scatter, or what was knocked.",
    1: "Keeps all flights, without a reason, or because the rules say so.",
    0: "Agrees to leave the bad ones out.",
}

SENTENCES = {
    2: "Write down the bad ones too, because only they show what a change did and how far our "
    "flights scatter; with the good ones alone we would believe in luck.",
    1: "All flights belong in the log, it is the rule.",
    0: "Yes, nobody wants to read about crashes.",
}
