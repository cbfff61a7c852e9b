"""Keys and named mistakes of lesson 08, the propeller."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

GAUGE_DEG, SPIN_S = 36, 6.0
LOW, HIGH, RUBS, SLIPS = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "08.1": advance,
        "08.2": lasts,
        "08.3": pitch,
        "08.4": roll,
        "08.5": match,
        "08.6": tape,
        "08.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def advance(f: Figures) -> Key:
    speed, rate = f["speed_m_s"], f["rate"]
    return Key(
        value=1000 * speed / rate,
        tolerance=3,
        why="Millimetres in a second, shared among the turns in a second.",
        mistakes=(
            Mistake(
                name="metres taken for millimetres",
                value=speed / rate,
                words="That is in metres. The question wants millimetres.",
                share=0.5,
            ),
            Mistake(
                name="divided the wrong way round",
                value=1000 * rate / speed,
                words="That shares turns among metres. Share the way among the turns.",
                share=0.25,
            ),
            Mistake(
                name="multiplied",
                value=1000 * speed * rate,
                words="More turns in the same second means a shorter way for each. Divide.",
                share=0.0,
            ),
        ),
    )


def lasts(f: Figures) -> Key:
    used, fast = f["on"] - f["left"], f["slow"] + f["more"]
    return Key(
        value=used / fast,
        tolerance=0.7,
        why="Turns used, over the turns in a second of the fast one. Fast is soon over.",
        mistakes=(
            Mistake(
                name="the slow one's time",
                value=used / f["slow"],
                words="That is how long the slow one flies.",
                share=0.5,
            ),
            Mistake(
                name="turns left taken for used",
                value=f["on"] / fast,
                words="Some turns were still on at the landing. They were not used.",
                share=0.5,
            ),
            Mistake(
                name="faster flies longer",
                value=used / (f["slow"] - f["more"]),
                words="The fast one makes more turns each second, not fewer.",
                share=0.0,
            ),
        ),
    )


def pitch(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "Torque, then friction, then the angle: in that order the causes part.",
        {
            0: (
                "finer without need",
                "A finer angle makes it turn faster. Was it slow, and was it free to turn?",
                0.0,
            ),
            1: (
                "coarser without need",
                "A coarser angle makes it turn slower. Was it too fast?",
                0.0,
            ),
            2: (
                "friction without a sign",
                "A shaft that rubs shows when you flick it. Does anything say so here?",
                0.0,
            ),
            3: (
                "the torque was not looked at",
                "Winding more helps when the torque was under the card's. Was it?",
                0.0,
            ),
        },
    )


def roll(f: Figures) -> Key:
    clockwise_from_behind = f["clockwise"] == (f["where"] == "from behind")
    other = "The body goes the other way than the propeller. And left and right are the pilot's."
    return choice_key(
        f,
        0 if clockwise_from_behind else 1,
        "The body turns against the propeller; from in front clockwise is the other way.",
        {
            0: ("torque rolls it the way the propeller goes", other, 0.25),
            1: ("torque rolls it the way the propeller goes", other, 0.25),
            2: (
                "the wing holds it",
                "The wing resists, but only once it rolls. That is why left wash-in is built in.",
                0.0,
            ),
            3: (
                "roll taken for pitch",
                "Torque acts about the shaft, and the shaft points along the body.",
                0.0,
            ),
        },
    )


def match(f: Figures) -> Key:
    one, other = sum(f["one_deg"]) / 2, sum(f["other_deg"]) / 2
    return Key(
        value=one - other,
        tolerance=0.3,
        why="Mean of the first less mean of the second.",
        mistakes=(
            Mistake(
                name="half the way",
                value=(one - other) / 2,
                words="With half of it they still differ by the other half.",
                share=0.5,
            ),
            Mistake(
                name="one reading of each",
                value=f["one_deg"][0] - f["other_deg"][0],
                words="You used one reading of each blade. Two readings make a better mean.",
                share=0.5,
            ),
            Mistake(
                name="the angle of the first",
                value=one,
                words="That is where the second shall stand, not by how much it turns.",
                share=0.25,
            ),
        ),
    )


def tape(f: Figures) -> Key:
    more, at, strip = f["more_mg"], f["at_mm"], f["tape_mg"]
    return Key(
        value=more * at / strip,
        tolerance=1.5,
        why="The same milligrams times millimetres on both sides.",
        mistakes=(
            Mistake(
                name="the wrong way round",
                value=strip * at / more,
                words="Lighter tape goes further out, not further in.",
                share=0.25,
            ),
            Mistake(
                name="same place, other weight",
                value=at,
                words="At the same place it would need the same weight.",
                share=0.0,
            ),
            Mistake(
                name="not shared by the tape",
                value=more * at,
                words="That is the pull to be matched. Share it by the tape's weight.",
                share=0.5,
            ),
        ),
    )


def _cause(f: Figures) -> int:
    turned = f["gauge_deg"] - GAUGE_DEG
    if abs(turned) > 2:
        return LOW if turned < 0 else HIGH
    return RUBS if f["spin_s"] < SPIN_S - 2 else SLIPS


def case(f: Figures) -> Key:
    words = "That reading is within its error. Which one is not?"
    return choice_key(
        f,
        _cause(f),
        "One reading was off by more than its error, and it named the cause.",
        {
            LOW: ("low pitch against the gauge", words, 0.0),
            HIGH: ("high pitch against the gauge", words, 0.0),
            RUBS: ("friction against the spin", words, 0.0),
            SLIPS: ("slip against the grip", words, 0.0),
        },
    )


WORDS_KEY = {
    2: "Says that a fast propeller uses up its turns sooner, and that time or turns used each "
    "second decide, at the same torque.",
    1: "Says that faster is not longer, without a reason.",
    0: "Says that faster is better, or that it depends on the sound.",
}

SENTENCES = {
    2: "I would say that it uses up its turns sooner, so we fly both with the same torque and "
    "compare the times.",
    1: "Faster is not always longer.",
    0: "Great, it pulls more.",
}
