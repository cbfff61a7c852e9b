"""Keys and named mistakes of lesson 07, the rubber motor."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

TURNS_FACTOR = 7.78  # common practice, no source
THICKNESS_MM, STRANDS = 1.1, 2
WANTED = 95
COLD, COUNT, DRY, TIRED = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "07.1": rate,
        "07.2": travels,
        "07.3": limit,
        "07.4": part,
        "07.5": which,
        "07.6": stock,
        "07.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def rate(f: Figures) -> Key:
    on, off, left, time_s = f["on"], f["off"], f["left"], f["time_s"]
    return Key(
        value=(on - off - left) / time_s,
        tolerance=0.06,
        why="Turns used up in the flight, over its time.",
        mistakes=(
            Mistake(
                name="backed-off turns taken for flown",
                value=(on - left) / time_s,
                words="The turns that you backed off never turned the propeller in flight.",
                share=0.5,
            ),
            Mistake(
                name="turns left taken for used",
                value=(on - off) / time_s,
                words="Some turns were still on at the landing. They were not used.",
                share=0.5,
            ),
            Mistake(
                name="what was left, over the time",
                value=left / time_s,
                words="Those are the turns that were not used.",
                share=0.0,
            ),
        ),
    )


def travels(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "The propeller feels torque. Turns say how much only for one loop on one day.",
        {
            1: (
                "turns travel",
                "The same turns on other rubber are another power. The torque meter sees it.",
                0.0,
            ),
            2: (
                "more turns to be sure",
                "A tenth more on a strong loop can break it, or put it into the roof.",
                0.0,
            ),
            3: (
                "power cured with the tail",
                "The trim did not change, the rubber did. Put the power back first.",
                0.0,
            ),
        },
    )


def limit(f: Figures) -> Key:
    strand_mm2 = f["width_mm"] * THICKNESS_MM
    share = f["percent"] / 100
    whole = TURNS_FACTOR * f["loop_mm"] / math.sqrt(STRANDS * strand_mm2)
    return Key(
        value=share * whole,
        tolerance=8,
        why="Section of both strands, its root, the rule, then the percent.",
        mistakes=(
            Mistake(
                name="one strand only",
                value=share * TURNS_FACTOR * f["loop_mm"] / math.sqrt(strand_mm2),
                words="A loop has two strands. Both are twisted together.",
                share=0.5,
            ),
            Mistake(
                name="wound to the limit",
                value=whole,
                words="That is where it breaks. Leave something, as the question says.",
                share=0.5,
            ),
            Mistake(
                name="the root forgotten",
                value=share * TURNS_FACTOR * f["loop_mm"] / (STRANDS * strand_mm2),
                words="Divide by the root of the section, not by the section.",
                share=0.25,
            ),
        ),
    )


def part(f: Figures) -> Key:
    kept = f["percent"] / 100
    return Key(
        value=(1 - kept) * f["whole_g"],
        tolerance=0.02,
        why="The spacer weighs what the missing rubber weighed.",
        mistakes=(
            Mistake(
                name="kept taken for missing",
                value=kept * f["whole_g"],
                words="That is the rubber that you keep. The spacer stands in for the rest.",
                share=0.5,
            ),
            Mistake(
                name="percent taken for grams",
                value=1 - kept,
                words="That is the share that is missing. Take it of the loop's grams.",
                share=0.5,
            ),
            Mistake(
                name="millimetres taken for grams",
                value=(1 - kept) * f["whole_mm"],
                words="That is the spacer's length. The question asks for its weight.",
                share=0.25,
            ),
        ),
    )


def which(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "Torque first, then turns left: together they say what the loop did.",
        {
            0: (
                "thicker rubber flies longer",
                "A thicker loop gives more torque and fewer turns. Was there too little torque, "
                "with the loop at its limit?",
                0.0,
            ),
            1: (
                "thinner without need",
                "A thinner, longer loop gives less torque for more turns. Did the turns run out?",
                0.0,
            ),
            2: (
                "the torque was not looked at",
                "More winding helps only when the torque was under the card's.",
                0.0,
            ),
            3: (
                "friction without a sign",
                "A tight shaft shows when the propeller is flicked. Does anything say so here?",
                0.0,
            ),
        },
    )


def stock(f: Figures) -> Key:
    needed = f["needed"]
    rows = list(f["rows"])
    enough = min(made for made, chance in rows if chance >= WANTED)
    return Key(
        value=enough,
        tolerance=0.4,
        why="The first row that is sure enough.",
        mistakes=(
            Mistake(
                name="none will break",
                value=needed,
                words="Then all of them must survive. Look at the chance of that.",
                share=0.0,
            ),
            Mistake(
                name="enough on average",
                value=math.ceil(needed / (1 - f["percent"] / 100)),
                words="That is enough on average. On many days one more breaks.",
                share=0.5,
            ),
            Mistake(
                name="more than is needed",
                value=max(made for made, _ in rows),
                words="That is surer than you asked for. An earlier row is enough.",
                share=0.5,
            ),
        ),
    )


def _cause(f: Figures) -> int:
    if abs(f["temperature_c"] - 20) > 2:
        return COLD
    if abs(f["counted"] - 1157) > 20:
        return COUNT
    return DRY if f["squeaks"] else TIRED


def case(f: Figures) -> Key:
    words = "Which reading is off by more than its error? That one is not, or is explained."
    return choice_key(
        f,
        _cause(f),
        "One reading was off by more than its error, and it named the cause.",
        {
            COLD: ("cold without a thermometer", words, 0.0),
            COUNT: ("turns without counting", words, 0.0),
            DRY: ("dry without feeling it", words, 0.0),
            TIRED: (
                "the first answer is the fault",
                "Low torque has several causes. Look at warmth, count and feel before you blame "
                "the rubber.",
                0.25,
            ),
        },
    )


WORDS_KEY = {
    2: "Winds to the torque and not to the turns, and gives the reason: the same turns on cold or "
    "other rubber are another torque.",
    1: "Winds to the torque, or says that cold rubber differs, without joining the two.",
    0: "Winds the turns on the card, or more of them.",
}

SENTENCES = {
    2: "I would tell her to wind until the torque meter reads what the card says, because the same "
    "turns on cold or new rubber give another torque.",
    1: "Use the torque meter.",
    0: "Wind 1150 turns, and fifty more because it is cold.",
}
