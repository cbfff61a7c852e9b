"""The markers of a class: nbgrader's own autograding, with the pupil's code run in the room.

One process loads nbgrader and forks a process for each marker. None of them ever runs a pupil's
code. A marker reads one pupil's folder name a line, lets nbgrader mark it, and answers with a
line. All marks of a pupil are written in one transaction, so that a marker that is killed has
written all of them or none.
"""

from __future__ import annotations

import io
import json
import logging
import os
import socket
import sys
import traceback
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from nbformat import NotebookNode
from nbgrader.api import Gradebook
from nbgrader.converters import Autograde
from nbgrader.converters.base import NbGraderException
from nbgrader.coursedir import CourseDirectory
from nbgrader.nbgraderformat import MetadataValidator
from nbgrader.preprocessors import CheckCellMetadata, SaveAutoGrades
from nbgrader.utils import compute_checksum, determine_grade, is_grade, is_solution, is_task
from sqlalchemy.exc import OperationalError
from traitlets.config import Config
from traitlets.config.loader import PyFileConfigLoader

from trimkit import places
from trimkit.classroom import guard, judge
from trimkit.classroom.hooks import Converted, ExecuteAnswers, MarkingHook
from trimkit.classroom.names import pupil_number
from trimkit.classroom.notes import SKIPPED, Done, Errand
from trimkit.classroom.visit import RoomLostError, visit

TRIES = 3  # when the gradebook is in use by another program; it waits 5 s each time
SETTINGS = "nbgrader_config.py"


class RunInRoom(MarkingHook):
    """Run a notebook in the room instead of a kernel; what comes back is only data.

    Stands where `ExecuteAnswers` does in nbgrader's list.
    """

    def __init__(self, line: socket.socket, longest_s: float, **settings: Any) -> None:
        super().__init__(**settings)
        self.line = line
        self.longest_s = longest_s

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Run the cells and put in what they showed.

        Parameters
        ----------
        nb : NotebookNode
            The submission, restored by nbgrader [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            The notebook with outputs [-].
        """
        cells = [cell for cell in nb.cells if cell.cell_type == "code"]
        run = [cell for cell in cells if SKIPPED not in cell.metadata.get("tags", [])]
        for cell in cells:
            cell.outputs, cell.execution_count = [], None
        pupil = pupil_number(resources["nbgrader"]["student"])
        environment = places.marking_environment(pupil, self.class_word)
        found = visit(self.line, [c.source for c in run], environment, self.longest_s)
        for number, outputs in found.outputs.items():
            run[number].outputs, run[number].execution_count = outputs, number + 1
        if found.stopped:
            self.remark(resources, f"the run stopped early ({found.stopped})")
        if found.late:
            self.remark(resources, f"{len(found.late)} cell(s) were stopped: their time was up")
        if found.left_out:
            self.remark(resources, f"{found.left_out} output(s) were no outputs: left out")
        return nb, resources


class SaveTogether(SaveAutoGrades):  # type: ignore[misc]
    """Write all marks of a notebook in one transaction, also of cells that are missing."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Write the marks.

        Parameters
        ----------
        nb : NotebookNode
            The judged notebook [-].
        resources : mapping
            nbconvert's resources, with nbgrader's names [-].

        Returns
        -------
        (NotebookNode, mapping)
            Both as they were [-].
        """
        names = resources["nbgrader"]
        place = (names["notebook"], names["assignment"], names["student"])
        cells = {c.metadata.nbgrader.grade_id: c for c in nb.cells if _of_nbgrader(c)}
        with Gradebook(names["db_url"]) as gradebook:
            with gradebook.db.no_autoflush:
                submission = gradebook.find_submission_notebook(*place)
                for grade in submission.grades:
                    self._set_mark(grade, cells.get(grade.name))
                for comment in submission.comments:
                    comment.auto_comment = _no_response(cells.get(comment.name))
            gradebook.db.commit()
        return nb, resources

    def _set_mark(self, grade: Any, cell: NotebookNode | None) -> None:
        if cell is not None:
            grade.auto_score = determine_grade(cell, self.log)[0]
        else:  # the pupil took the cell out: nothing to mark, nothing left of an earlier mark
            grade.auto_score = 0.0
        by_hand = grade.manual_score is not None or grade.auto_score is None
        grade.needs_manual_grade = by_hand


class _Validator(MetadataValidator):  # type: ignore[misc]
    """nbgrader's check of a cell's marks, done once for marks that are alike."""

    def __init__(self) -> None:
        super().__init__()
        self.sound: set[str] = set()

    def validate_cell(self, cell: NotebookNode) -> None:
        marks = json.dumps([cell.cell_type, cell.metadata.get("nbgrader")], sort_keys=True)
        if marks not in self.sound:
            super().validate_cell(cell)
            self.sound.add(marks)


class CheckOnce(CheckCellMetadata):  # type: ignore[misc]
    """nbgrader's check of the marks on cells, without doing the same again for every pupil."""

    validator = _Validator()

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Check the notebook.

        Parameters
        ----------
        nb : NotebookNode
            The notebook [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            Both as they were [-].
        """
        self.validator.validate_nb(nb)
        return nb, resources


def _of_nbgrader(cell: NotebookNode) -> bool:
    return bool(is_grade(cell) or is_solution(cell) or is_task(cell))


def _no_response(cell: NotebookNode | None) -> str | None:
    if cell is None or is_task(cell):
        return None
    same = cell.metadata.nbgrader.get("checksum") == compute_checksum(cell)
    return "No response." if same else None


class _Heard(logging.Handler):
    """Keeps the errors that nbgrader told."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.errors: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.errors.append(record.getMessage())


class Marker:
    """Marks one pupil after another through nbgrader.

    Parameters
    ----------
    errand : Errand
        Which lesson of which course [-].
    line : socket.socket
        A line to the room [-].
    """

    def __init__(self, errand: Errand, line: socket.socket) -> None:
        self.errand = errand
        self.line = line
        self.report = Path(errand.submitted) / f".remarks-{os.getpid()}.txt"
        self.heard = _Heard()
        self.log = logging.getLogger("trimkit.marker")
        self.log.propagate = False
        self.log.addHandler(self.heard)
        self.settings = self._settings()

    def mark(self, folder: str) -> Done:
        """Mark one pupil.

        Parameters
        ----------
        folder : str
            The pupil's folder [-].

        Returns
        -------
        Done
            Whether it went well, and what the coach should know [-].
        """
        for left in reversed(range(TRIES)):
            self.report.unlink(missing_ok=True)
            self.heard.errors.clear()
            try:
                self._converter(folder).start()
                return Done(folder=folder, remarks=self._remarks())
            except RoomLostError as error:
                return Done(folder=folder, trouble=str(error), lost=True)
            except OperationalError as error:
                if not left:
                    return Done(folder=folder, trouble=_busy(error))
            except Exception as error:  # whatever it is, the next pupil's turn comes
                if not (left and any("OperationalError" in e for e in self.heard.errors)):
                    return Done(folder=folder, trouble=self._reason(error),
                                remarks=self._remarks())  # fmt: skip
        raise AssertionError("the last try always returns")

    def _settings(self) -> Config:
        os.environ[places.COURSE_ROOT] = self.errand.root
        os.environ[places.CLASS_WORD] = self.errand.class_word
        settings: Config = PyFileConfigLoader(SETTINGS, path=self.errand.instructor).load_config()
        settings.CourseDirectory.submitted_directory = self.errand.submitted
        settings.CourseDirectory.assignment_id = self.errand.lesson
        settings.MarkingHook.report = str(self.report)
        settings.Autograde.force = True
        return settings

    def _converter(self, folder: str) -> Any:
        settings = self.settings
        settings.CourseDirectory.student_id = folder
        course = CourseDirectory(config=settings)
        converter = _OneByOne(coursedir=course, config=settings, log=self.log)
        for name in ("sanitize_preprocessors", "autograde_preprocessors"):
            setattr(converter, name, [self._ours(hook) for hook in getattr(converter, name)])
        return converter

    def _ours(self, hook: Any) -> Any:
        if hook is ExecuteAnswers:
            return RunInRoom(self.line, self.errand.longest_s, config=self.settings, log=self.log)
        return {SaveAutoGrades: SaveTogether, CheckCellMetadata: CheckOnce}.get(hook, hook)

    def _remarks(self) -> tuple[str, ...]:
        with suppress(OSError):
            return tuple(self.report.read_text("utf-8").splitlines())
        return ()

    def _reason(self, error: Exception) -> str:
        told = [line for e in self.heard.errors for line in e.strip().splitlines() if line.strip()]
        named = [line for line in told if "Error" in line.split(":")[0]]
        return (named or told or [f"{type(error).__name__}: {error}"])[-1].strip()[:300]


class _OneByOne(Autograde):  # type: ignore[misc]
    """nbgrader's autograding of one pupil; a lost room is not the pupil's failure."""

    def run_pre_convert_hook(self) -> None:
        super().run_pre_convert_hook()
        self.lost: RoomLostError | None = None

    def convert_single_notebook(self, notebook_filename: str) -> None:
        try:
            super().convert_single_notebook(notebook_filename)
        except RoomLostError as lost:
            self.lost = lost
            raise

    def start(self) -> None:
        self.lost = None
        try:
            super().start()
        except NbGraderException:
            if self.lost:
                raise self.lost from None
            raise


def _busy(error: Exception) -> str:
    return f"the gradebook is in use by another program ({str(error).splitlines()[0][:120]})"


def main() -> int:
    """Be the markers: the errand is on standard input, the first words name their two lines each.

    Returns
    -------
    int
        Exit status, 0 when there were no more folders [-].
    """
    guard.die_with_parent()
    posts, rooms = ([int(n) for n in numbers.split(",")] for numbers in sys.argv[1:3])
    errand = Errand(**json.loads(sys.stdin.read()))
    _enrol(errand)
    pairs = list(zip(posts, rooms, strict=True))
    for pair in pairs:
        if os.fork() == 0:
            guard.die_with_parent()
            for number in {n for other in pairs if other != pair for n in other}:
                os.close(number)
            os._exit(_be_marker(errand, *pair))
    for number in (*posts, *rooms):
        os.close(number)
    for _ in pairs:
        os.wait()
    return 0


def _enrol(errand: Errand) -> None:
    """Tell the gradebook who handed in, so that the markers find everybody there."""
    with Gradebook(errand.gradebook) as gradebook:
        for folder in errand.folders:
            gradebook.update_or_create_student(folder)
            gradebook.update_or_create_submission(errand.lesson, folder)


def _be_marker(errand: Errand, post: int, line: int) -> int:
    try:
        marker = Marker(errand, socket.socket(fileno=line))
        with judge.sitting(), os.fdopen(post, "r+b", buffering=0) as ends:
            for folder in map(str.strip, io.TextIOWrapper(io.BufferedReader(ends))):
                os.write(post, json.dumps(asdict(marker.mark(folder))).encode() + b"\n")
    except BaseException:  # into the log, and the pupil's turn comes again
        traceback.print_exc()
        return 1
    return 0
