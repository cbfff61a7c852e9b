"""Where a pupil stands in the course, read off what is there already: nothing is kept twice.

Lessons come from the course as released, answers from the attempt log, marks from the pages
that came back. Reading changes no file, so a folder that cannot be written is read as well.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimkit import places
from trimkit.classroom.names import task_of
from trimkit.lesson import attempts, handin
from trimkit.lesson.work import lesson_files

FEEDBACK_FOLDER = "feedback"
CARD = "card.html"
GLOSSARY = "glossary.md"
MOST_CASES = 20
_SITTING = re.compile(r"^## .*\(about (\d+) minutes\)\s*$", re.MULTILINE)
_POINTS = re.compile(r"<strong>([\d.]+ of [\d.]+ points) in all\.</strong>")


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A lesson as released.

    Parameters
    ----------
    id : str
        Two digits [-].
    folder : str
        The lesson's folder [-].
    notebook : str
        The notebook, below the course's folder [-].
    card : str
        The hall card, empty when there is none [-].
    title : str
        Its heading [-].
    minutes : int
        All its sittings together, 0 when it does not say [min].
    tasks : tuple of str
        Its tasks, such as "02.1", in order [-].
    """

    id: str
    folder: str
    notebook: str
    card: str
    title: str
    minutes: int
    tasks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonStanding:
    """How far a pupil is in one lesson.

    Parameters
    ----------
    page : Page
        The lesson [-].
    there : bool
        Whether its notebook is in the work folder [-].
    begun : bool
        Whether the log knows of anything done in it [-].
    good : tuple of str
        Tasks whose last answer had nothing out of place [-].
    feedback : str
        The page that came back, below the work folder, empty when none did [-].
    points : str
        Such as "12 of 16 points", empty when the page does not say [-].
    handed : str
        The file made to hand in, below the work folder, empty when there is none [-].
    changed : bool
        Whether the notebook was changed after that [-].
    """

    page: Page
    there: bool
    begun: bool
    good: tuple[str, ...]
    feedback: str
    points: str
    handed: str
    changed: bool

    @property
    def state(self) -> str:
        """Say it in a few words [-]."""
        if self.feedback:
            return f"marked: {self.points}" if self.points else "marked"
        if self.handed:
            return "handed in, and changed since" if self.changed else "handed in"
        if not self.begun:
            return "not begun"
        return f"{len(self.good)} of {len(self.page.tasks)} checks"

    @property
    def over(self) -> bool:
        """Whether nothing is left to do in it [-]."""
        return not self.there or bool(self.feedback or self.handed)

    @property
    def open_task(self) -> str:
        """Name the first task without a good answer, empty when there is none [-]."""
        return next((task for task in self.page.tasks if task not in self.good), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a pupil stands.

    Parameters
    ----------
    pupil : int
        The pupil's number, 0 for a visitor [-].
    lessons : tuple of LessonStanding
        In order [-].
    notes : tuple of str
        What could not be read, and what to do [-].
    """

    pupil: int
    lessons: tuple[LessonStanding, ...]
    notes: tuple[str, ...]

    @property
    def next_lesson(self) -> LessonStanding | None:
        """Find the lesson to go on with: the first with something left to do [-]."""
        return next((one for one in self.lessons if not one.over and self._left(one)), None)

    def _left(self, one: LessonStanding) -> bool:
        return bool(one.open_task or self.pupil)  # a visitor has nobody to hand in to

    def next_words(self) -> str:
        """Say the next thing to do.

        Returns
        -------
        str
            One sentence [-].
        """
        found = self.next_lesson
        if found is None:
            return "Every lesson is done. Fly, and fly again."
        if not found.begun:
            return f"Begin {found.page.title}."
        if not found.open_task:
            return f"Hand in {found.page.title}."
        return f"Go on with {found.page.title}: task {found.open_task} comes next."

    def words(self) -> str:
        """Say all of it, for a notebook without the panel.

        Returns
        -------
        str
            A line for each lesson, and the next thing to do [-].
        """
        lines = [f"{one.page.title}: {one.state}" for one in self.lessons]
        return "\n".join([*lines, *self.notes, f"Next: {self.next_words()}"])


def pages(course: Path) -> tuple[Page, ...]:
    """Read the lessons of a course as released.

    Parameters
    ----------
    course : pathlib.Path
        The lessons as released [-].

    Returns
    -------
    tuple of Page
        In order; what is no lesson is left out [-].
    """
    files = lesson_files(course)
    found = [name for name in files if re.fullmatch(r"\d\d[^/]*/[^/]+\.ipynb", name)]
    return tuple(_page(course, name, files) for name in found)


def read(work: Path) -> Standing:
    """Read where the pupil of a work folder stands.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].

    Returns
    -------
    Standing
        Where the pupil stands [-].
    """
    notes: list[str] = []
    entries: list[dict[str, Any]] = []
    try:
        entries = attempts.glance(work / places.LOG_FOLDER / "attempts.jsonl")
    except OSError as error:
        notes.append(f"The log of your answers cannot be read: {error.strerror or error}.")
    pupil = _number(work, notes)
    return Standing(
        pupil=pupil,
        lessons=tuple(
            _lesson(work, page, entries, pupil) for page in pages(places.course_folder())
        ),
        notes=tuple(notes),
    )


def cases(work: Path) -> tuple[str, ...]:
    """List the cases that a pupil began, the last one first.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].

    Returns
    -------
    tuple of str
        Names of their logs without the ending [-].
    """
    found = handin.case_logs(work)
    found.sort(key=lambda path: path.stat().st_mtime, reverse=True)
    return tuple(path.stem for path in found[:MOST_CASES])


def as_data(work: Path) -> dict[str, Any]:
    """Tell all of it as plain data, for a page.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].

    Returns
    -------
    dict
        Pupil, lessons, next thing, cases, glossary, notes [-].
    """
    found = read(work)
    ahead = found.next_lesson
    return {
        "pupil": found.pupil,
        "writable": os.access(work, os.W_OK),
        "next": {
            "words": found.next_words(),
            "notebook": ahead.page.notebook if ahead else "",
            "task": ahead.open_task if ahead and ahead.begun else "",
            "hand_in": ahead is not None and not ahead.open_task,
        },
        "lessons": [
            {
                "id": one.page.id,
                "title": one.page.title,
                "minutes": one.page.minutes,
                "state": one.state,
                "done": len(one.good),
                "of": len(one.page.tasks),
                "notebook": one.page.notebook if one.there else "",
                "card": there(work, one.page.card),
                "feedback": one.feedback,
                "handed": one.handed,
            }
            for one in found.lessons
        ],
        "cases": cases(work),
        "glossary": there(work, GLOSSARY),
        "notes": found.notes,
    }


def _page(course: Path, name: str, files: list[str]) -> Page:
    folder = name.partition("/")[0]
    cells = json.loads((course / name).read_text("utf-8"))["cells"]
    text = "\n\n".join("".join(c["source"]) for c in cells if c["cell_type"] == "markdown")
    heading = re.search(r"^# (.+)$", text, re.MULTILINE)
    card = f"{folder}/{CARD}"
    return Page(
        id=folder[:2],
        folder=folder,
        notebook=name,
        card=card if card in files else "",
        title=heading[1].strip() if heading else folder,
        minutes=sum(int(minutes) for minutes in _SITTING.findall(text)),
        tasks=tuple(_tasks(cells)),
    )


def _tasks(cells: list[Mapping[str, Any]]) -> Iterator[str]:
    for cell in cells:
        task = task_of(cell.get("metadata", {}).get("nbgrader", {}).get("grade_id", ""))
        if task is not None:
            yield task


def _lesson(work: Path, page: Page, entries: list[dict[str, Any]], pupil: int) -> LessonStanding:
    own = [entry for entry in entries if entry.get("lesson") == page.id]
    done = [
        entry for entry in own if entry.get("kind") != "answer" or entry.get("type") != "none"
    ]  # running a lesson through says "nothing typed yet" for every task
    last = {entry.get("task"): entry for entry in own if entry.get("kind") == "answer"}
    feedback, points = _feedback(work, page)
    handed = there(work, handin.zip_name(pupil, page.folder)) if pupil else ""
    return LessonStanding(
        page=page,
        there=(work / page.notebook).is_file(),
        begun=bool(done),
        good=tuple(task for task in page.tasks if _good(last.get(task))),
        feedback=feedback,
        points=points,
        handed=handed,
        changed=bool(handed) and not handin.same(work / handed, work / page.notebook),
    )


def _good(entry: dict[str, Any] | None) -> bool:
    return entry is not None and entry.get("type") != "none" and not entry.get("slips")


def _feedback(work: Path, page: Page) -> tuple[str, str]:
    """Find the newest page that came back: where nbgrader fetches it to, or where a coach puts it.

    Links are not followed out of the work folder.
    """
    name = Path(page.notebook).with_suffix(".html").name
    found = [
        *work.glob(f"{page.folder}/{FEEDBACK_FOLDER}/**/{name}"),
        *work.glob(f"{FEEDBACK_FOLDER}/{page.folder}/{name}"),
    ]
    inside = [p for p in found if p.is_file() and p.resolve().is_relative_to(work.resolve())]
    if not inside:
        return "", ""
    newest = max(inside, key=lambda path: path.stat().st_mtime)
    try:
        points = _POINTS.search(newest.read_text("utf-8", "replace"))
    except OSError:
        points = None
    return newest.relative_to(work).as_posix(), points[1] if points else ""


def there(folder: Path, name: str) -> str:
    """Give a file's name when the file is there.

    Parameters
    ----------
    folder : pathlib.Path
        The folder [-].
    name : str
        The file below it, or nothing [-].

    Returns
    -------
    str
        The name, or nothing [-].
    """
    return name if name and (folder / name).is_file() else ""


def _number(work: Path, notes: list[str]) -> int:
    path = work / places.PUPIL_FILE
    if not path.is_file():
        return 0
    try:
        return places.read_pupil(path).number
    except (OSError, ValueError) as error:
        notes.append(str(error))
        return 0
