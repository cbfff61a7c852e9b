"""What an instructor's marking file is made of: a key and its named mistakes for each task."""

from __future__ import annotations

from dataclasses import dataclass


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
