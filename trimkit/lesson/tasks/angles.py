"""Lesson 02, angles from a ruler: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit import incidence, trim
from trimkit.aeroplane import replace
from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled
from trimkit.lesson.tasks.models import SHIM_DIVES_MM, SHIM_STALLS_MM, boom_end_mm, trainer

_RATIO = Check(
    "ratio, not degrees",
    lambda value, _: abs(value) < 0.2,
    "That is very small. Rise over chord is a ratio. Times 57 turns it into degrees.",
)
_TOO_STEEP = Check(
    "too steep",
    lambda value, _: abs(value) > 15,
    "No wing is set as steep as that. Look at the decimal point, and use mm for both.",
)


def _half(random: Random, low: float, high: float) -> float:
    """Draw a ruler reading in steps of half a millimetre."""
    return random.randint(round(2 * low), round(2 * high)) / 2


def _draw_angle(random: Random) -> Figures:
    trailing = _half(random, 22, 30)
    return {
        "chord_mm": random.randint(80, 100),
        "trailing_mm": trailing,
        "leading_mm": trailing + _half(random, 3, 6),
    }


ANGLE = Task(
    id="02.1",
    title="One angle",
    kind="number",
    unit="°",
    draw=_draw_angle,
    ask=lambda f: (
        f"A wing sits on its stick. Its leading edge is {f['leading_mm']} mm above the table, "
        f"its trailing edge {f['trailing_mm']} mm. The chord is {f['chord_mm']} mm. "
        "What is the wing's angle, in degrees? Leading edge up is +."
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "Look at the two heights. Which edge is higher? Leading edge up is +.",
        ),
        _RATIO,
        _TOO_STEEP,
    ),
    look="the worked example: rise over chord, times 57.",
)


def _draw_decalage(random: Random) -> Figures:
    wing_trailing = _half(random, 24, 30)
    tail_trailing = _half(random, 18, 24)
    return {
        "wing_chord_mm": random.randint(94, 102),
        "wing_trailing_mm": wing_trailing,
        "wing_leading_mm": wing_trailing + _half(random, 5.5, 7.5),
        "tail_chord_mm": random.randint(70, 76),
        "tail_trailing_mm": tail_trailing,
        "tail_leading_mm": tail_trailing + _half(random, 2, 3),
    }


def _wing_angle(f: Figures) -> float:
    return incidence.angle_deg(f["wing_leading_mm"], f["wing_trailing_mm"], f["wing_chord_mm"])


DECALAGE = Task(
    id="02.2",
    title="Wing against tail",
    kind="number",
    unit="°",
    draw=_draw_decalage,
    ask=lambda f: (
        f"Wing: leading edge {f['wing_leading_mm']} mm, trailing edge {f['wing_trailing_mm']} "
        f"mm, chord {f['wing_chord_mm']} mm.\n"
        f"Tailplane: leading edge {f['tail_leading_mm']} mm, trailing edge "
        f"{f['tail_trailing_mm']} mm, chord {f['tail_chord_mm']} mm.\n"
        "What is the decalage, wing angle minus tail angle, in degrees?"
    ),
    checks=(
        _RATIO,
        _TOO_STEEP,
        Check(
            "more than the wing alone",
            lambda value, f: value > _wing_angle(f) + 0.05,
            "That is more than the wing's own angle. The tail's leading edge is up as well. "
            "Does that add, or take away?",
        ),
        Check(
            "limit case",
            lambda value, _: value < 0,
            "Try an easy case first. If the tail were level, the decalage would be the wing's "
            "own angle. Does your way of working give that?",
        ),
    ),
    look="the two-step example: one angle, the other angle, then the difference.",
)


def _draw_shim(random: Random) -> Figures:
    return {
        "now_deg": random.randint(18, 24) / 10,
        "change_deg": random.randint(8, 12) / 10,
        "socket_mm": random.randint(42, 50),
        "tail_chord_mm": random.randint(74, 80),
    }


SHIM = Task(
    id="02.4",
    title="From an angle to a shim",
    kind="number",
    unit="mm",
    draw=_draw_shim,
    ask=lambda f: (
        f"The decalage is {f['now_deg']:.1f}°. The team wants "
        f"{f['now_deg'] + f['change_deg']:.1f}°. The boom's socket is {f['socket_mm']} mm long; "
        f"the tailplane's chord is {f['tail_chord_mm']} mm. How thick a shim goes in at the end "
        "of the socket? + lifts the tail's trailing edge: more decalage."
    ),
    checks=(
        Check(
            "shim too thick",
            lambda value, _: abs(value) > 6,
            "A shim is a sliver of wood, a few millimetres at most. Did the 57 go astray?",
        ),
        Check(
            "sign",
            lambda value, _: value < 0,
            "A minus shim takes decalage away. What does the team want?",
        ),
        Check(
            "shim too thin",
            lambda value, _: abs(value) < 0.1,
            "That is thinner than paper. It would not move the tail by a degree.",
        ),
    ),
    look="the shim lab: move the shim and watch the tail's angle.",
)

_SIDES = (
    "Boom's tail end up, so more decalage",
    "Boom's tail end down, so less decalage",
    "Wing and tail both one degree up",
    "The same again with more turns",
)

SIDE = Task(
    id="02.5",
    title="Which way?",
    kind="choice",
    draw=lambda random: {
        "seen": random.choice(("dives", "stalls")),
        "flights": random.randint(3, 5),
        "order": shuffled(random, len(_SIDES)),
    },
    ask=lambda f: (
        f"At low power the aeroplane {f['seen']} in all {f['flights']} flights. The balance "
        "point is where the drawing says. Which one change do you try?"
    ),
    choices=_SIDES,
    look="the table: what you see, which way the tail goes.",
)

ERROR = Task(
    id="02.3",
    title="How sure is the ruler?",
    kind="number",
    unit="°",
    draw=lambda random: {
        "error_mm": random.choice((0.3, 0.4, 0.5)),
        "chord_mm": random.randint(70, 90),
    },
    ask=lambda f: (
        f"You can read each edge to within {f['error_mm']} mm. The chord is {f['chord_mm']} mm. "
        "At the very worst, one edge reads too high and the other too low. By how many degrees "
        "can your angle be off?"
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "How far off is a size, so leave the minus away.",
        ),
        Check(
            "ratio, not degrees",
            lambda value, _: abs(value) < 0.05,
            "That is very small. Did you turn the ratio into degrees, times 57?",
        ),
        Check(
            "too large",
            lambda value, _: abs(value) > 5,
            "With an error like that a ruler would be useless. Look at the decimal point.",
        ),
    ),
    look="the five pupils at the start: one aeroplane, five angles.",
)

BOOM_END = Task(
    id="02.6",
    title="The longer lever",
    kind="number",
    unit="mm",
    draw=lambda random: {
        "change_deg": random.randint(8, 16) / 10,
        "boom_mm": random.randint(250, 290),
        "tail_chord_mm": random.randint(72, 78),
    },
    ask=lambda f: (
        f"You want {f['change_deg']:.1f}° more decalage. The boom's tail end is {f['boom_mm']} mm "
        f"behind the point it tilts about. The tailplane's chord is {f['tail_chord_mm']} mm. By "
        "how many millimetres must the boom's tail end go up?"
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "A minus would take the boom's tail end down. Which way gives more decalage?",
        ),
        Check(
            "too far",
            lambda value, _: abs(value) > 30,
            "That would bend the boom to the ceiling. Did the 57 go astray?",
        ),
    ),
    look="the shim lab: the height of the boom's tail end.",
)


def _draw_case(random: Random) -> Figures:
    aeroplane = trainer()
    socket_mm = aeroplane.build.tail.socket_mm
    boom_mm = boom_end_mm(aeroplane)
    beyond_mm = random.randint(1, 6) / 10
    hidden_mm = random.choice((SHIM_DIVES_MM - beyond_mm, SHIM_STALLS_MM + beyond_mm))
    change_deg = incidence.angle_for_shim_deg(hidden_mm, socket_mm)
    card_mm = _half(random, 36, 44)
    shim_mm = aeroplane.setting.shim_mm + hidden_mm
    flown = trim.glide(replace(aeroplane, shim_mm=shim_mm))
    return {
        "seen": flown.verdict,
        "card_mm": card_mm,
        "measured_mm": round(2 * (card_mm + boom_mm * change_deg / 57.2958)) / 2,
        "boom_mm": boom_mm,
        "socket_mm": socket_mm,
        "tail_chord_mm": aeroplane.build.tail.chord_mm,
    }


CASE = Task(
    id="02.7",
    title="The case: a fault you do not know",
    kind="number",
    unit="mm",
    draw=_draw_case,
    ask=lambda f: (
        f"The trainer flew well last week. Today it {f['seen']} at low power, three times the "
        "same. The balance point is on its mark.\n"
        f"Boom's tail end above the table: {f['card_mm']} mm on the trim card, "
        f"{f['measured_mm']} mm on your ruler.\n"
        f"The boom tilts in its socket: the socket is {f['socket_mm']:g} mm long, the boom's "
        f"tail end is {f['boom_mm']} mm behind it. The tailplane's chord is "
        f"{f['tail_chord_mm']:g} mm.\n"
        "What shim puts the boom back on its card? + lifts its tail end, - lowers it, 0 changes "
        "nothing."
    ),
    checks=(
        Check(
            "shim too thick",
            lambda value, _: abs(value) > 6,
            "That is far too thick for the socket. Boom end and socket are two different levers.",
        ),
        Check(
            "boom end as shim",
            lambda value, f: abs(abs(value) - abs(f["measured_mm"] - f["card_mm"])) < 0.3,
            "That is how far the boom's tail end moved. The shim sits at the short lever, the "
            "socket.",
        ),
    ),
    look="the shim lab: first the angle from the long lever, then the shim for the short one.",
)

LESSON = Lesson(
    id="02",
    title="Angles from a ruler",
    tasks=(ANGLE, DECALAGE, ERROR, SHIM, SIDE, BOOM_END, CASE),
)
