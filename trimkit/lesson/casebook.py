"""The casebook: cases of three levels, each known to be solvable within its minutes.

A case is an aeroplane and a seed. Neither says what is wrong. That every one can be solved with
what the clinic offers was tried by a synthetic expert in the pupils' own hall; the study keeps
its minutes. The cases are the same for every class: practice, and for handing in.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trimkit import files, places
from trimkit.lesson.case import Case, opened
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


def terms(aeroplane: str, seed: int) -> Terms:
    """Say what a case of the book follows from: no class word, one thing wrong.

    Parameters
    ----------
    aeroplane : str
        Name of a demo aeroplane [-].
    seed : int
        Its seed [-].

    Returns
    -------
    Terms
        For the hall, and for who marks it [-].
    """
    planned = files.load_aeroplane(places.demo_folder() / "aeroplanes" / f"{aeroplane}.toml")
    return Terms(seed=str(seed), aeroplane=planned, class_word="", faults=1)


def holds(seed: str, aeroplane: str) -> bool:
    """Tell whether a case stands in the book.

    Parameters
    ----------
    seed : str
        Its seed [-].
    aeroplane : str
        Name of the demo aeroplane's file [-].

    Returns
    -------
    bool
        True when it does [-].
    """
    return any((aeroplane, seed) == (name, str(one)) for known in CASES.values()
               for name, one in known)  # fmt: skip
