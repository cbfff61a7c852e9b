"""Keys and named mistakes of lesson 01, straight and square."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit import incidence
from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

HELPED, WORSE, UNSURE, SECOND_CHANGE = range(4)
ERRORS = {"tail_mm": 0.5, "tip_mm": 0.5, "spin_s": 1.0, "wing_mm": 1.0}


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "01.1": twist,
        "01.2": skew,
        "01.3": worth,
        "01.4": tape,
        "01.5": saved,
        "01.6": first,
        "01.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def twist(f: Figures) -> Key:
    edges = f["leading_mm"], f["trailing_mm"]
    good = incidence.angle_deg(*edges, f["tip_chord_mm"])
    return Key(
        value=good,
        tolerance=0.1,
        why="Leading edge less trailing edge, over the chord at the tip, in degrees.",
        mistakes=(
            Mistake(
                name="wash-in and wash-out swapped",
                value=-good,
                words="The size is good, the sign is not. Which edge hangs lower at the tip?",
                share=0.5,
            ),
            Mistake(
                name="the chord in the middle",
                value=incidence.angle_deg(*edges, f["root_chord_mm"]),
                words="You measured at the tip, so it is the tip's chord that counts.",
                share=0.5,
            ),
            Mistake(
                name="a ratio is not an angle",
                value=(edges[0] - edges[1]) / f["tip_chord_mm"],
                words="That is height over chord, a ratio. Times 57 makes degrees of it.",
                share=0.25,
            ),
        ),
    )


def skew(f: Figures) -> Key:
    tips = f["right_mm"], f["left_mm"]
    good = incidence.angle_deg(*tips, f["span_mm"])
    return Key(
        value=good,
        tolerance=0.1,
        why="How far one tip is ahead of the other, over the way between them, in degrees.",
        mistakes=(
            Mistake(
                name="left and right swapped",
                value=-good,
                words="The size is good, the sign is not. The tip that is ahead is further away.",
                share=0.5,
            ),
            Mistake(
                name="half the span",
                value=incidence.angle_deg(*tips, f["span_mm"] / 2),
                words="Each tip moved by half of it only. The whole difference goes over the "
                "whole span.",
                share=0.25,
            ),
            Mistake(
                name="a ratio is not an angle",
                value=(tips[0] - tips[1]) / f["span_mm"],
                words="That is a length over a length, a ratio. Times 57 makes degrees of it.",
                share=0.25,
            ),
        ),
    )


def _verdict(f: Figures) -> int:
    if min(f["after_s"]) > max(f["before_s"]):
        return HELPED
    return WORSE if max(f["after_s"]) < min(f["before_s"]) else UNSURE


def worth(f: Figures) -> Key:
    good = _verdict(f)
    hasty = "The new times lie among the old ones. Unchanged flights differ by as much."
    if good != UNSURE:
        hasty = "Compare the sizes: are the two new times longer than the old ones, or shorter?"
    return choice_key(
        f,
        good,
        "You compared the change with the scatter.",
        {
            HELPED: ("a gain seen in the scatter", hasty, 0.0),
            WORSE: ("a loss seen in the scatter", hasty, 0.0),
            UNSURE: (
                "too careful",
                "Both new times lie far outside the old ones. Scatter does not do that.",
                0.25,
            ),
            SECOND_CHANGE: (
                "two changes save time",
                "With a second change nobody will know which of them did it.",
                0.0,
            ),
        },
    )


def tape(f: Figures) -> Key:
    more_mg, ratio = 1000 * f["more_g"], f["middle_mm"] / f["tape_mm"]
    return Key(
        value=more_mg * ratio,
        tolerance=1.5,
        why="The extra mass times its arm, over the arm of the tape.",
        mistakes=(
            Mistake(
                name="no lever",
                value=more_mg,
                words="The tape sits further out than the blade's own balance point. There a "
                "little does more.",
                share=0.5,
            ),
            Mistake(
                name="lever upside down",
                value=more_mg / ratio,
                words="The tape has the longer arm. Does it need more, or less?",
                share=0.25,
            ),
            Mistake(
                name="left in grams",
                value=more_mg * ratio / 1000,
                words="That is in grams. The question asks for milligrams.",
                share=0.5,
            ),
        ),
    )


def saved(f: Figures) -> Key:
    flights, each, look = f["flights"], f["flight_min"], f["look_min"]
    return Key(
        value=flights * each - look,
        tolerance=0.2,
        why="What the wasted flights took, less what the look took.",
        mistakes=(
            Mistake(
                name="the look costs nothing",
                value=float(flights * each),
                words="The look took some minutes too. Take them off.",
                share=0.5,
            ),
            Mistake(
                name="the look added",
                value=flights * each + look,
                words="The look is a cost. It makes the saving smaller.",
                share=0.25,
            ),
            Mistake(
                name="a look before every flight",
                value=flights * (each - look),
                words="It looks once, before the first flight. Not before each.",
                share=0.25,
            ),
        ),
    )


def first(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "Joints and lines take seconds to look at and cost most of the flight.",
        {
            1: (
                "the loud fault is the dear one",
                "A propeller out of balance buzzes, but costs hardly a second. Look at the table.",
                0.25,
            ),
            2: (
                "weight first",
                "The mass did not change since you built it. What can have moved?",
                0.25,
            ),
            3: (
                "the flight will tell",
                "It may tell, and break more. A flight takes longer than the look.",
                0.0,
            ),
        },
    )


def _off(f: Figures) -> int:
    return next(
        place
        for place, (name, error) in enumerate(ERRORS.items())
        if abs(f[name] - f[f"card_{name}"]) > 1.5 * error
    )


def case(f: Figures) -> Key:
    words = "That reading is off by no more than its own error. Which one is off by more?"
    wrong = {place: ("an error taken for a fault", words, 0.0) for place in range(4)}
    return choice_key(f, _off(f), "One reading was off by more than its error.", wrong)


WORDS_KEY = {
    2: "Looks at the joints (tail, wing) and the lines (boom, twist) first, and gives the reason: "
    "a look takes less than a flight, or these cost most, or a box and a knock move things.",
    1: "Names a good look without a reason; or says look first, without saying where.",
    0: "Flies first, or adds turns, or begins with paint, balance or weight only.",
}

SENTENCES = {
    2: "I would wiggle the tail and the wing and sight along the boom first, because that takes "
    "a minute and a loose tail costs half of the flight.",
    1: "I would wiggle the tail.",
    0: "I would let my friend fly it and see.",
}
