"""The casebook: cases of three levels, each known to be solvable within its minutes.

A case is an aeroplane and a seed. Neither says what is wrong. That every one can be solved with
what the clinic offers was tried by a synthetic expert in the pupils' own hall; the study keeps
its minutes. The cases are the same for every class: practice, and for handing in.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from trimkit import files, places
from trimkit.lesson.case import LOG_NAME, PLAN, Case, log_name, opened
from trimkit.lesson.referee import Refused, Terms

BUDGET_MIN: Mapping[int, float] = MappingProxyType({1: 40.0, 2: 50.0, 3: 75.0})
"""Minutes that a pupil is given, by level; at least one and a half times the expert's most."""
CASES: Mapping[int, tuple[tuple[str, int], ...]] = MappingProxyType(
    {
        1: (
            ("hallfinch-46", 6),
            ("hallfinch-46", 9),
            ("hallfinch-46", 10),
            ("hallfinch-46", 12),
            ("hallfinch-46", 15),
            ("hallfinch-46", 16),
            ("hallfinch-46", 18),
            ("hallfinch-46", 23),
            ("hallfinch-46", 24),
            ("hallfinch-46", 25),
            ("hallfinch-46", 31),
            ("hallfinch-46", 34),
            ("hallfinch-46", 39),
            ("hallfinch-46", 43),
            ("hallfinch-46", 44),
            ("hallfinch-46", 45),
            ("hallfinch-46", 46),
            ("hallfinch-46", 49),
            ("hallfinch-46", 51),
            ("hallfinch-46", 52),
            ("hallfinch-46", 54),
            ("hallfinch-46", 57),
        ),
        2: (
            ("hallfinch-46", 1),
            ("longreed-42", 1),
            ("hallfinch-46", 2),
            ("stubwren-33", 2),
            ("hallfinch-46", 3),
            ("longreed-42", 4),
            ("hallfinch-46", 5),
            ("longreed-42", 5),
            ("longreed-42", 6),
            ("hallfinch-46", 7),
            ("stubwren-33", 7),
            ("stubwren-33", 9),
            ("longreed-42", 10),
            ("longreed-42", 12),
            ("stubwren-33", 13),
            ("stubwren-33", 14),
            ("longreed-42", 16),
            ("hallfinch-46", 17),
            ("stubwren-33", 17),
            ("longreed-42", 19),
            ("stubwren-33", 20),
            ("longreed-42", 23),
        ),
        3: (
            ("stubwren-33", 3),
            ("stubwren-33", 5),
            ("hallfinch-46", 8),
            ("stubwren-33", 8),
            ("stubwren-33", 11),
            ("stubwren-33", 12),
            ("hallfinch-46", 14),
            ("hallfinch-46", 19),
            ("longreed-42", 21),
            ("longreed-42", 25),
            ("stubwren-33", 25),
            ("hallfinch-46", 27),
            ("longreed-42", 27),
            ("stubwren-33", 28),
            ("hallfinch-46", 29),
            ("hallfinch-46", 30),
            ("stubwren-33", 31),
            ("hallfinch-46", 33),
            ("stubwren-33", 34),
            ("hallfinch-46", 35),
            ("longreed-42", 35),
            ("hallfinch-46", 37),
        ),
    }
)
"""For each level the aeroplane and the seed of each case, from the study."""


def open_case(level: int, number: int) -> Case:
    """Open a case of the casebook; it goes on where its log ends.

    Parameters
    ----------
    level : int
        1 to 3 [-].
    number : int
        1 to the number of cases in that level [-].

    Returns
    -------
    Case
        The same for every class [-].

    Raises
    ------
    Refused
        When there is no such case.
    """
    if isinstance(level, bool) or level not in list(CASES):
        raise Refused(f"level is {str(level)[:20]}; allowed is 1, 2 or 3.")
    known = CASES[level]
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= len(known):
        raise Refused(f"number is {str(number)[:20]}; allowed is 1 to {len(known)}.")
    return opened(terms(*known[number - 1]))


def terms(aeroplane: str, seed: int | str) -> Terms:
    """Say what a case that is the same for every class follows from: no word, one thing wrong.

    Parameters
    ----------
    aeroplane : str
        Name of a demo aeroplane [-].
    seed : int or str
        Its seed [-].

    Returns
    -------
    Terms
        For the hall, and for who marks it [-].
    """
    planned = files.load_aeroplane(places.demo_aeroplanes()[aeroplane])
    return Terms(seed=str(seed), aeroplane=planned, class_word="", faults=1)


def place(seed: str, aeroplane: str) -> tuple[int, int] | None:
    """Say where a case stands in the book.

    Parameters
    ----------
    seed : str
        Its seed [-].
    aeroplane : str
        Name of the demo aeroplane's file [-].

    Returns
    -------
    (int, int) or None
        Level and number, None when it is not in the book [-].
    """
    for level, known in CASES.items():
        for number, (name, one) in enumerate(known, 1):
            if (name, str(one)) == (aeroplane, seed):
                return level, number
    return None


def recognised(log: Path, class_word: str) -> tuple[str, Terms] | None:
    """Say which case a log is of: the one choice that gives its name.

    Only cases of the book are the same for every class; others follow from the class word. An
    aeroplane that does not come with the course is looked for beside the log.

    Parameters
    ----------
    log : pathlib.Path
        The log [-].
    class_word : str
        The coach's word [-].

    Returns
    -------
    (str, Terms) or None
        Name of the demo aeroplane or of the file beside the log, and what the case follows from;
        None when no usual name and no known aeroplane give it [-].

    Raises
    ------
    FileError
        When the aeroplane beside the log cannot be used.
    """
    name = log.stem
    found = LOG_NAME.fullmatch(name)
    if found is None:
        return None
    faults, words = int(found["faults"]), dict.fromkeys((class_word, ""))
    aeroplanes, plan = places.demo_aeroplanes(), log.with_suffix(PLAN)
    if plan.is_file():
        aeroplanes[plan.name] = plan
    for demo, path in aeroplanes.items():
        planned = files.load_aeroplane(path)
        for seed, word in itertools.product(_seeds(found["seed"]), words):
            strange = word != class_word and place(seed, demo) is None
            if not strange and log_name(seed, planned.name, word, faults) == name:
                return demo, Terms(seed=seed, aeroplane=planned, class_word=word, faults=faults)
    return None


def _seeds(slug: str) -> tuple[str, ...]:
    """What a case may have been called, to be written like that in a log's name."""
    forms = (str, str.capitalize, str.upper)
    parts = slug.split("-")
    joined = [join.join(map(form, parts)) for form in forms for join in ("-", " ", "")]
    return tuple(dict.fromkeys((*joined, " ".join(parts).capitalize())))
