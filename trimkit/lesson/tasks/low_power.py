"""Lesson 04, the first low-power flights: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit import balance, trim
from trimkit.aeroplane import replace
from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled
from trimkit.lesson.tasks.models import (
    SHIM_DIVES_MM,
    SHIM_STALLS_MM,
    WING_DIVES_MM,
    WING_STALLS_MM,
    boom_end_mm,
    trainer,
)

_VERDICTS = (
    "It dives",
    "It is good",
    "It stalls",
    "Its motor has stopped",
)

_CHANGES_MM = (
    SHIM_DIVES_MM - 1.3,  # so far that no steady glide is left
    SHIM_DIVES_MM - 0.5,
    -0.2,
    0.0,
    0.1,
    SHIM_STALLS_MM,
    SHIM_STALLS_MM + 0.1,
)


def _draw_verdict(random: Random) -> Figures:
    aeroplane = trainer()
    change_mm = random.choice(_CHANGES_MM)
    flown = trim.glide(replace(aeroplane, shim_mm=aeroplane.setting.shim_mm + change_mm))
    return {
        "found": flown.found,
        "speed_m_s": round(flown.speed_m_s, 1),
        "sink_m_s": round(flown.sink_m_s, 2),
        "least_sink_m_s": round(flown.least_sink_m_s, 2),
        "stall_margin_deg": round(flown.stall_margin_deg, 1),
        "order": shuffled(random, len(_VERDICTS)),
    }


def _ask_verdict(f: Figures) -> str:
    if not f["found"]:
        return (
            "Let go by hand, it finds no steady path at all. Even with the wing "
            f"{f['stall_margin_deg']:.1f}° below its stall, where no lift is left, the nose still "
            "drops. What do you call it?"
        )
    return (
        f"A steady glide at {f['speed_m_s']:.1f} m/s sinks {f['sink_m_s']:.2f} m/s. The least "
        f"this aeroplane can do is {f['least_sink_m_s']:.2f} m/s. The wing is "
        f"{f['stall_margin_deg']:.1f}° below its stall. What do you call it?"
    )


VERDICT = Task(
    id="04.1",
    title="Dive, good or stall?",
    kind="choice",
    draw=_draw_verdict,
    ask=_ask_verdict,
    choices=_VERDICTS,
    look="the three words in the box: dives, good, stalls, and the figures behind each.",
)

_FIRST_STEPS = (
    "Measure the balance point and the boom's tail end, then change one thing",
    "Fly again with twice the turns",
    "Throw it harder",
    "Change the shim and the wing's place together",
)

FIRST_STEP = Task(
    id="04.2",
    title="What first?",
    kind="choice",
    draw=lambda random: {
        "seen": random.choice(("noses down and hits the floor", "noses up, stops and drops")),
        "flights": random.randint(2, 4),
        "order": shuffled(random, len(_FIRST_STEPS)),
    },
    ask=lambda f: (
        f"A new aeroplane {f['seen']}. {f['flights']} flights at low power look the same. What do "
        "you do first?"
    ),
    choices=_FIRST_STEPS,
    look="the list: look, measure, one change, the same flight again.",
)


def _draw_sink(random: Random) -> Figures:
    time_s = random.randint(25, 42) / 10
    speed_m_s = random.randint(29, 32) / 10
    return {
        "height_m": random.choice((1.5, 1.6, 1.8)),
        "time_s": time_s,
        "distance_m": round(time_s * speed_m_s, 1),
    }


SINK = Task(
    id="04.3",
    title="How fast does it sink?",
    kind="number",
    unit="m/s",
    draw=_draw_sink,
    ask=lambda f: (
        f"A pupil lets go of the aeroplane {f['height_m']} m above the floor, propeller off. It "
        f"lands {f['time_s']:.1f} s later, {f['distance_m']:.1f} m away. How fast does it sink, "
        "in m/s?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "Sink is a size here: no minus."),
        Check(
            "slower than the clock allows",
            lambda value, f: 0 <= value < f["height_m"] / 10,
            "At that sink it would stay up for ten seconds or more. Look at the clock.",
        ),
        Check(
            "faster than it flies",
            lambda value, f: value > f["height_m"],
            "At that sink it would be down within a second. Look at the clock.",
        ),
    ),
    look="sink is height lost, divided by the time it took.",
)

_NEXT_STEPS = (
    "Another shim on the same side, about as thick",
    "Take the shim out and put it on the other side",
    "More turns, the shim has done its work",
    "Leave the shim and add nose weight",
)

NEXT_STEP = Task(
    id="04.4",
    title="Better, not yet good",
    kind="choice",
    draw=lambda random: {
        "before_s": random.randint(15, 20) / 10,
        "after_s": random.randint(32, 40) / 10,
        "shim_mm": random.choice((0.7, 0.8, 0.9)),
        "order": shuffled(random, len(_NEXT_STEPS)),
    },
    ask=lambda f: (
        f"The aeroplane dived to the floor in {f['before_s']:.1f} s. One shim of "
        f"{f['shim_mm']} mm lifted the boom's tail end. Now the dive is shallower and takes "
        f"{f['after_s']:.1f} s, twice the same. What next?"
    ),
    choices=_NEXT_STEPS,
    look="did the flight move towards good, or away from it?",
)


def _draw_missing(random: Random) -> Figures:
    before = random.randint(72, 84) / 2
    return {
        "wanted_deg": random.choice((2.2, 2.4, 2.6)),
        "before_mm": before,
        "after_mm": before + random.choice((3.0, 3.5, 4.0)),
        "boom_mm": random.randint(252, 280),
        "tail_chord_mm": random.randint(72, 78),
    }


MISSING = Task(
    id="04.5",
    title="How much is still missing?",
    kind="number",
    unit="°",
    draw=_draw_missing,
    ask=lambda f: (
        f"You wanted {f['wanted_deg']}° more decalage. With the first shim the boom's tail end "
        f"went from {f['before_mm']} mm to {f['after_mm']} mm. It is {f['boom_mm']} mm behind "
        f"the point it tilts about; the tailplane's chord is {f['tail_chord_mm']} mm. How many "
        "degrees are still missing?"
    ),
    checks=(
        Check(
            "more than was wanted",
            lambda value, f: value >= f["wanted_deg"],
            "That is as much as you wanted at the start. The first shim did something.",
        ),
        Check(
            "gone too far",
            lambda value, _: value < 0,
            "That says the first shim was too much already. Which lever did you use?",
        ),
    ),
    look="first the angle that the shim made, then what is left.",
)

LOW_POWER_SHARE = 1.25  # common practice, no source: low-power test over level-flight torque

TORQUE = Task(
    id="04.6",
    title="Torque for the first test",
    kind="number",
    unit="oz in",
    draw=lambda random: {"level_mNm": random.randint(200, 260) / 100},
    ask=lambda f: (
        f"To fly level this aeroplane needs {f['level_mNm']:.2f} mN m of torque. The low-power "
        "test uses 1.25 times as much. Your torque meter reads ounce-inches; one ounce-inch is "
        "7.06 mN m. What should it read at launch?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "A wound motor reads more than nothing."),
        Check(
            "unit",
            lambda value, f: value > f["level_mNm"],
            "An ounce-inch is bigger than a mN m. So the number in ounce-inches is smaller.",
        ),
    ),
    look="first 1.25 times, then from one unit to the other.",
)

_CAUSES = (
    "Too little decalage: lift the boom's tail end",
    "Too much decalage: lower the boom's tail end",
    "Wing too far back: slide it forward",
    "Wing too far forward: slide it back",
)


def _case_setting(random: Random) -> dict[str, float]:
    setting = trainer().setting
    place, beyond = random.randint(0, 3), random.randint(1, 5)
    changed_mm = (
        SHIM_DIVES_MM - beyond / 10,
        SHIM_STALLS_MM + beyond / 10,
        WING_DIVES_MM + beyond,
        WING_STALLS_MM - beyond,
    )[place]
    if place < 2:
        return {"shim_mm": setting.shim_mm + changed_mm}
    return {"wing_station_mm": setting.wing_station_mm + changed_mm}


def _draw_case(random: Random) -> Figures:
    aeroplane = trainer()
    changed = replace(aeroplane, **_case_setting(random))
    boom_mm = boom_end_mm(aeroplane)
    card_boom_mm = random.randint(72, 88) / 2
    shim_mm = changed.setting.shim_mm - aeroplane.setting.shim_mm
    lifted_mm = boom_mm * shim_mm / aeroplane.build.tail.socket_mm
    return {
        "seen": trim.glide(changed).verdict,
        "card_boom_mm": card_boom_mm,
        "boom_mm": round(2 * (card_boom_mm + lifted_mm)) / 2,
        "card_balance_mm": round(balance.balance_point_mm(aeroplane)),
        "balance_mm": round(balance.balance_point_mm(changed) + random.choice((-0.5, 0.0, 0.5))),
        "order": shuffled(random, len(_CAUSES)),
    }


CASE = Task(
    id="04.7",
    title="The case: a fault you do not know",
    kind="choice",
    draw=_draw_case,
    ask=lambda f: (
        f"After a night in its box the trainer {f['seen']}. Launch and air are the same as last "
        "week.\n"
        f"Boom's tail end above the table: {f['card_boom_mm']} mm on the trim card, "
        f"{f['boom_mm']} mm on your ruler, good to half a millimetre.\n"
        f"Balance point behind the wing's leading edge: {f['card_balance_mm']} mm on the card, "
        f"{f['balance_mm']} mm on your balance, good to one.\n"
        "What is the cause, and the cure?"
    ),
    choices=_CAUSES,
    look="put each measurement beside its card. Which one is off by more than its error?",
)

LESSON = Lesson(
    id="04",
    title="The first low-power flights",
    tasks=(VERDICT, FIRST_STEP, SINK, NEXT_STEP, MISSING, TORQUE, CASE),
)
