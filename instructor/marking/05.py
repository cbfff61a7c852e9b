"""Keys and named mistakes of lesson 05, twist and roll."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

DEGREES = 180 / math.pi
MN_PER_G = 9.81  # as the question gives it
TWIST, SLID, SHIM, FIN = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "05.1": way,
        "05.2": edge,
        "05.3": change,
        "05.4": cure,
        "05.5": place,
        "05.6": low_wing,
        "05.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def way(f: Figures) -> Key:
    turned = "Trailing edge down is more lift, and lift pushes that side up. Draw it from behind."
    return choice_key(
        f,
        f["place"],
        "More lift on one side pushes that side up, and the aeroplane rolls to the other.",
        {
            0: ("roll the wrong way round", turned, 0.0),
            1: ("roll the wrong way round", turned, 0.0),
            2: (
                "no roll from one-sided twist",
                "One side has more lift than the other here. Something must give.",
                0.0,
            ),
            3: (
                "roll taken for pitch",
                "Twist at the tips first of all rolls. Alike on both sides it does not.",
                0.0,
            ),
        },
    )


def edge(f: Figures) -> Key:
    chord, wanted = f["chord_mm"], f["wanted_deg"]
    return Key(
        value=wanted / DEGREES * chord,
        tolerance=0.1,
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
                name="one degree only",
                value=chord / DEGREES,
                words="That is for one degree. How many do you want?",
                share=0.5,
            ),
        ),
    )


def change(f: Figures) -> Key:
    card, today, chord = f["card_mm"], f["today_mm"], f["chord_mm"]
    return Key(
        value=(card - today) / chord * DEGREES,
        tolerance=0.15,
        why="Down and up together, over the chord, times 57.3.",
        mistakes=(
            Mistake(
                name="up and down taken off each other",
                value=(card + today) / chord * DEGREES,
                words="It went from down to up. Both ways add.",
                share=0.25,
            ),
            Mistake(
                name="today's reading only",
                value=-today / chord * DEGREES,
                words="That is from flat to today. It began with wash-in.",
                share=0.25,
            ),
            Mistake(
                name="millimetres taken for degrees",
                value=card - today,
                words="Those are millimetres. Over the chord, times 57.3, makes degrees.",
                share=0.5,
            ),
        ),
    )


def cure(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "You mended what is off by more than the ruler's error, and only that.",
        {
            0: (
                "wing untwisted that is as the card says",
                "The tip is as the card says, within the error. What is not?",
                0.0,
            ),
            1: (
                "turn cured with the fin when the wing is warped",
                "The flight with fin against twist: 23 s, and 32 without. A second fault does not "
                "take the first away.",
                0.0,
            ),
            2: (
                "a third thing moved",
                "The wing's place was good. Moving it hides what is wrong.",
                0.0,
            ),
            3: (
                "fin set back that is at its mark",
                "The fin is at its mark, within the error. What is not?",
                0.0,
            ),
        },
    )


def place(f: Figures) -> Key:
    torque, twist, weight_mN = f["torque_mNm"], f["twist_mNm"], f["mass_g"] * MN_PER_G
    return Key(
        value=1000 * (torque - twist) / weight_mN,
        tolerance=0.5,
        why="What wash-in leaves of the torque, over the weight.",
        mistakes=(
            Mistake(
                name="wash-in forgotten",
                value=1000 * torque / weight_mN,
                words="Wash-in holds a part of it already.",
                share=0.5,
            ),
            Mistake(
                name="wash-in added",
                value=1000 * (torque + twist) / weight_mN,
                words="Wash-in helps here: it rolls against the torque.",
                share=0.25,
            ),
            Mistake(
                name="grams taken for weight",
                value=1000 * (torque - twist) / f["mass_g"],
                words="A gram weighs 9.81 mN. Use the weight, not the grams.",
                share=0.5,
            ),
        ),
    )


def low_wing(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "Level on two fingertips means no wing is heavy. So something lifts unevenly.",
        {
            1: (
                "the low wing is heavy",
                "On the fingertips it is level. Clay would be a second fault.",
                0.0,
            ),
            2: (
                "the low wing is heavy",
                "On the fingertips it is level. Lighter on one side would make it roll more.",
                0.0,
            ),
            3: (
                "turn cured with the fin when the wing is warped",
                "The fin turns it. It does not take a twist out of a wing.",
                0.0,
            ),
        },
    )


def _cause(f: Figures) -> int:
    off = {
        TWIST: abs(f["tip_mm"]),
        SLID: abs(f["place_mm"] - 15),
        SHIM: abs(f["boom_mm"] - 42),
        FIN: abs(f["fin_mm"] - 2),
    }
    return max(off, key=lambda cause: off[cause])


def case(f: Figures) -> Key:
    words = "That reading is within its error. Which one is not?"
    return choice_key(
        f,
        _cause(f),
        "One reading was off by more than its error, and it named the cause.",
        {
            TWIST: ("twist against the ruler", words, 0.0),
            SLID: ("the wing's place against the ruler", words, 0.0),
            SHIM: ("shim against the ruler", words, 0.0),
            FIN: ("it circles because of the fin", words, 0.0),
        },
    )


WORDS_KEY = {
    2: "Measures the twist, or takes it out, and gives the reason: the fin turns it but leaves the "
    "twist, or two faults do not cancel at every power.",
    1: "Says that it should not be cured with the fin, without a reason.",
    0: "Uses fin, clay or more turns against the roll.",
}

SENTENCES = {
    2: "I would measure both tips first and take the twist out, because the fin turns it the other "
    "way but the twist still rolls it.",
    1: "Not with the fin.",
    0: "I would bend the fin to the right until it goes straight.",
}
