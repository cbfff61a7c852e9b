"""Keys and named mistakes of lesson 02, angles from a ruler."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trimkit import incidence
from trimkit.classroom.key import Key, Mistake
from trimkit.lesson.task import Figures, letter

DEGREES = 180 / math.pi
MORE, LESS, BOTH, TURNS = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "02.1": angle,
        "02.2": decalage,
        "02.3": error,
        "02.4": shim,
        "02.5": side,
        "02.6": boom_end,
        "02.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def angle(f: Figures) -> Key:
    good = incidence.angle_deg(f["leading_mm"], f["trailing_mm"], f["chord_mm"])
    ratio = (f["leading_mm"] - f["trailing_mm"]) / f["chord_mm"]
    return Key(
        value=good,
        tolerance=0.1,
        why="Rise over chord, turned into degrees, and the leading edge is up: +.",
        mistakes=(
            Mistake(
                name="angle the wrong way round",
                value=-good,
                words="The size is good, the sign is not. Take leading edge minus trailing edge.",
                share=0.5,
            ),
            Mistake(
                name="a ratio is not an angle",
                value=ratio,
                words="Rise over chord is a ratio. Times 57 makes degrees of it.",
                share=0.25,
            ),
            Mistake(
                name="decimal point slipped",
                value=10 * good,
                words="Ten times too much. Was the chord in centimetres and the rise in mm?",
            ),
        ),
    )


def decalage(f: Figures) -> Key:
    wing = incidence.angle_deg(f["wing_leading_mm"], f["wing_trailing_mm"], f["wing_chord_mm"])
    tail = incidence.angle_deg(f["tail_leading_mm"], f["tail_trailing_mm"], f["tail_chord_mm"])
    return Key(
        value=wing - tail,
        tolerance=0.1,
        why="Two angles, each over its own chord, and then their difference.",
        mistakes=(
            Mistake(
                name="added instead of taken away",
                value=wing + tail,
                words="Decalage is a difference. Tail up by the same angle leaves none.",
            ),
            Mistake(
                name="the wing's angle alone matters",
                value=wing,
                words="That is the wing alone. Put wing and tail up one degree each: the flight "
                "stays the same. Only the difference counts.",
            ),
            Mistake(
                name="tail minus wing",
                value=tail - wing,
                words="The size is good, the sign is not. It is wing minus tail.",
                share=0.5,
            ),
        ),
    )


def shim(f: Figures) -> Key:
    good = incidence.shim_for_angle_mm(f["change_deg"], f["socket_mm"])
    return Key(
        value=good,
        tolerance=0.05,
        why="The change in angle over 57, times the length of the socket.",
        mistakes=(
            Mistake(
                name="shim on the wrong side",
                value=-good,
                words="The size is good. On that side it takes decalage away, and the aeroplane "
                "dives harder. Lift the tail's trailing edge.",
                share=0.5,
            ),
            Mistake(
                name="the whole angle instead of the change",
                value=incidence.shim_for_angle_mm(f["now_deg"] + f["change_deg"], f["socket_mm"]),
                words="The team has most of that angle already. Shim only the change.",
            ),
            Mistake(
                name="the chord instead of the socket",
                value=incidence.shim_for_angle_mm(f["change_deg"], f["tail_chord_mm"]),
                words="A shim works on the length it sits under. That is the socket, not the "
                "tailplane.",
                share=0.25,
            ),
            Mistake(
                name="degrees used as they are",
                value=f["change_deg"] * f["socket_mm"],
                words="The angle must go over 57 before it meets a length.",
            ),
        ),
    )


def side(f: Figures) -> Key:
    good, wrong = (MORE, LESS) if f["seen"] == "dives" else (LESS, MORE)
    return Key(
        value=letter(f, good),
        why="It is the difference between wing and tail that lifts or drops the nose.",
        mistakes=(
            Mistake(
                name="shim moved the wrong way",
                value=letter(f, wrong),
                words="That makes it worse. Follow the nose: tail lifted more, nose goes down "
                "less. Look at the lab once more.",
            ),
            Mistake(
                name="the wing's angle alone matters",
                value=letter(f, BOTH),
                words="With both one degree up the difference is the same, and so is the flight.",
            ),
            Mistake(
                name="more power for a bad trim",
                value=letter(f, TURNS),
                words="More turns only make it happen harder. Trim first, power later.",
            ),
        ),
    )


def error(f: Figures) -> Key:
    good = 2 * f["error_mm"] / f["chord_mm"] * DEGREES
    return Key(
        value=good,
        tolerance=0.03,
        why="Both edges can be off, in the two directions that hurt.",
        mistakes=(
            Mistake(
                name="one edge only",
                value=good / 2,
                words="There are two readings. At the worst both are off.",
                share=0.5,
            ),
            Mistake(
                name="usual instead of worst",
                value=good / math.sqrt(2),
                words="That is the usual error of two readings. The question asks for the worst.",
                share=0.5,
            ),
            Mistake(
                name="a ratio is not an angle",
                value=good / DEGREES,
                words="That is the ratio. Times 57 makes degrees of it.",
                share=0.25,
            ),
        ),
    )


def boom_end(f: Figures) -> Key:
    good = f["change_deg"] * f["boom_mm"] / DEGREES
    return Key(
        value=good,
        tolerance=0.2,
        why="The angle over 57, times the long lever.",
        mistakes=(
            Mistake(
                name="the chord instead of the boom",
                value=f["change_deg"] * f["tail_chord_mm"] / DEGREES,
                words="That is what the tailplane's own edges would show. The boom is longer: "
                "that is why it is the better place to measure.",
                share=0.25,
            ),
            Mistake(
                name="boom end the wrong way",
                value=-good,
                words="The size is good. Boom end down takes decalage away.",
                share=0.5,
            ),
            Mistake(
                name="degrees used as they are",
                value=f["change_deg"] * f["boom_mm"],
                words="The angle must go over 57 before it meets a length.",
            ),
        ),
    )


def case(f: Figures) -> Key:
    missing_mm = f["card_mm"] - f["measured_mm"]
    good = missing_mm * f["socket_mm"] / f["boom_mm"]
    return Key(
        value=good,
        tolerance=0.2,
        why="The boom's end tells how far the tail has turned. The shim turns it back at the "
        "socket, a shorter lever.",
        mistakes=(
            Mistake(
                name="shim moved the wrong way",
                value=-good,
                words="The size is good, the side is not. The next flight would be worse. "
                "Compare the boom's end with its card: up or down?",
                share=0.5,
            ),
            Mistake(
                name="nothing is wrong with it",
                value=0.0,
                words="Three flights alike are not bad luck, and the card and the ruler disagree "
                "by more than the ruler's error.",
            ),
            Mistake(
                name="the chord instead of the socket",
                value=missing_mm * f["tail_chord_mm"] / f["boom_mm"],
                words="The shim sits under the socket, not under the tailplane's edge.",
                share=0.25,
            ),
            Mistake(
                name="boom end used as the shim",
                value=missing_mm,
                words="That is how far the long lever moved. The shim works on the short one.",
            ),
        ),
    )


WORDS_KEY = {
    2: "Says that a reading has an error of about this size and names a better step: measure "
    "again, use the boom's end, or let the flight decide.",
    1: "Says only that rulers are not exact, or only measure again, without a reason.",
    0: "Says that one of the two must be careless, or nothing.",
}

SENTENCES = {
    2: "Half a millimetre at each edge is already most of a degree, so both can be honest. "
    "I would measure at the boom's tail end, and then let a low-power flight decide.",
    1: "Rulers are not exact, so measure again.",
    0: "One of them did it wrong.",
}
