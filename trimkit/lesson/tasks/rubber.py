"""Lesson 07, the rubber motor: the questions and each pupil's own figures."""

from __future__ import annotations

import math
from random import Random

from trimkit import motor
from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled

HALL_C = 20.0

# The trainer in still air at 20 °C, by its turns: seconds flown, and metres climbed to.
FLIES = {578: (14.0, 1.7), 800: (34.0, 2.5), 1000: (66.6, 5.0), 1157: (97.9, 8.6)}
# Rubber of another batch, torque against the usual one: at 1157 turns, and at the usual torque.
STRONG, WEAK = 1.1, 0.9
BATCH_FLIES = {STRONG: ((116.6, 11.6), (102.5, 9.3)), WEAK: ((76.8, 6.1), (91.5, 8.0))}
# The same grams of rubber cut to another width, wound to the usual torque: turns, seconds, left.
WIDTH_FLIES = {0.8: (1906, 104.1, 1171), 1.0: (1157, 97.9, 467), 1.2: (716, 80.9, 145)}
HALF_MOTOR_S, HALF_MOTOR_M = 57.2, 4.6  # half the loop and a spacer, half the turns
COLD_S = 78.9  # 1157 turns at 10 °C


def _draw_rate(random: Random) -> Figures:
    return {
        "on": random.randint(110, 125) * 10,
        "off": random.randint(4, 9) * 10,
        "left": random.randint(28, 44) * 10,
        "time_s": random.randint(80, 110),
    }


RATE = Task(
    id="07.1",
    title="How fast does the propeller turn?",
    kind="number",
    unit="turns/s",
    draw=_draw_rate,
    ask=lambda f: (
        f"You wound {f['on']} turns and backed off {f['off']}. The flight took {f['time_s']} s. "
        f"{f['left']} turns were left at landing. How many turns did the propeller use in each "
        "second?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "The propeller did turn. Use what was used up."),
        Check(
            "more than were wound",
            lambda value, f: value > f["on"],
            "That is more turns in a second than you wound. Divide by the time.",
        ),
    ),
    look="turns used are turns on, less those backed off, less those left. Then the time.",
)

_TRAVELS = (
    "Wind until the torque meter reads what the card says; write the turns down",
    "Wind the turns that the card says",
    "Wind a tenth more turns, to be sure",
    "Leave the rubber and put in a shim",
)

TRAVELS = Task(
    id="07.2",
    title="New rubber on contest day",
    kind="choice",
    draw=lambda random: {
        "turns": random.randint(105, 120) * 10,
        "torque": random.randint(56, 64) / 100,
        "why": random.choice(
            ("You open a new batch of rubber", "The hall is ten degrees colder than yours")
        ),
        "order": shuffled(random, len(_TRAVELS)),
    },
    ask=lambda f: (
        f"{f['why']}. The trim card says: launch torque {f['torque']:.2f} oz in, about "
        f"{f['turns']} turns. How do you wind?"
    ),
    choices=_TRAVELS,
    look="the two flights with the new batch. Which of the two numbers kept the flight as it was?",
)


def _draw_limit(random: Random) -> Figures:
    return {
        "width_mm": random.randint(21, 26) / 10,
        "loop_mm": random.randint(39, 46) * 10,
        "percent": random.choice((80, 85, 90)),
    }


LIMIT = Task(
    id="07.3",
    title="How many turns will it take?",
    kind="number",
    unit="turns",
    draw=_draw_limit,
    ask=lambda f: (
        f"A loop is {f['loop_mm']} mm long. Its strip is {f['width_mm']} mm wide and 1.1 mm "
        f"thick, and there are two strands. The rule: it breaks near 7.78 x loop / √section. You "
        f"wind to {f['percent']} % of that. How many turns?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "A loop takes more turns than none."),
        Check(
            "far too many",
            lambda value, f: value > 7.78 * f["loop_mm"],
            "No loop of that length takes so many. Did you divide by the root?",
        ),
    ),
    look="section = width x thickness x strands, in mm². Then its root. Then the percent.",
)


def _draw_part(random: Random) -> Figures:
    return {
        "whole_g": random.randint(180, 230) / 100,
        "whole_mm": random.randint(40, 46) * 10,
        "percent": random.choice((40, 60, 65, 70)),
    }


PART = Task(
    id="07.4",
    title="A part motor for a low hall",
    kind="number",
    unit="g",
    draw=_draw_part,
    ask=lambda f: (
        f"Your loop weighs {f['whole_g']:.2f} g and is {f['whole_mm']} mm long. For the low school "
        f"hall you make a part motor with {f['percent']} % of its length, and a spacer for the "
        "rest. What must the spacer weigh, so that the aeroplane balances as before?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "A spacer weighs something."),
        Check(
            "heavier than the loop",
            lambda value, f: value >= f["whole_g"],
            "That is as much as the whole loop or more. It stands in for a part of it.",
        ),
    ),
    look="how much of the rubber is gone? The spacer weighs just that.",
)

_RUBBERS = (
    "A thicker loop: 5 to 10 % more section",
    "A thinner, longer loop",
    "The same rubber; wind it to the torque on the card",
    "The same rubber; oil the bearing and free the shaft",
)
THICKER, THINNER, WIND_MORE, FREE_IT = range(4)
_FLOWN = {
    THICKER: (
        "It was wound to the card's torque, and that was all the loop could take. It hardly "
        "climbs. {most} % of the turns are left",
        (38, 45),
    ),
    THINNER: (
        "It shoots up under the roof, then comes down with its power gone. {most} % of the turns "
        "are left",
        (1, 4),
    ),
    WIND_MORE: (
        "It flies flat. {most} % of the turns are left. At the launch the torque meter read a "
        "quarter less than the card says",
        (18, 25),
    ),
    FREE_IT: (
        "It flies flat, with the card's torque at the launch. {most} % of the turns are left. "
        "Flicked with the rubber off, the propeller stops at once",
        (40, 50),
    ),
}


def _draw_which(random: Random) -> Figures:
    place = random.randint(0, 3)
    words, (low, high) = _FLOWN[place]
    return {
        "place": place,
        "seen": words.format(most=random.randint(low, high)),
        "order": shuffled(random, len(_RUBBERS)),
    }


WHICH = Task(
    id="07.5",
    title="Which rubber next?",
    kind="choice",
    draw=_draw_which,
    ask=lambda f: f"The trim is good at low power. {f['seen']}. What next?",
    choices=_RUBBERS,
    look="first the torque at the launch, then the turns left. The table says what they mean.",
)

_RISKS = range(8, 21)
_WANTED = 95


def chances(percent: int, needed: int) -> dict[int, int]:
    """Say how likely enough loops survive, for each number that could be made.

    Parameters
    ----------
    percent : int
        Chance that a loop breaks, 1 to 99 [%].
    needed : int
        How many must be left, 1 or more [-].

    Returns
    -------
    dict
        For `needed` loops and up to nine more: chance that enough are left [%].
    """
    made = range(needed, needed + 10)
    return {n: round(100 * motor.survival_chance(n, needed, percent / 100)) for n in made}


def _draw_stock(random: Random) -> Figures:
    while True:
        percent, needed = random.choice(_RISKS), random.randint(4, 8)
        shown = chances(percent, needed)
        enough = min(made for made, chance in shown.items() if chance >= _WANTED)
        fair = math.ceil(needed / (1 - percent / 100))
        sure = min((made for made, chance in shown.items() if chance >= 100), default=0)
        told = [needed, fair, enough, sure]
        clear = all(chance != _WANTED for chance in shown.values())
        if clear and sure and sorted(set(told)) == told:
            break
    rows = tuple((made, chance) for made, chance in shown.items() if made <= sure)
    return {"percent": percent, "needed": needed, "rows": rows}


def _ask_stock(f: Figures) -> str:
    rows = ", ".join(f"{made} made: {chance} %" for made, chance in f["rows"])
    return (
        f"Of your loops {f['percent']} in a hundred break. For the contest {f['needed']} must be "
        f"left. The chance that at least {f['needed']} are left: {rows}. You want at least "
        f"{_WANTED} %. How many do you make?"
    )


STOCK = Task(
    id="07.6",
    title="How many loops to make?",
    kind="number",
    unit="loops",
    draw=_draw_stock,
    ask=_ask_stock,
    checks=(
        Check(
            "fewer than are needed",
            lambda value, f: value < f["needed"],
            "Then there are too few even if none breaks.",
        ),
    ),
    look=f"the first row of the list that reaches {_WANTED} %.",
)

_CAUSES = (
    "The hall is cold: warm the loop in a pocket, and wind to the torque",
    "Fewer turns than you thought: wind again and count",
    "The loop is dry: lubricate it, and wipe the floor",
    "Weak rubber: wind this batch to the torque, not to the turns",
)
COLD, COUNT, DRY, TIRED = range(4)
# Seconds, and torque at the launch in mN m: 10 °C; 1064 turns; dry by six tenths; a weak batch.
CASES = {COLD: (78.9, 4.20), COUNT: (79.0, 3.84), DRY: (79.3, 4.35), TIRED: (76.8, 3.92)}
CARD = {"time_s": 97.9, "turns": 1157, "torque_mNm": 4.35, "temperature_c": 20}


def _draw_case(random: Random) -> Figures:
    place = random.randint(0, 3)
    time_s, torque_mNm = CASES[place]
    return {
        "time_s": round(time_s),
        "torque_mNm": round(torque_mNm + random.choice((-0.05, 0.0, 0.05)), 2),
        "temperature_c": (10 if place == COLD else 20) + random.choice((-1, 0, 1)),
        "counted": (1064 if place == COUNT else 1157) + random.choice((-4, 0, 4)),
        "squeaks": place == DRY,
        "order": shuffled(random, len(_CAUSES)),
    }


def _ask_case(f: Figures) -> str:
    feel = "squeaks between two fingers" if f["squeaks"] else "slides between two fingers"
    return (
        f"Last week {CARD['time_s']:.0f} s, today {f['time_s']} s, three times. Trim and bearing "
        "are good.\n"
        f"Thermometer: {f['temperature_c']} °C today, {CARD['temperature_c']} on the card, good to "
        "1.\n"
        f"Turns, counted again: {f['counted']}; {CARD['turns']} on the card, good to 10.\n"
        f"Torque at the launch: {f['torque_mNm']:.2f} mN m, {CARD['torque_mNm']} on the card, "
        "good to .2.\n"
        f"The loop {feel}.\n"
        "What is the cause, and what do you do?"
    )


CASE = Task(
    id="07.7",
    title="The case: twenty seconds are gone",
    kind="choice",
    draw=_draw_case,
    ask=_ask_case,
    choices=_CAUSES,
    look="lay each reading beside its card: warmth, count and feel first, torque last.",
)

LESSON = Lesson(
    id="07",
    title="The rubber motor",
    tasks=(RATE, TRAVELS, LIMIT, PART, WHICH, STOCK, CASE),
)
