"""Keys and named mistakes of lesson 11, your own aeroplane."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

WINDING_SHARE = 0.85
JOINT, MASS, PITCH, WRINKLE = range(4)
ONE_THREE, TWO_THREE, TWO_FOUR, ONE_FOUR = range(4)
TELL_BY = {"the shim": ONE_THREE, "the wing's place": TWO_THREE, "the turns": TWO_FOUR}
WAIT, LONGER, LUCK, MORE = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "11.1": speed,
        "11.2": ballast,
        "11.3": first,
        "11.4": pairs,
        "11.5": repeats,
        "11.6": read,
        "11.7": roof,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def speed(f: Figures) -> Key:
    good = math.pi * f["circle_m"] / f["lap_s"]
    return Key(
        value=good,
        tolerance=0.06,
        why="The way around is pi times the diameter; that over the time.",
        mistakes=(
            Mistake(
                name="across for around",
                value=f["circle_m"] / f["lap_s"],
                words="It does not fly straight across. How long is the way around?",
                share=0.25,
            ),
            Mistake(
                name="diameter taken for radius",
                value=2 * good,
                words="You paced across the whole circle. Twice that is too far around.",
                share=0.5,
            ),
            Mistake(
                name="time over way",
                value=3 * good,
                words="Look at the way around once more, then divide it by the seconds.",
            ),
        ),
    )


def ballast(f: Figures) -> Key:
    missing, margin = f["least_g"] - f["airframe_g"], f["margin_g"]
    return Key(
        value=missing + margin,
        tolerance=0.012,
        why="What is missing, and what the scales may be wrong by on top.",
        mistakes=(
            Mistake(
                name="the scales are exact",
                value=missing,
                words="Then the next pair of scales may find you too light. Add what yours may "
                "be wrong by.",
                share=0.5,
            ),
            Mistake(
                name="error taken away",
                value=missing - margin,
                words="With less than what is missing you are still too light.",
                share=0.25,
            ),
            Mistake(
                name="error counted twice",
                value=missing + 2 * margin,
                words="Once is enough: more is weight that you carry up for nothing.",
                share=0.5,
            ),
        ),
    )


def first(f: Figures) -> Key:
    return choice_key(
        f,
        JOINT,
        "A joint that moves makes each flight another aeroplane. Nothing else can be judged first.",
        {
            MASS: (
                "mass before what moves",
                "Weight makes every flight a little shorter. It does not make them all different.",
                0.25,
            ),
            PITCH: (
                "power before trim",
                "Pitch is for when the flights repeat.",
                0.0,
            ),
            WRINKLE: (
                "looks before what moves",
                "A small wrinkle costs a little, the same in each flight.",
                0.0,
            ),
        },
    )


def pairs(f: Figures) -> Key:
    good = TELL_BY[f["asked"]]
    told = {
        ONE_THREE: ("shim pair taken", "These two differ only in the shim.", 0.0),
        TWO_THREE: ("wing pair taken", "These two differ only in the wing's place.", 0.0),
        TWO_FOUR: ("turns pair taken", "These two differ only in the turns.", 0.0),
        ONE_FOUR: (
            "two changes save time",
            "These two differ in everything. Nobody can say which of it helped.",
            0.0,
        ),
    }
    return choice_key(f, good, "The two flights differ in that one thing only.", told)


def repeats(f: Figures) -> Key:
    return choice_key(
        f,
        WAIT,
        "Of four flights that are alike, one in four times the last is the longest. Fly again.",
        {
            LONGER: (
                "one good flight proves it",
                "The three before differ by nearly as much. One flight is not enough.",
                0.25,
            ),
            LUCK: (
                "one flight disproves it",
                "It may be luck. It may be better. One flight tells neither.",
                0.25,
            ),
            MORE: (
                "two changes save time",
                "Then you would not know what either of them did.",
                0.0,
            ),
        },
    )


def read(f: Figures) -> Key:
    share = WINDING_SHARE * f["limit"]
    good = min(share, f["read"])
    other = max(share, f["read"])
    return Key(
        value=good,
        tolerance=6,
        why="The lower of the two limits counts: 85 % of the breaking turns, or what was read.",
        mistakes=(
            Mistake(
                name="one limit forgotten",
                value=other,
                words="There are two limits. That one comes second.",
                share=0.5,
            ),
            Mistake(
                name="wound to breaking",
                value=f["limit"],
                words="There the loop breaks. Your team stays well under it.",
            ),
            Mistake(
                name="share of the wrong turns",
                value=WINDING_SHARE * good,
                words="85 % is of the turns at which it breaks, not of the other limit.",
                share=0.25,
            ),
        ),
    )


def roof(f: Figures) -> Key:
    top, rows = f["roof_m"] - f["free_m"], f["rows"]
    eps = 1e-6
    good = max(turns for turns, _, high in rows if high <= top + eps)
    by_roof = next(turns for turns, _, _ in rows if turns > good)
    by_middle = max(turns for turns, middle, _ in rows if middle <= top + eps)
    return Key(
        value=good,
        tolerance=10,
        why="The high end of the spread must stay under the room that you keep free.",
        mistakes=(
            Mistake(
                name="the free room used up",
                value=by_roof,
                words="One in ten would go into the room that you wanted to keep.",
                share=0.5,
            ),
            Mistake(
                name="the middle taken for all",
                value=by_middle,
                words="Half of all flights go higher than the middle. Look at the other number.",
                share=0.25,
            ),
            Mistake(
                name="always fly to the ceiling",
                value=rows[-1][0],
                words="That plan meets the roof. A touch costs seconds, and often the flight.",
            ),
        ),
    )


WORDS_KEY = {
    2: "Says that the ruler has an error of about that size, or that the aeroplane in flight "
    "differs from the one on the table, and names a next step: fly again, or use the fitted file.",
    1: "Says only that measuring is never exact, or only a next step.",
    0: "Says that somebody measured badly, or nothing.",
}

SENTENCES = {
    2: "The ruler is only good to a third of a degree, so both can be honest. I would plan with "
    "the fitted file, fly it twice and look whether the times fit.",
    1: "You can never measure exactly.",
    0: "Somebody measured it wrong.",
}
