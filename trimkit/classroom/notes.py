"""What the crowd and its markers write to each other."""

from __future__ import annotations

from dataclasses import dataclass

SKIPPED = "skip-execution"  # the tag of cells that wait for a hand on a slider


@dataclass(frozen=True, slots=True, kw_only=True)
class Errand:
    """What a marker is told when it starts.

    Parameters
    ----------
    root, instructor : str
        The course folder and the instructor's folder [-].
    gradebook : str
        address of nbgrader's database [-].
    lesson : str
        The lesson's folder [-].
    class_word : str
        The coach's word [-].
    submitted : str
        Folder with the notebooks as taken in [-].
    folders : list of str
        The pupils' folders in it [-].
    longest_s : float
        The limit for a notebook [s].
    """

    root: str
    instructor: str
    gradebook: str
    lesson: str
    class_word: str
    submitted: str
    folders: list[str]
    longest_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What a marker answers.

    Parameters
    ----------
    folder : str
        The pupil's folder [-].
    trouble : str
        Why it could not be marked, empty when it was [-].
    remarks : tuple of str
        What the coach should know [-].
    lost : bool
        Whether the room was gone, so that it may be tried again [-].
    """

    folder: str
    trouble: str = ""
    remarks: tuple[str, ...] = ()
    lost: bool = False
