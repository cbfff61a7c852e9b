"""Keys and named mistakes of lesson 04, the first low-power flights."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures
from trimkit.units import MNM_PER_OUNCE_INCH

DEGREES = 180 / math.pi
LOW_POWER_SHARE = 1.25  # common practice, no source
DIVES, GOOD, STALLS, STOPPED = range(4)
SHIM_UP, SHIM_DOWN, WING_FORWARD, WING_BACK = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "04.1": verdict,
        "04.2": first_step,
        "04.3": sink,
        "04.4": next_step,
        "04.5": missing,
        "04.6": torque,
        "04.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def _named(f: Figures) -> int:
    if not f["found"]:
        return DIVES
    if f["stall_margin_deg"] < 1:
        return STALLS
    return DIVES if f["sink_m_s"] > 1.5 * f["least_sink_m_s"] else GOOD


def verdict(f: Figures) -> Key:
    return choice_key(
        f,
        _named(f),
        "You compared the sink with the least sink, and the wing with its stall.",
        {
            DIVES: (
                "fast taken for a dive",
                "A dive sinks more than one and a half times the least. Compare the two sinks.",
                0.0,
            ),
            GOOD: (
                "steady taken for good",
                "A steady path is not yet a good one. Look at the sink, and at how near the wing "
                "is to its stall.",
                0.0,
            ),
            STALLS: (
                "slow taken for a stall",
                "Slow is not about to fall. A stall needs the wing within one degree of its stall "
                "angle.",
                0.0,
            ),
            STOPPED: (
                "stall means the motor stopped",
                "This is a glide with no motor at all. A stall is about the wing, not the motor.",
                0.0,
            ),
        },
    )


def first_step(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "Measuring costs two minutes and tells causes apart. Then one change has a reason.",
        {
            1: (
                "more turns cure a bad trim",
                "Twice the turns makes the same thing happen harder and break more.",
                0.0,
            ),
            2: (
                "a hard throw helps",
                "A throw hides the trim for a second. Walking pace, nose level.",
                0.0,
            ),
            3: (
                "two changes save time",
                "If it gets better you do not know which one did it. If it gets worse, neither.",
                0.25,
            ),
        },
    )


def sink(f: Figures) -> Key:
    return Key(
        value=f["height_m"] / f["time_s"],
        tolerance=0.02,
        why="Height lost, over the time it took.",
        mistakes=(
            Mistake(
                name="divided the wrong way round",
                value=f["time_s"] / f["height_m"],
                words="That is seconds for a metre. Metres for a second is the other way round.",
                share=0.25,
            ),
            Mistake(
                name="speed taken for sink",
                value=f["distance_m"] / f["time_s"],
                words="That is how fast it goes forward. Sink is how fast it comes down.",
                share=0.25,
            ),
            Mistake(
                name="multiplied",
                value=f["height_m"] * f["time_s"],
                words="Metres times seconds is no speed. Divide.",
            ),
        ),
    )


def next_step(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "The first shim went in a good direction and was too small. The same again, and fly.",
        {
            1: (
                "still bad, so it was the wrong way",
                "It dives less than before. The direction is good, the size is not yet.",
                0.0,
            ),
            2: (
                "more power for a bad trim",
                "Power does not lift a nose that the tail pushes down. Finish the trim first.",
                0.0,
            ),
            3: (
                "nose weight cures everything",
                "Nose weight makes a dive steeper.",
                0.0,
            ),
        },
    )


def missing(f: Figures) -> Key:
    rise_mm = f["after_mm"] - f["before_mm"]
    made = rise_mm / f["boom_mm"] * DEGREES
    return Key(
        value=f["wanted_deg"] - made,
        tolerance=0.08,
        why="First the angle the shim made, over the long lever. Then what is left.",
        mistakes=(
            Mistake(
                name="made taken for missing",
                value=made,
                words="That is what the first shim made. The question asks what is left to do.",
                share=0.5,
            ),
            Mistake(
                name="the chord instead of the boom",
                value=f["wanted_deg"] - rise_mm / f["tail_chord_mm"] * DEGREES,
                words="The boom's tail end was measured, so the lever is the boom.",
                share=0.25,
            ),
            Mistake(
                name="a ratio is not an angle",
                value=f["wanted_deg"] - rise_mm / f["boom_mm"],
                words="Rise over boom is a ratio. Times 57 makes degrees of it.",
                share=0.25,
            ),
        ),
    )


def torque(f: Figures) -> Key:
    level = f["level_mNm"]
    return Key(
        value=LOW_POWER_SHARE * level / MNM_PER_OUNCE_INCH,
        tolerance=0.01,
        why="A quarter more than level flight, in the unit of the meter.",
        mistakes=(
            Mistake(
                name="level flight is not a test",
                value=level / MNM_PER_OUNCE_INCH,
                words="That only just holds its height. The test wants a quarter more.",
                share=0.5,
            ),
            Mistake(
                name="divided by the share",
                value=level / LOW_POWER_SHARE / MNM_PER_OUNCE_INCH,
                words="A quarter more, not less.",
                share=0.25,
            ),
            Mistake(
                name="unit left as it was",
                value=LOW_POWER_SHARE * level,
                words="That is still in mN m. The meter reads ounce-inches.",
                share=0.5,
            ),
        ),
    )


def _cause(f: Figures) -> int:
    boom_mm = f["boom_mm"] - f["card_boom_mm"]
    if abs(boom_mm) > 1:
        return SHIM_UP if boom_mm < 0 else SHIM_DOWN
    return WING_FORWARD if f["balance_mm"] < f["card_balance_mm"] else WING_BACK


def case(f: Figures) -> Key:
    good = _cause(f)
    twin = {
        SHIM_UP: WING_FORWARD,
        WING_FORWARD: SHIM_UP,
        SHIM_DOWN: WING_BACK,
        WING_BACK: SHIM_DOWN,
    }[good]
    words = "That would make the nose do more of what it does now. Which way must it go?"
    named = {
        place: ("cure the wrong way", words, 0.0) for place in range(4) if place not in (good, twin)
    }
    named[twin] = (
        "the first answer is the fault",
        "The flight fits, the bench does not. The measurement that is off by more than its error "
        "names the cause.",
        0.5,
    )
    return choice_key(f, good, "The flight left two causes. The bench told them apart.", named)


WORDS_KEY = {
    2: "Wants the same flight again before any change, and gives the reason: one flight may be "
    "launch or air, or: only what repeats is trim.",
    1: "Wants to fly again, without a reason; or measures first, without saying why.",
    0: "Changes something after one flight, or adds turns.",
}

SENTENCES = {
    2: "I would fly it again with nothing changed, because one dive can come from the launch or "
    "the air, and only a dive that repeats is the trim.",
    1: "I would fly it again.",
    0: "I would put in a shim and more turns.",
}
