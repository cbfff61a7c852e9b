"""Lesson 08, the propeller: the questions and each pupil's own figures."""

from __future__ import annotations

from random import Random

from trimkit.lesson.task import Check, Figures, Lesson, Task, least_gap, shuffled

GAUGE_DEG = 36  # the trainer's blades, by the gauge three quarters of the way to the tip

# The trainer with 1157 turns in still air at 20 °C, its blades turned by so many degrees:
# seconds, metres climbed to, turns used each second, turns left.
PITCH_FLIES = {
    -8: (67.2, 6.9, 8.9, 562),
    -4: (85.0, 8.1, 7.9, 489),
    0: (97.9, 8.6, 7.1, 467),
    4: (105.1, 8.5, 6.4, 486),
    8: (105.5, 7.7, 5.8, 542),
}
# The same with another diameter in mm.
SIZE_FLIES = {220: (118.8, 11.9, 204), 240: (97.9, 8.6, 467), 260: (45.9, 2.7, 865)}
# A triangle of card as a gauge: its height in mm on 100 mm, for each blade angle in degrees.
TRIANGLE_MM = {30: 58, 33: 65, 36: 73, 39: 81, 42: 90}
OTHER_HAND_S = 2.7  # a left-handed propeller on the trainer, and nothing else changed


def _draw_advance(random: Random) -> Figures:
    return {"speed_m_s": random.randint(21, 29) / 10, "rate": random.randint(58, 94) / 10}


ADVANCE = Task(
    id="08.1",
    title="How far for one turn?",
    kind="number",
    unit="mm",
    draw=_draw_advance,
    ask=lambda f: (
        f"Your aeroplane flies {f['speed_m_s']} m/s. Its propeller makes {f['rate']} turns each "
        "second. How many millimetres does it go forward with one turn?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "It goes forward, not back."),
        Check(
            "metres, not millimetres",
            lambda value, _: 0 < value < 10,
            "That would be less than the width of a finger. Is it in metres?",
        ),
        Check(
            "more than two metres",
            lambda value, _: value > 2000,
            "That is further than you are tall, with one single turn.",
        ),
    ),
    look="metres in a second, shared among the turns in a second. Then millimetres.",
)


def _draw_lasts(random: Random) -> Figures:
    while True:
        on, left = random.randint(105, 125) * 10, random.randint(40, 56) * 10
        slow, more = random.randint(62, 72) / 10, random.randint(12, 20) / 10
        if abs((on - left) / (slow - more) - on / (slow + more)) > 2:
            return {"on": on, "left": left, "slow": slow, "more": more}


LASTS = Task(
    id="08.2",
    title="The fast one and the slow one",
    kind="number",
    unit="s",
    draw=_draw_lasts,
    ask=lambda f: (
        f"Two propellers, each with {f['on']} turns on and {f['left']} left at landing. The slow "
        f"one uses {f['slow']} turns each second, the fast one {f['more']} more than that. How "
        "long does the fast one fly?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "A flight takes some time."),
        Check(
            "longer than a turn each second",
            lambda value, f: value > f["on"],
            "At that it would make less than one turn each second.",
        ),
    ),
    look="turns used, shared by the turns in a second of the fast one.",
)

_PITCHES = (
    "Turn both blades 3° finer: a lower angle",
    "Turn both blades 3° coarser: a higher angle",
    "Leave the blades: free the shaft and oil the bearing",
    "Leave the blades: wind to the torque on the card",
)
FINER, COARSER, FREE_IT, WIND = range(4)
_SEEN = {
    FINER: "At the card's torque it flies flat. The propeller is slow: {slow} turns each second. "
    "{many} % of the turns are left. Flicked, it spins freely",
    COARSER: "At the card's torque it shoots up. The propeller screams: {fast} turns each second. "
    "{few} % of the turns are left at landing",
    FREE_IT: "At the card's torque it flies flat, with {usual} turns each second. {many} % of the "
    "turns are left. Flicked, it stops at once",
    WIND: "It flies flat. The torque meter read a third less than the card at the launch. Flicked, "
    "it spins freely. The gauge agrees with the card within {gauge}°",
}


def _draw_pitch(random: Random) -> Figures:
    place = random.randint(0, 3)
    seen = _SEEN[place].format(
        slow=random.randint(42, 50) / 10,
        fast=random.randint(110, 125) / 10,
        usual=random.randint(66, 72) / 10,
        many=random.randint(48, 60),
        few=random.randint(1, 4),
        gauge=random.choice(("a half", "one")),
    )
    return {"place": place, "seen": seen, "order": shuffled(random, len(_PITCHES))}


PITCH = Task(
    id="08.3",
    title="Finer, coarser, or leave it?",
    kind="choice",
    draw=_draw_pitch,
    ask=lambda f: f"The trim is good. {f['seen']}. What do you do?",
    choices=_PITCHES,
    look="first torque, then friction. Only then the angle: is the propeller slow, or fast?",
)


_ROLLS = (
    "It rolls to the left",
    "It rolls to the right",
    "It does not roll: the wing holds it",
    "The nose goes up",
)
LEFT, RIGHT = range(2)

ROLL = Task(
    id="08.4",
    title="Which way does torque roll it?",
    kind="choice",
    draw=lambda random: {
        "clockwise": random.random() < 0.5,
        "where": random.choice(("from behind", "from in front")),
        "order": shuffled(random, len(_ROLLS)),
    },
    ask=lambda f: (
        f"Seen {f['where']}, this propeller turns "
        f"{'clockwise' if f['clockwise'] else 'anticlockwise'} in flight. What does the rubber's "
        "torque do to the aeroplane? Left and right are the pilot's."
    ),
    choices=_ROLLS,
    look="hold the propeller and let the body go. And from where do you look?",
)


def _draw_match(random: Random) -> Figures:
    while True:
        one = (random.randint(68, 76) / 2, random.randint(68, 76) / 2)
        other = (random.randint(58, 70) / 2, random.randint(58, 70) / 2)
        gap = sum(one) / 2 - sum(other) / 2
        answers = (gap, gap / 2, one[0] - other[0], sum(one) / 2)
        if gap >= 2 and abs(one[0] - one[1]) <= 2 and least_gap(answers) > 0.7:
            return {"one_deg": one, "other_deg": other}


MATCH = Task(
    id="08.5",
    title="Make the blades match",
    kind="number",
    unit="°",
    draw=_draw_match,
    ask=lambda f: (
        "You lay the gauge twice on each blade. The first blade reads "
        f"{f['one_deg'][0]}° and {f['one_deg'][1]}°, the second {f['other_deg'][0]}° and "
        f"{f['other_deg'][1]}°. The first is good. By how many degrees do you turn the second, so "
        "that they match?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "The second is the finer one. It goes up."),
        Check(
            "a whole blade angle",
            lambda value, _: value > 20,
            "That is the angle of a blade, not a difference between two.",
        ),
    ),
    look="a mean for each blade. Then the difference.",
)


def _draw_tape(random: Random) -> Figures:
    while True:
        more_mg, at_mm = random.randint(8, 14) * 5, random.randint(8, 13) * 5
        tape_mg = random.randint(6, 10) * 5
        answers = (
            more_mg * at_mm / tape_mg,
            at_mm * tape_mg / more_mg,
            at_mm,
            more_mg * at_mm,
        )
        if answers[0] < 114 and least_gap(answers) > 4:
            return {"more_mg": more_mg, "at_mm": at_mm, "tape_mg": tape_mg}


TAPE = Task(
    id="08.6",
    title="Where does the tape go?",
    kind="number",
    unit="mm",
    draw=_draw_tape,
    ask=lambda f: (
        f"One blade has {f['more_mg']} mg too much, {f['at_mm']} mm from the shaft. Your strip of "
        f"tape weighs {f['tape_mg']} mg. How far from the shaft does it go on the other blade?"
    ),
    checks=(
        Check(
            "sign", lambda value, _: value <= 0, "It goes on the other blade, outside the shaft."
        ),
        Check(
            "beyond the tip",
            lambda value, _: 120 < value < 1000,
            "The blade ends 120 mm from the shaft.",
        ),
    ),
    look="as with the beam: milligrams times millimetres is the same on both sides.",
)

_CAUSES = (
    "Pitch too low: turn both blades coarser",
    "Pitch too high: turn both blades finer",
    "Something rubs: free the hook, oil the bearing",
    "The hub slips: glue it",
)
LOW, HIGH, RUBS, SLIPS = range(4)
# Seconds, turns used each second, turns left: 6° finer; 16° coarser; .25 mN m; half the grip.
CASES = {
    LOW: (76.7, 8.3, 518),
    HIGH: (81.3, 5.0, 749),
    RUBS: (73.5, 7.0, 639),
    SLIPS: (75.2, 8.3, 531),
}
CASE_SIZES = {LOW: 6.0, HIGH: 16.0, RUBS: 0.25, SLIPS: 0.5}


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 3)
    time_s, rate, left = CASES[place]
    turned = {LOW: -6, HIGH: 16}.get(place, 0)
    return {
        "time_s": round(time_s),
        "rate": rate,
        "left": left + random.choice((-3, 0, 3)),
        "gauge_deg": GAUGE_DEG + turned + random.choice((-1, 0, 1)),
        "spin_s": round((1.5 if place == RUBS else 6.0) + random.choice((-0.5, 0.0, 0.5)), 1),
        "grip": place != SLIPS,
        "order": shuffled(random, len(_CAUSES)),
    }


def _ask_case(f: Figures) -> str:
    grip = "holds" if f["grip"] else "gives way and turns on its shaft"
    return (
        f"Turns and torque are the card's. It flew 98 s, now {f['time_s']} s, three times, with "
        f"{f['rate']} turns each second (card: 7.1) and {f['left']} left (card: 467).\n"
        f"Pitch gauge on both blades: {f['gauge_deg']}°, {GAUGE_DEG} on the card, good to 1.\n"
        f"Flicked, rubber off, it spins {f['spin_s']} s, 6.0 on the card, good to 1.\n"
        f"Held by the shaft and twisted gently, the propeller {grip}.\n"
        "What is the cause, and the cure?"
    )


CASE = Task(
    id="08.7",
    title="The case: twenty seconds are gone",
    kind="choice",
    draw=_draw_case,
    ask=_ask_case,
    choices=_CAUSES,
    look="which reading is off by more than its error? Gauge, spin, grip.",
)

LESSON = Lesson(
    id="08",
    title="The propeller",
    tasks=(ADVANCE, LASTS, PITCH, ROLL, MATCH, TAPE, CASE),
)
