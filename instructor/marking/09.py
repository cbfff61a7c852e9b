"""Keys and named mistakes of lesson 09, stepping up the power."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures
from trimkit.units import MNM_PER_OUNCE_INCH

LOW_SHARE = 1.25  # common practice, no source
LINE_UP, SOFT, NO_SHIM, GOOD = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "09.1": torque,
        "09.2": dives,
        "09.3": gain,
        "09.4": sign,
        "09.5": cure,
        "09.6": roof,
        "09.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def torque(f: Figures) -> Key:
    level_mNm = f["level_oz_in"] * MNM_PER_OUNCE_INCH
    return Key(
        value=f["share"] * level_mNm,
        tolerance=0.05,
        why="The step times the level torque, in the other unit.",
        mistakes=(
            Mistake(
                name="step counted from the step before",
                value=f["share"] * LOW_SHARE * level_mNm,
                words="That takes the step from the low-power test. Count from level flight.",
                share=0.5,
            ),
            Mistake(
                name="level flight taken for the step",
                value=level_mNm,
                words="That only just holds its height. The step is a number of times that.",
                share=0.25,
            ),
            Mistake(
                name="unit left as it was",
                value=f["share"] * f["level_oz_in"],
                words="That is in ounce-inches. The question wants mN m.",
                share=0.5,
            ),
        ),
    )


def dives(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "A dive that repeats is the trim. The bench names its cause in two minutes.",
        {
            1: (
                "more turns cure a dive",
                "With more turns the same dive ended sooner and harder.",
                0.0,
            ),
            2: (
                "power lifts the nose",
                "The tail pushes the nose down at every power. Mend that first.",
                0.0,
            ),
            3: (
                "a hard throw helps",
                "A throw hides the trim for a second. Walking pace, nose level.",
                0.0,
            ),
        },
    )


def gain(f: Figures) -> Key:
    before, after = f["before_s"], f["after_s"]
    old, new = sum(before) / len(before), sum(after) / len(after)
    return Key(
        value=100 * (new - old) / old,
        tolerance=0.6,
        why="Mean against mean, over the mean before.",
        mistakes=(
            Mistake(
                name="seconds taken for percent",
                value=new - old,
                words="That is how many seconds it grew. Percent is over the mean before.",
                share=0.5,
            ),
            Mistake(
                name="best against best",
                value=100 * (max(after) - max(before)) / max(before),
                words="That compares the two best flights. One flight can be luck; take the means.",
                share=0.25,
            ),
            Mistake(
                name="the whole taken for the growth",
                value=100 * new / old,
                words="That is the new mean in percent of the old. How much was added?",
                share=0.5,
            ),
        ),
    )


def sign(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "You set both departures against what an eye can tell.",
        {
            0: (
                "power-dependent taken for always there",
                "Look at the departure at low power again. Is it there, and is it as big?",
                0.0,
            ),
            1: (
                "always there taken for power-dependent",
                "Does the departure grow with power, and is it there with every launcher?",
                0.0,
            ),
            2: (
                "the launcher blamed",
                "Another hand launched. Did that change anything?",
                0.0,
            ),
            3: (
                "told nothing where something shows",
                "One of the departures is more than the eye's error, or the launcher was changed. "
                "That tells.",
                0.25,
            ),
        },
    )


def cure(f: Figures) -> Key:
    return choice_key(
        f,
        f["place"],
        "The cure has to act where the fault shows: with power, or at every power.",
        {
            0: (
                "thrust line for a fault of another place",
                "Down thrust lowers the nose with power. Is that what it needs here?",
                0.25,
            ),
            1: (
                "nose weight cures every stall",
                "The flight with nose weight at low power: five seconds. It acts at every power.",
                0.0,
            ),
            2: (
                "stick stiffened without a bend",
                "A stick that bends drops the nose at high power only, and the bow can be seen.",
                0.25,
            ),
            3: (
                "a shim for what comes with power",
                "A shim acts at every power. Was the nose off at low power too?",
                0.0,
            ),
        },
    )


def roof(f: Figures) -> Key:
    wanted_m = f["roof_m"] - f["free_m"]
    per_m = (f["high_mNm"] - f["low_mNm"]) / (f["high_m"] - f["low_m"])
    return Key(
        value=f["low_mNm"] + (wanted_m - f["low_m"]) * per_m,
        tolerance=0.02,
        why="The wanted height, its share of the way from flight to flight, the same for torque.",
        mistakes=(
            Mistake(
                name="no room left below the lamp",
                value=f["low_mNm"] + (f["roof_m"] - f["low_m"]) * per_m,
                words="That flies into the lamp. Take off what must be free.",
                share=0.5,
            ),
            Mistake(
                name="the free room added",
                value=f["low_mNm"] + (f["roof_m"] + f["free_m"] - f["low_m"]) * per_m,
                words="The free room is below the lamp. Take it off, do not add it.",
                share=0.25,
            ),
            Mistake(
                name="height taken as times torque",
                value=f["low_mNm"] * wanted_m / f["low_m"],
                words="Height does not grow as many times as torque. Use both flights.",
                share=0.25,
            ),
        ),
    )


def _cause(f: Figures) -> int:
    if f["bow_mm"] > 1:
        return SOFT
    first, last = (f["nose_deg"][n] - f["card_deg"][n] for n in (0, -1))
    if first < -2 and last < -2:
        return NO_SHIM
    return LINE_UP if last > 2 else GOOD


def case(f: Figures) -> Key:
    return choice_key(
        f,
        _cause(f),
        "Nose against card at both ends, then the stick: that leaves one cause.",
        {
            LINE_UP: (
                "thrust line where the nose is not too high",
                "A thrust line that points too high lifts the nose more and more with power.",
                0.0,
            ),
            SOFT: (
                "stick blamed without a bow",
                "Look at the stick's reading. A bow within its error is no bow.",
                0.0,
            ),
            NO_SHIM: (
                "shim for what power does",
                "Too little decalage shows at the first step already, and no stick bends.",
                0.25,
            ),
            GOOD: (
                "nothing seen where something is",
                "Lay the nose beside the card, step by step. One of them is off by more than 2°.",
                0.0,
            ),
        },
    )


WORDS_KEY = {
    2: "Goes up in steps, one change at a time, and gives the reason: at full power a fault that "
    "only comes with power breaks the aeroplane, or: two steps show what comes with power.",
    1: "Goes up in steps, without a reason.",
    0: "Winds all the turns at once, or changes two things together.",
}

SENTENCES = {
    2: "I would go up one step at a time, because some faults only come with power and at full "
    "turns they would break it before I see them.",
    1: "First a few more turns, then more.",
    0: "Wind it full, it flew well.",
}
