"""nbgrader's exchange, where a school has one: a folder that all accounts of a machine share."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from nbgrader.apps.baseapp import NbGrader

USUAL = "/usr/local/share/nbgrader/exchange"  # nbgrader's own default
WAIT_S = 60.0
REFUSED = "The file to hand in is made, but nbgrader's exchange did not take it. Tell your coach."


@dataclass(frozen=True, slots=True)
class Exchange:
    """An exchange that takes hand-ins.

    Parameters
    ----------
    root : pathlib.Path
        Its folder [-].
    course : str
        nbgrader's name of the course [-].
    """

    root: Path
    course: str


def find(work: Path, lesson: str) -> Exchange | None:
    """Find the exchange that nbgrader's own settings name, when it knows a lesson.

    Parameters
    ----------
    work : pathlib.Path
        The work folder; settings in it count too [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    Exchange or None
        None when no course is named, or the lesson is not released in it [-].
    """
    settings = NbGrader(log_level="ERROR")  # most machines have no such settings
    settings.config_file_paths.append(str(work))
    settings.load_config_file()
    course = settings.config.get("CourseDirectory", {}).get("course_id")
    root = Path(settings.config.get("Exchange", {}).get("root") or USUAL)
    if not isinstance(course, str) or not (root / course / "outbound" / lesson).is_dir():
        return None
    return Exchange(root, course)


def submit(work: Path, lesson: str, to: Exchange) -> None:
    """Hand a lesson to the exchange, as nbgrader's own command does.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].
    lesson : str
        The lesson's folder [-].
    to : Exchange
        The exchange [-].

    Raises
    ------
    OSError
        When nbgrader refuses, with its words.
    """
    try:
        done = subprocess.run(
            [sys.executable, "-m", "nbgrader", "submit", lesson, f"--course={to.course}"],
            cwd=work,
            capture_output=True,
            text=True,
            encoding="utf-8",
            errors="replace",
            timeout=WAIT_S,
        )
    except subprocess.TimeoutExpired:
        raise OSError(f"{REFUSED} It took longer than {WAIT_S:.0f} s") from None
    if done.returncode:
        said = [line for line in done.stderr.splitlines() if "CRITICAL" in line or "ERROR" in line]
        raise OSError(f"{REFUSED} It said: {' '.join(said[:2]) or 'nothing'}")
