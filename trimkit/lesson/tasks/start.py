"""Lesson 00, start here: the questions and each pupil's own figures."""

from __future__ import annotations

from functools import lru_cache
from random import Random

from trimkit import flight, places
from trimkit.aeroplane import Aeroplane
from trimkit.files import load_aeroplane
from trimkit.flight import Flight, Hall, Launch
from trimkit.flight.hall import QUIET_HALL_M_S
from trimkit.lesson.task import Check, Figures, Lesson, Task, shuffled

TURNS = 1157  # on the trainer: twice the torque that holds its height
LOW_TURNS = 750

# The trainer flown again and again with nothing changed, by `repeat`. Seconds, and turns left.
# At 1157 turns the seeds 1, 2, 4 to 8, 11, 12, 14 to 20: those that hit nothing.
CLEAN_FLIGHTS = (
    (99.4, 457),
    (102.6, 435),
    (100.3, 451),
    (92.9, 499),
    (88.4, 530),
    (91.7, 508),
    (95.2, 484),
    (89.7, 521),
    (106.1, 413),
    (95.5, 482),
    (96.9, 473),
    (96.0, 479),
    (91.9, 506),
    (95.3, 484),
    (97.4, 470),
    (93.8, 494),
)
WALL_FLIGHT_S = 62.9  # seed 3
LOW_FLIGHTS_S = (
    *(29.7, 19.1, 23.4, 36.5, 30.4, 20.9, 24.5, 28.8, 30.5, 33.6),
    *(26.9, 29.4, 21.7, 30.7, 32.2, 36.1, 30.8, 28.9, 26.2, 31.9),
)  # 750 turns, seeds 1 to 20

# Seconds flown in still air with so many grams more at the balance point.
HEAVIER_S = {
    0.0: 97.9,
    0.1: 95.6,
    0.2: 93.2,
    0.3: 91.0,
    0.4: 88.7,
    0.5: 86.4,
    0.6: 84.2,
    0.7: 82.1,
    0.8: 79.9,
    0.9: 77.8,
    1.0: 75.7,
    1.2: 71.6,
    1.4: 67.6,
    1.5: 65.7,
    2.0: 56.5,
}


@lru_cache(maxsize=1)
def flyer() -> Aeroplane:
    """Return the docile trainer as it flies in the hall, with its power.

    Returns
    -------
    Aeroplane
        Invented, from the demo folder [-].
    """
    return load_aeroplane(places.demo_aeroplanes()["hallfinch-46"])


def repeat(seed: int, turns: int = TURNS) -> Flight:
    """Fly the trainer once by a practised hand in a quiet hall with people in it.

    Parameters
    ----------
    seed : int
        Which of many flights; launch and air differ a little from one to the next [-].
    turns : int
        Turns on the rubber [turns].

    Returns
    -------
    Flight
        The flight [-].
    """
    launch = Launch(turns=turns, scatter=1.0)
    return flight.fly(
        flyer(), turns=turns, launch=launch, hall=Hall(restless_m_s=QUIET_HALL_M_S), seed=seed
    )


_WORDS = ("leading edge", "trailing edge", "wash-in", "wash-out")
_MEANINGS = (
    ("It is the edge of the wing that meets the air first.", 0),
    ("On the tailplane it is the edge nearest to the propeller.", 0),
    ("It is the edge of the wing where the air leaves.", 1),
    ("On the fin it is the edge at the very back.", 1),
    ("The wing is twisted, and at its tip the back edge hangs lower than in the middle.", 2),
    ("A twist at the tip has a plus sign: the back edge is down.", 2),
    ("The wing is twisted, and at its tip the back edge sits higher than in the middle.", 3),
    ("A twist at the tip has a minus sign: the back edge is up.", 3),
)


def _draw_word(random: Random) -> Figures:
    said, place = random.choice(_MEANINGS)
    return {"said": said, "place": place, "order": shuffled(random, len(_WORDS))}


WORD = Task(
    id="00.1",
    title="Which word?",
    kind="choice",
    draw=_draw_word,
    ask=lambda f: f"{f['said']} Which word is it?",
    choices=_WORDS,
    look="the list of words under the drawing.",
)


def _whole(times_s: list[float]) -> tuple[int, ...]:
    return tuple(round(time_s) for time_s in times_s)


def _draw_mean(random: Random) -> Figures:
    while True:
        clean = _whole([time_s for time_s, _ in random.sample(CLEAN_FLIGHTS, 3)])
        if abs(sum(clean) / 3 - (max(clean) + min(clean)) / 2) > 1.2:
            break
    place = random.randint(0, 3)
    return {"clean_s": clean, "wall_s": round(WALL_FLIGHT_S), "place": place}


def _ask_mean(f: Figures) -> str:
    shown = [f"{time_s} s" for time_s in f["clean_s"]]
    shown.insert(f["place"], f"{f['wall_s']} s (hit the wall)")
    return (
        f"One aeroplane, nothing changed, four flights: {', '.join(shown)}. Leave out the flight "
        "that hit something. What is the mean of the other three, in seconds?"
    )


MEAN = Task(
    id="00.2",
    title="The mean of three flights",
    kind="number",
    unit="s",
    draw=_draw_mean,
    ask=_ask_mean,
    checks=(
        Check("sign", lambda value, _: value <= 0, "A flight takes more time than none."),
        Check(
            "longer than the longest",
            lambda value, f: value > max(f["clean_s"]) + 4,
            "That is longer than the longest flight. Can a mean be that?",
        ),
        Check(
            "shorter than the shortest",
            lambda value, f: value < min(f["clean_s"]) - 4,
            "That is shorter than every flight you keep. Can a mean be that?",
        ),
    ),
    look="the worked example: add, then share out.",
)


def _draw_scatter(random: Random) -> Figures:
    while True:
        times = _whole(random.sample(LOW_FLIGHTS_S, 3))
        if 6 <= max(times) - min(times) <= 14:
            return {"times_s": times}


SCATTER = Task(
    id="00.3",
    title="The scatter of three flights",
    kind="number",
    unit="%",
    draw=_draw_scatter,
    ask=lambda f: (
        f"With only {LOW_TURNS} turns it flies {f['times_s'][0]} s, {f['times_s'][1]} s and "
        f"{f['times_s'][2]} s. Nothing was changed. How many percent is the scatter, either way "
        "of the mean? Take half of longest minus shortest, over the mean, times 100."
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "Scatter is a size. It is more than nothing."),
        Check(
            "ratio, not percent",
            lambda value, _: 0 < value < 1,
            "That is less than one in a hundred. Did you turn it into percent?",
        ),
        Check(
            "more than all",
            lambda value, _: value > 100,
            "That is more than the whole flight. Look at what you divide by.",
        ),
    ),
    look="the worked example: longest minus shortest, half of it, over the mean, times 100.",
)


def _draw_rate(random: Random) -> Figures:
    time_s, left = random.choice(CLEAN_FLIGHTS)
    off = random.randint(40, 90)
    return {"wound": TURNS + off, "off": off, "left": left, "time_s": round(time_s)}


RATE = Task(
    id="00.4",
    title="Turns used each second",
    kind="number",
    unit="turns each second",
    draw=_draw_rate,
    ask=lambda f: (
        f"You wind {f['wound']} turns, then let {f['off']} off again to spare the rubber. It flies "
        f"{f['time_s']} s. After landing you count {f['left']} turns left. How many turns did it "
        "use each second?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "It used some turns. More than nothing."),
        Check(
            "not shared out",
            lambda value, _: value > 50,
            "No propeller this big turns so fast. How many seconds did it have?",
        ),
        Check(
            "too slow",
            lambda value, _: 0 < value < 1,
            "That is less than one turn each second. You could count that by eye.",
        ),
    ),
    look="first the turns it used, then for each second.",
)

_SCENES = (
    "The aeroplane hangs on a lamp, 5 m up. Your turn to fly was next.",
    "Your friend begins to wind the rubber. You stand in line with it, two steps away.",
    "Your aeroplane is wound. Two pupils walk across in front of you.",
)
_ACTIONS = (
    "An adult gets it down with a pole, or it stays there",
    "Cover your eyes and step to the side, out of line",
    'Hold it, call "launching", and wait until nobody is in front',
    "Be quick about it, before anything breaks",
)


def _draw_hall(random: Random) -> Figures:
    return {
        "scene": random.randrange(len(_SCENES)),
        "order": shuffled(random, len(_ACTIONS)),
    }


HALL = Task(
    id="00.5",
    title="In the hall",
    kind="choice",
    draw=_draw_hall,
    ask=lambda f: f"{_SCENES[f['scene']]} What do you do?",
    choices=_ACTIONS,
    look="the cautions of the hall, just above.",
)


def _draw_wood(random: Random) -> Figures:
    side, length = random.choice((2.5, 3.0, 3.5)), random.choice((450, 600, 900))
    wide = random.choice((6, 8, 10))
    volume_mm3 = side * wide * length
    return {
        "thick_mm": side,
        "wide_mm": wide,
        "long_mm": length,
        "mass_g": round(random.randint(85, 130) * volume_mm3 / 1e6, 2),
    }


WOOD = Task(
    id="00.6",
    title="Light wood or heavy wood?",
    kind="number",
    unit="kg/m³",
    draw=_draw_wood,
    ask=lambda f: (
        f"A strip of balsa is {f['thick_mm']} mm thick, {f['wide_mm']} mm wide and "
        f"{f['long_mm']} mm long. It weighs {f['mass_g']:.2f} g. What is its density, in kg/m³?"
    ),
    checks=(
        Check("sign", lambda value, _: value <= 0, "Wood weighs more than nothing."),
        Check(
            "lighter than any wood",
            lambda value, _: 0 < value < 20,
            "No wood is as light as that. 1 g/cm³ is 1000 kg/m³.",
        ),
        Check(
            "heavier than water",
            lambda value, _: value > 800,
            "That would hardly float. 1 cm³ is 1000 mm³: count your zeros.",
        ),
    ),
    look="the worked example: volume in cm³, grams for each cm³, times 1000.",
)
BUDGET_G = 9.0


def _draw_budget(random: Random) -> Figures:
    while True:
        masses = {
            "wing_g": random.randint(50, 62) / 20,
            "tail_g": random.randint(12, 18) / 20,
            "stick_g": random.randint(30, 44) / 20,
            "boom_g": random.randint(8, 12) / 20,
            "propeller_g": random.randint(40, 56) / 20,
        }
        if 0.3 <= BUDGET_G - sum(masses.values()) <= 1.2:
            return {name: round(mass_g, 2) for name, mass_g in masses.items()}


def weighed_g(f: Figures) -> float:
    """Add up what the pupil has weighed.

    Parameters
    ----------
    f : mapping
        The figures of task 00.7 [-].

    Returns
    -------
    float
        Wing, tail, stick, boom and propeller [g].
    """
    return float(sum(f[f"{part}_g"] for part in ("wing", "tail", "stick", "boom", "propeller")))


BUDGET = Task(
    id="00.7",
    title="What is left of the budget?",
    kind="number",
    unit="g",
    draw=_draw_budget,
    ask=lambda f: (
        f"The team wants {BUDGET_G:g} g without rubber. It has weighed: wing {f['wing_g']:.2f} g, "
        f"tailplane and fin {f['tail_g']:.2f} g, stick {f['stick_g']:.2f} g, boom "
        f"{f['boom_g']:.2f} g, propeller and bearing {f['propeller_g']:.2f} g. How many grams are "
        "left for fittings and glue?"
    ),
    checks=(
        Check(
            "sign",
            lambda value, _: value < 0,
            "A minus would mean that too much is spent already. Add up once more.",
        ),
        Check(
            "half the aeroplane",
            lambda value, _: BUDGET_G / 2 < value <= BUDGET_G,
            "That is half an aeroplane of glue. The question is what is left.",
        ),
        Check(
            "more than the budget",
            lambda value, _: value > BUDGET_G,
            "That is more than the whole budget. Look at the decimal point.",
        ),
    ),
    look="add the five parts, then see what is left of the budget.",
)


def _draw_gram(random: Random) -> Figures:
    while True:
        light, heavy = sorted(random.sample(tuple(HEAVIER_S), 2))
        if heavy - light >= 0.5 and abs(heavy - light - 1) > 0.08:
            break
    return {
        "light_g": 9.9 + light,
        "heavy_g": 9.9 + heavy,
        "light_s": HEAVIER_S[light],
        "heavy_s": HEAVIER_S[heavy],
    }


GRAM = Task(
    id="00.8",
    title="What does a gram cost?",
    kind="number",
    unit="s for each gram",
    draw=_draw_gram,
    ask=lambda f: (
        f"Twins from one jig. One weighs {f['light_g']:.1f} g and flies {f['light_s']} s. The "
        f"other weighs {f['heavy_g']:.1f} g and flies {f['heavy_s']} s, with the same turns in "
        "still air. How many seconds does each gram cost?"
    ),
    checks=(
        Check("sign", lambda value, _: value < 0, "A cost is a size here: no minus."),
        Check(
            "hardly anything",
            lambda value, _: 0 <= value < 1,
            "Then a gram would cost hardly a second. Look at the two times again.",
        ),
        Check(
            "more than it flies",
            lambda value, f: value > f["light_s"],
            "Then one gram would keep it on the floor. Look at the two masses again.",
        ),
    ),
    look="first how many seconds apart, how many grams apart; then for each gram.",
)

LESSON = Lesson(
    id="00",
    title="Start here",
    tasks=(WORD, MEAN, SCATTER, RATE, HALL, WOOD, BUDGET, GRAM),
)
