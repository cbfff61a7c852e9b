"""Keys and named mistakes of lesson 06, making the circle."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

DEGREES = 180 / math.pi
ROUND = 3.14  # as the question gives it
STOOD, DRIFTS, LITTLE, MUCH = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "06.1": speed,
        "06.2": stand,
        "06.3": fin,
        "06.4": drift,
        "06.5": setting,
        "06.6": pair,
        "06.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def speed(f: Figures) -> Key:
    across, lap = f["across_m"], f["lap_s"]
    return Key(
        value=ROUND * across / lap,
        tolerance=0.04,
        why="Once round, over the time of a round.",
        mistakes=(
            Mistake(
                name="across taken for the radius",
                value=2 * ROUND * across / lap,
                words="Across is the whole way through the middle. Twice is for half of it.",
                share=0.5,
            ),
            Mistake(
                name="across taken for the round",
                value=across / lap,
                words="It does not fly across, it flies round.",
                share=0.25,
            ),
            Mistake(
                name="divided the wrong way round",
                value=lap / (ROUND * across),
                words="That is seconds for a metre. Metres for a second is asked.",
                share=0.25,
            ),
        ),
    )


def stand(f: Figures) -> Key:
    across, width = f["across_m"], f["width_m"]
    return Key(
        value=across / 2,
        tolerance=0.1,
        why="The middle of the circle lies half its width to your left.",
        mistakes=(
            Mistake(
                name="the whole circle",
                value=across,
                words="Its middle is only half a circle away from you.",
                share=0.5,
            ),
            Mistake(
                name="room beside the circle",
                value=(width - across) / 2,
                words="That is how much room is left on each side. Where do you stand?",
                share=0.5,
            ),
            Mistake(
                name="a quarter of the hall",
                value=width / 4 + across / 4,
                words="That mixes hall and circle. The circle alone decides.",
                share=0.0,
            ),
        ),
    )


def fin(f: Figures) -> Key:
    chord, wanted = f["chord_mm"], f["wanted_deg"]
    return Key(
        value=wanted / DEGREES * chord,
        tolerance=0.04,
        why="The angle over 57.3, taken of the chord.",
        mistakes=(
            Mistake(
                name="degrees taken for millimetres",
                value=wanted,
                words="That is the angle. How far the edge goes depends on the chord.",
                share=0.0,
            ),
            Mistake(
                name="the 57 forgotten",
                value=wanted * chord,
                words="Divide by 57.3 too: a degree is a small share of the chord.",
                share=0.25,
            ),
            Mistake(
                name="ten times too far",
                value=10 * wanted / DEGREES * chord,
                words="The dot slipped. Two degrees of fin were the end of the trainer.",
                share=0.5,
            ),
        ),
    )


def drift(f: Figures) -> Key:
    way, paper, time_s = f["paper_m"], f["paper_s"], f["time_s"]
    return Key(
        value=way / paper * time_s,
        tolerance=0.08,
        why="Metres for one second, times the seconds of the flight.",
        mistakes=(
            Mistake(
                name="divided the wrong way round",
                value=paper / way * time_s,
                words="That is seconds for a metre, times seconds. Metres for a second first.",
                share=0.25,
            ),
            Mistake(
                name="metres for one second only",
                value=way / paper,
                words="That is for one second. The flight is longer.",
                share=0.5,
            ),
            Mistake(
                name="the feather's time forgotten",
                value=way * time_s,
                words="The feather took many seconds for that way.",
                share=0.0,
            ),
        ),
    )


def setting(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "Thrust fades with the power, a fin stays. That tells what made the circle.",
        {
            0: (
                "a circle of the fin taken for one of the thrust",
                "A circle made by thrust is tight with power and opens as it fades. Is this so?",
                0.0,
            ),
            1: (
                "a circle of the thrust taken for one of the fin",
                "A circle made by the fin stays when the power has gone. Is this so?",
                0.0,
            ),
            2: (
                "fin for everything",
                "Fin makes a circle where there is none. Is there none here?",
                0.0,
            ),
            3: (
                "loose parts without a sign",
                "A loose fin makes each round different. Were they?",
                0.0,
            ),
        },
    )


def pair(f: Figures) -> Key:
    words = "Lay these flights side by side. What else differs?"
    return choice_key(
        f,
        f["place"],
        "Alike in everything but the fin: so the difference is the fin's.",
        {
            0: ("two changes in one comparison", words, 0.0),
            1: ("two changes in one comparison", words, 0.0),
            2: ("two changes in one comparison", words, 0.0),
            3: (
                "no pair seen where there is one",
                "Two of them differ in the fin alone. Go through them again.",
                0.0,
            ),
        },
    )


def _cause(f: Figures) -> int:
    if f["stood_m"] < 3:
        return STOOD
    if f["feather_m"] > 0.5:
        return DRIFTS
    return LITTLE if f["fin_mm"] < 1 else MUCH


def case(f: Figures) -> Key:
    words = "That reading is within its error. Which one is not?"
    return choice_key(
        f,
        _cause(f),
        "One reading was off by more than its error, and it named the cause.",
        {
            STOOD: ("the launch without looking", words, 0.0),
            DRIFTS: ("drift against the feather", words, 0.0),
            LITTLE: ("fin against the ruler", words, 0.0),
            MUCH: ("fin against the ruler", words, 0.0),
        },
    )


WORDS_KEY = {
    2: "Says that a circle keeps it in the hall longer than straight, and gives a figure or a "
    "reason: the wall ends a straight flight, or the circle must fit the hall.",
    1: "Says that it should circle, without a reason.",
    0: "Sets it straight, or makes the circle as tight as it goes.",
}

SENTENCES = {
    2: "I would let it circle to the left about half the hall wide, because straight it meets the "
    "wall after ten seconds.",
    1: "It should circle.",
    0: "Straight is best, so I centre the fin.",
}
