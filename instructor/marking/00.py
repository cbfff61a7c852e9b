"""Keys and named mistakes of lesson 00, start here."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit.classroom.key import Key, Mistake
from trimkit.lesson.task import Figures, letter
from trimkit.lesson.tasks.start import BUDGET_G, TURNS, weighed_g

LEADING, TRAILING, WASH_IN, WASH_OUT = range(4)


def keys(figures: Mapping[str, Figures]) -> dict[str, Key]:
    """Work out the keys for one pupil from the pupil's own figures."""
    makers = {
        "00.1": word,
        "00.2": mean,
        "00.3": scatter,
        "00.4": rate,
        "00.5": hall,
        "00.6": wood,
        "00.7": budget,
        "00.8": gram,
    }
    return {task_id: maker(figures[task_id]) for task_id, maker in makers.items()}


def word(f: Figures) -> Key:
    said = {
        LEADING: (
            "leading and trailing swapped",
            "The leading edge leads: it goes first through the air. Walk with the aeroplane.",
        ),
        TRAILING: (
            "trailing and leading swapped",
            "The trailing edge trails behind. Which edge is meant here?",
        ),
        WASH_IN: (
            "wash-in and wash-out swapped",
            "Wash-in is a twist with the trailing edge down at the tip. Is that what it says?",
        ),
        WASH_OUT: (
            "wash-out and wash-in swapped",
            "Wash-out is a twist with the trailing edge up at the tip. Is that what it says?",
        ),
    }
    good = f["place"]
    edge = (LEADING, TRAILING)
    return Key(
        value=letter(f, good),
        why="You matched the words with the drawing.",
        mistakes=tuple(
            Mistake(
                name=name,
                value=letter(f, place),
                words=words,
                share=0.25 if (place in edge) == (good in edge) else 0.0,
            )
            for place, (name, words) in said.items()
            if place != good
        ),
    )


def mean(f: Figures) -> Key:
    clean = f["clean_s"]
    return Key(
        value=sum(clean) / 3,
        tolerance=0.5,
        why="Three flights, added up and shared out by three. The wall is not the trim.",
        mistakes=(
            Mistake(
                name="the wall counted as a flight",
                value=(sum(clean) + f["wall_s"]) / 4,
                words="A flight that hit something goes into the log, but says little of the trim.",
                share=0.5,
            ),
            Mistake(
                name="added and not shared out",
                value=float(sum(clean)),
                words="That is all of them in a row. Share it out over the flights.",
                share=0.25,
            ),
            Mistake(
                name="middle of longest and shortest",
                value=(max(clean) + min(clean)) / 2,
                words="That leaves out one flight. All of those you keep count the same.",
                share=0.5,
            ),
        ),
    )


def scatter(f: Figures) -> Key:
    times = f["times_s"]
    half, middle = (max(times) - min(times)) / 2, sum(times) / 3
    good = 100 * half / middle
    return Key(
        value=good,
        tolerance=0.6,
        why="Half of longest minus shortest, over the mean, in percent.",
        mistakes=(
            Mistake(
                name="the whole way instead of half",
                value=2 * good,
                words="From the mean it goes only half of that way up, and half of it down.",
                share=0.5,
            ),
            Mistake(
                name="seconds instead of percent",
                value=half,
                words="Those are seconds. Put them over the mean and make percent of it.",
                share=0.25,
            ),
            Mistake(
                name="a ratio is not percent",
                value=half / middle,
                words="The ratio is good. Times a hundred makes percent of it.",
                share=0.5,
            ),
        ),
    )


def rate(f: Figures) -> Key:
    return Key(
        value=(TURNS - f["left"]) / f["time_s"],
        tolerance=0.06,
        why="Wound, less let off, less left: those were used, in so many seconds.",
        mistakes=(
            Mistake(
                name="turns let off counted as used",
                value=(f["wound"] - f["left"]) / f["time_s"],
                words="Some turns went before the launch. Those did not fly.",
                share=0.5,
            ),
            Mistake(
                name="turns left counted as used",
                value=TURNS / f["time_s"],
                words="It landed with turns on the rubber. Take away what was not used.",
                share=0.25,
            ),
            Mistake(
                name="left taken for used",
                value=f["left"] / f["time_s"],
                words="Those are the turns that were left. Which ones were used?",
                share=0.25,
            ),
            Mistake(
                name="not shared out over the time",
                value=float(TURNS - f["left"]),
                words="So many were used in all. The question asks for each second.",
                share=0.5,
            ),
        ),
    )


def hall(f: Figures) -> Key:
    said = (
        (
            "a pole where none is needed",
            "A pole is for what hangs high. What is in danger here, and whose eyes?",
        ),
        (
            "eyes only",
            "Covering your eyes is for rubber being wound. What is the danger here?",
        ),
        (
            "calling is not all",
            "Calling helps when somebody is in the way of a launch. Is that so here?",
        ),
        (
            "hurry before safety",
            "Nothing in the hall is in such a hurry. A wing is mended in minutes; people are not.",
        ),
    )
    good = f["scene"]
    return Key(
        value=letter(f, good),
        why="People first, then the aeroplane, then the flight.",
        mistakes=tuple(
            Mistake(name=name, value=letter(f, place), words=words)
            for place, (name, words) in enumerate(said)
            if place != good
        ),
    )


def wood(f: Figures) -> Key:
    volume_cm3 = f["thick_mm"] * f["wide_mm"] * f["long_mm"] / 1000
    good = 1000 * f["mass_g"] / volume_cm3
    return Key(
        value=good,
        tolerance=2.0,
        why="Grams for each cubic centimetre, times a thousand.",
        mistakes=(
            Mistake(
                name="left in grams for a cubic centimetre",
                value=good / 1000,
                words="That is in g/cm³. A cubic metre holds a million of those.",
                share=0.5,
            ),
            Mistake(
                name="divided the wrong way round",
                value=volume_cm3 / f["mass_g"],
                words="That is how many cm³ a gram fills. Density is grams for each cm³.",
                share=0.25,
            ),
            Mistake(
                name="one zero too many",
                value=10 * good,
                words="Ten times too much. One of the lengths was not in mm, or a zero was lost.",
                share=0.25,
            ),
        ),
    )


def budget(f: Figures) -> Key:
    left = BUDGET_G - weighed_g(f)
    return Key(
        value=left,
        tolerance=0.03,
        why="Five parts added up, taken from the budget.",
        mistakes=(
            Mistake(
                name="sum instead of what is left",
                value=weighed_g(f),
                words="That is what is spent. The question asks what is left of the budget.",
                share=0.5,
            ),
            Mistake(
                name="the propeller forgotten",
                value=left + f["propeller_g"],
                words="One heavy part is missing in your sum. It sits at the nose.",
                share=0.25,
            ),
            Mistake(
                name="taken away the wrong way round",
                value=-left,
                words="The size is good, the sign is not: budget less what is spent.",
                share=0.5,
            ),
        ),
    )


def gram(f: Figures) -> Key:
    seconds, grams = f["light_s"] - f["heavy_s"], f["heavy_g"] - f["light_g"]
    return Key(
        value=seconds / grams,
        tolerance=0.5,
        why="The seconds between the twins, over the grams between them.",
        mistakes=(
            Mistake(
                name="not for each gram",
                value=seconds,
                words="That is what all the extra mass cost. The twins are not one gram apart.",
                share=0.5,
            ),
            Mistake(
                name="divided the wrong way round",
                value=grams / seconds,
                words="That is grams for each second. The question asks it the other way round.",
                share=0.25,
            ),
            Mistake(
                name="all the seconds over all the grams",
                value=f["heavy_s"] / f["heavy_g"],
                words="Only what differs between the twins tells what a gram costs.",
                share=0.25,
            ),
        ),
    )


WORDS_KEY = {
    2: "Says that one flight proves little because unchanged flights differ too (launch, air), "
    "and wants the same flight again, or compares the gain with the usual scatter.",
    1: "Wants to fly again, without a reason; or says that flights differ, without a next step.",
    0: "Takes the longer flight as proof, or changes something else.",
}

SENTENCES = {
    2: "I would fly both again with nothing changed, because the same aeroplane can differ by "
    "ten seconds from launch and air alone.",
    1: "I would fly it again.",
    0: "The new one is better because it flew longer.",
}
