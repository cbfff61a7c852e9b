"""Keys and named mistakes of lesson 03, where it balances."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit import balance
from trimkit.classroom.key import Key, Mistake, choice_key
from trimkit.lesson.task import Figures

NOSE_MM = -5.0  # where the propeller of task 03.2 sits
SLACK, PLENTY = 5.0, 45.0  # margins in percent, from the lesson's table
PROPELLER, TAIL, WING, SHIM = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "03.1": beam,
        "03.2": slide,
        "03.3": margin,
        "03.4": meaning,
        "03.5": power_stall,
        "03.6": minimum,
        "03.7": case,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def beam(f: Figures) -> Key:
    parts = [(f[f"{part}_g"], f[f"{part}_mm"]) for part in ("wing", "stick", "tail", "propeller")]
    propeller_g, propeller_mm = parts[-1]
    return Key(
        value=balance.centre_of_gravity_mm(parts).station_mm,
        tolerance=0.5,
        why="Grams times millimetres, added up, over all the grams.",
        mistakes=(
            Mistake(
                name="the minus of the nose lost",
                value=balance.centre_of_gravity_mm(
                    [*parts[:-1], (propeller_g, -propeller_mm)]
                ).station_mm,
                words="The propeller sits in front of the bearing: its millimetres are minus.",
                share=0.5,
            ),
            Mistake(
                name="the propeller left out",
                value=balance.centre_of_gravity_mm(parts[:-1]).station_mm,
                words="A part near the bearing adds few gram-millimetres, but all its grams.",
                share=0.25,
            ),
            Mistake(
                name="every part counted alike",
                value=sum(station for _, station in parts) / len(parts),
                words="That is the mean of the places. A heavy part counts for more.",
                share=0.0,
            ),
        ),
    )


def slide(f: Figures) -> Key:
    good = balance.saddle_shift_from_figures_mm(
        f["mass_g"], f["balance_mm"], f["wing_g"], f["added_g"], NOSE_MM
    )
    after_g = f["mass_g"] + f["added_g"]
    return Key(
        value=good,
        tolerance=0.4,
        why="The lever from the propeller, times the new grams, over all but the wing.",
        mistakes=(
            Mistake(
                name="the wing has mass too",
                value=f["added_g"] * (f["balance_mm"] - NOSE_MM) / after_g,
                words="That is how far the balance moved. The wing takes its own grams along, so "
                "it must slide further: leave it out when you divide.",
                share=0.5,
            ),
            Mistake(
                name="wing slid the wrong way",
                value=-good,
                words="The size is good. Wing back puts the balance even further forward on it.",
                share=0.5,
            ),
            Mistake(
                name="the lever from the leading edge",
                value=f["added_g"] * f["edge_mm"] / (after_g - f["wing_g"]),
                words="The new grams sit at the propeller. Take the lever from there.",
                share=0.25,
            ),
        ),
    )


def margin(f: Figures) -> Key:
    ahead_mm = f["neutral_mm"] - f["cg_mm"]
    good = 100 * ahead_mm / f["chord_mm"]
    return Key(
        value=good,
        tolerance=0.6,
        why="How far it balances ahead of the neutral point, over the chord.",
        mistakes=(
            Mistake(
                name="ahead and behind swapped",
                value=-good,
                words="The size is good. It balances nearer to the nose than the neutral point: +.",
                share=0.5,
            ),
            Mistake(
                name="millimetres taken for percent",
                value=ahead_mm,
                words="Those are millimetres. How much of the chord is that?",
                share=0.25,
            ),
            Mistake(
                name="where it balances, not the margin",
                value=100 * f["cg_mm"] / f["chord_mm"],
                words="That is where it balances on the chord. The margin is the way from there to "
                "the neutral point.",
                share=0.25,
            ),
        ),
    )


def _meant(f: Figures) -> int:
    percent = 100 * (f["neutral_mm"] - f["cg_mm"]) / f["chord_mm"]
    if percent < 0:
        return 2
    if percent < SLACK:
        return 1
    return 3 if percent > PLENTY else 0


def meaning(f: Figures) -> Key:
    words = "Work out the margin first, with its sign. Then read the table from there."
    return choice_key(
        f,
        _meant(f),
        "The margin says whether the nose comes back, and how hard.",
        {
            0: ("steady without a margin", words, 0.0),
            1: ("slack without a sign", words, 0.0),
            2: ("a shim cures every balance", words, 0.0),
            3: ("ahead and behind swapped", words, 0.0),
        },
    )


def power_stall(f: Figures) -> Key:
    return choice_key(
        f,
        0,
        "The balance was on its mark, so the tail is a hair too low at its edge. Both powers "
        "say whether it helped.",
        {
            1: (
                "nose weight cures every stall",
                "The swing goes, but at low power it now sinks. And every gram is carried on "
                "every flight.",
                0.0,
            ),
            2: (
                "clay and wing against one another",
                "They cancel. It balances as before, and it is heavier.",
                0.0,
            ),
            3: (
                "shim moved the wrong way",
                "More decalage lifts the nose more, and more turns lift it harder.",
                0.0,
            ),
        },
    )


def minimum(f: Figures) -> Key:
    airframe_g = f["minimum_g"] - f["short_g"]
    good = balance.ballast_for_minimum_g(airframe_g, f["minimum_g"], f["spare_g"])
    return Key(
        value=good,
        tolerance=0.02,
        why="Rubber off, then what is missing, then what you want to spare.",
        mistakes=(
            Mistake(
                name="nothing to spare",
                value=f["short_g"],
                words="That is on the line exactly. Other scales may read a little less.",
                share=0.5,
            ),
            Mistake(
                name="the spare taken away",
                value=f["short_g"] - f["spare_g"],
                words="Then you are still under the minimum. The spare comes on top.",
                share=0.25,
            ),
            Mistake(
                name="the rubber counted in",
                value=good - f["rubber_g"],
                words="The rule is about the aeroplane without rubber. Take the rubber off first.",
                share=0.25,
            ),
        ),
    )


def _cause(f: Figures) -> int:
    if abs(f["boom_mm"] - f["card_boom_mm"]) > 0.75:
        return SHIM
    if abs(f["wing_mm"] - 118.5) > 1.5:
        return WING
    return PROPELLER if f["mass_g"] > 11.95 else TAIL


def case(f: Figures) -> Key:
    words = "Which reading is off by more than its error? That one names the cause."
    return choice_key(
        f,
        _cause(f),
        "Weight, mark and boom end told four causes apart. The balance point alone could not.",
        {
            PROPELLER: ("heavier without scales", words, 0.0),
            TAIL: ("lighter without scales", words, 0.0),
            WING: ("wing slid without looking at its mark", words, 0.0),
            SHIM: ("a shim for every dive", words, 0.0),
        },
    )


WORDS_KEY = {
    2: "Slides the wing back, or takes grams off the tail, and gives the reason: clay is carried "
    "on every flight, or the wing moves the balance without a gram.",
    1: "Slides the wing back or measures the balance point, without a reason.",
    0: "Puts clay on the nose, or slides the wing forward.",
}

SENTENCES = {
    2: "I would slide the wing back until it balances at its mark, because that adds no gram, and "
    "clay must be carried on every flight.",
    1: "Slide the wing back.",
    0: "Put clay on the nose until it stops.",
}
