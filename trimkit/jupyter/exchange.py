"""nbgrader's exchange, where a school has one: a folder that all accounts of a machine share."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nbgrader.apps.baseapp import NbGrader
from nbgrader.auth import Authenticator
from nbgrader.coursedir import CourseDirectory
from nbgrader.exchange import ExchangeError
from nbgrader.exchange.default import ExchangeFetchFeedback

from trimkit.lesson import handin

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

    def has(self, lesson: str) -> bool:
        """Say whether a lesson was handed out.

        Parameters
        ----------
        lesson : str
            The lesson's folder [-].

        Returns
        -------
        bool
            True when it was [-].
        """
        return (self.root / self.course / "outbound" / lesson).is_dir()


def at_desk(root: Path) -> Exchange | None:
    """Find the exchange of a coach's course, when the machine's settings name one.

    Parameters
    ----------
    root : pathlib.Path
        The course folder [-].

    Returns
    -------
    Exchange or None
        None when there is none, or the coach may not write into it [-].
    """
    found = _named(_settings(root))
    return found if found is not None and os.access(found.root / found.course, os.W_OK) else None


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
    found = _named(_settings(work))
    return found if found is not None and found.has(lesson) else None


def fetch(work: Path) -> str:
    """Bring pages that a coach gave back to where nbgrader's own command puts them.

    Parameters
    ----------
    work : pathlib.Path
        The work folder; a page that it has already is left alone [-].

    Returns
    -------
    str
        What hinders it, empty when nothing does [-].
    """
    settings = _settings(work)
    found = _named(settings)
    if found is None or not (found.root / found.course / "feedback").is_dir():
        return ""
    try:
        for lesson in sorted(work.glob("[0-9][0-9]-*")):
            about = CourseDirectory(parent=settings, assignment_id=lesson.name)
            _FetchNew(
                coursedir=about,
                authenticator=Authenticator(parent=settings),
                parent=settings,
                assignment_dir=str(work),
            ).start()
    except (ExchangeError, OSError) as error:
        return f"Pages that your coach gave back cannot be fetched: {error}. Tell your coach."
    return ""


class _FetchNew(ExchangeFetchFeedback):  # type: ignore[misc]
    """nbgrader's own, which would write every page again each time."""

    feedback_files: list[tuple[str, str, str]]

    def do_copy(self, src: str, dest: str) -> None:
        self.feedback_files = [
            (notebook, day, page)
            for notebook, day, page in self.feedback_files
            if _newer(Path(page), Path(dest) / day / f"{notebook}.html")
        ]
        super().do_copy(src, dest)


def _newer(page: Path, kept: Path) -> bool:
    return not kept.exists() or page.stat().st_mtime > kept.stat().st_mtime


def _settings(work: Path) -> NbGrader:
    settings = NbGrader(log_level="ERROR")  # most machines have no such settings
    settings.config_file_paths.append(str(work))
    settings.load_config_file()
    return settings


def _named(settings: Any) -> Exchange | None:
    course = settings.config.get("CourseDirectory", {}).get("course_id")
    root = Path(settings.config.get("Exchange", {}).get("root") or USUAL)
    return Exchange(root, course) if isinstance(course, str) and course else None


def submit(work: Path, lesson: str, to: Exchange) -> None:
    """Hand a lesson to the exchange, with nbgrader's own command.

    What goes is what a zip would hold: the notebook and the logs of the cases, nothing else.

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
    ValueError
        When there is no such lesson here, or no pupil's number is known.
    """
    with tempfile.TemporaryDirectory(prefix="trimkit-hand-in-") as folder:
        _submit(handin.make(work, lesson, Path(folder), as_folder=True), to)


def _submit(made: handin.HandIn, to: Exchange) -> None:
    command = [sys.executable, "-P", "-m", "nbgrader", "submit", made.checks.lesson]
    try:
        done = subprocess.run(
            [*command, f"--course={to.course}", f"--Exchange.root={to.root}"],
            cwd=made.path,
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
