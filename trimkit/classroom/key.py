"""What an instructor's marking file is made of: a key and its named mistakes for each task."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trimkit.lesson.task import Figures, letter


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake:
    """A wrong answer that has a name.

    Parameters
    ----------
    name : str
        Name of the misunderstanding [-].
    value : float or str
        The answer it leads to [in the task's unit].
    words : str
        Why it is wrong, and where to look next; never the key [-].
    share : float
        Share of the points it still earns, 0 to 1 [-].
    """

    name: str
    value: float | str
    words: str
    share: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """The key of one task for one pupil.

    Parameters
    ----------
    value : float or str
        The answer [in the task's unit].
    tolerance : float
        How far a number may be off and earn all points; 0 for a choice [in the task's unit].
    why : str
        Why a good answer is good [-].
    mistakes : tuple of Mistake
        At least three for a number [-].
    """

    value: float | str
    tolerance: float = 0.0
    why: str
    mistakes: tuple[Mistake, ...] = ()


def choice_key(
    figures: Figures, good: int, why: str, wrong: Mapping[int, tuple[str, str, float]]
) -> Key:
    """Make the key of a choice: one place is good, each other one is a mistake with a name.

    Parameters
    ----------
    figures : mapping
        The pupil's figures, with their "order" [-].
    good : int
        The good choice's position in the author's order [-].
    why : str
        Why it is good [-].
    wrong : mapping of int to (str, str, float)
        Name, words and share of the points of each choice; that of the good one is left out [-].

    Returns
    -------
    Key
        Letters as this pupil sees them [-].
    """
    mistakes = tuple(
        Mistake(name=name, value=letter(figures, place), words=words, share=share)
        for place, (name, words, share) in wrong.items()
        if place != good
    )
    return Key(value=letter(figures, good), why=why, mistakes=mistakes)
