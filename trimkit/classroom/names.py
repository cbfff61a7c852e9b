"""What the names of folders and cells say: which pupil, which task."""

from __future__ import annotations

import re

from trimkit.classroom.message import LARGEST_PUPIL

_FOLDER = re.compile(r"(?:pupil[-_ ]?)?(\d{1,4})", re.IGNORECASE)
_GRADE_ID = re.compile(r"task-(\d{2})-(\d{1,2})")


def pupil_number(folder: str) -> int:
    """Read the pupil's number off a submission folder.

    Parameters
    ----------
    folder : str
        Such as "7", "07" or "pupil-07" [-].

    Returns
    -------
    int
        The number [-].

    Raises
    ------
    ValueError
        When the name holds no number from 1 to 9999, or more than a number.

    Examples
    --------
    >>> pupil_number("pupil-07")
    7
    """
    found = _FOLDER.fullmatch(folder.strip())
    if not found or int(found[1]) == 0:
        raise ValueError(
            f"the folder {folder!r} names no pupil. Name it 7 or pupil-07, "
            f"with a number from 1 to {LARGEST_PUPIL} and no person's name."
        )
    return int(found[1])


def is_of(folder: str, pupil: int) -> bool:
    """Say whether a submission folder is that of a pupil.

    Parameters
    ----------
    folder : str
        Its name [-].
    pupil : int
        The pupil's number [-].

    Returns
    -------
    bool
        False too when the name says no number [-].

    Examples
    --------
    >>> is_of("7", 7), is_of("pupil-07", 7), is_of("pupil-70", 7), is_of("old", 7)
    (True, True, False, False)
    """
    try:
        return pupil_number(folder) == pupil
    except ValueError:
        return False


def task_of(grade_id: str) -> str | None:
    """Say which task a grade cell belongs to.

    Parameters
    ----------
    grade_id : str
        Such as "task-02-3" [-].

    Returns
    -------
    str or None
        Such as "02.3", None for another cell [-].
    """
    found = _GRADE_ID.fullmatch(grade_id)
    return f"{found[1]}.{found[2]}" if found else None
