"""What trimkit adds to nbgrader: whose numbers, which answers, one clean mark, no key in a page.

nbgrader turns a grade cell's output into a mark in ways that favour trouble: no output earns
all points, a warning on stderr none. So the outputs of every grade cell are replaced here by
one plain sentence and one number, which a judge in another process worked out from the answer.
"""

from __future__ import annotations

import html
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from queue import Empty
from typing import Any

from nbformat import NotebookNode
from nbformat.v4 import new_output
from nbgrader.preprocessors import Execute, NbGraderPreprocessor
from nbgrader.preprocessors.execute import UnresponsiveKernelError
from nbgrader.utils import is_grade, is_solution
from traitlets import Integer, Unicode

from trimkit import places
from trimkit.classroom import judge
from trimkit.classroom.judge import PACKAGE_PARENT, Case
from trimkit.classroom.marking import Mark
from trimkit.classroom.message import ANSWER_TYPE, Message, messages
from trimkit.classroom.names import pupil_number, task_of
from trimkit.lesson import tasks
from trimkit.lesson.task import Typed

MARK_RECORD = "trimkit"
GRADE_SCHEMA = 3
LONGEST_OUTPUT = 20_000  # characters kept of one output; assumed
_VERDICTS = {
    "good": "Good.",
    "mistake": "Not quite: this is a mistake with a name, “{name}”.",
    "off": "Not yet.",
    "blank": "Nothing to mark.",
}

Converted = tuple[NotebookNode, Any]


class MarkingHook(NbGraderPreprocessor):  # type: ignore[misc]
    """What all hooks share: the class word, the keys' folder and the report."""

    class_word = Unicode("", help="The coach's word for the class.").tag(config=True)
    keys_folder = Unicode("", help="Folder of the marking files, 02.py and so on.").tag(config=True)
    report = Unicode("", help="Text file for remarks to the coach; empty: none.").tag(config=True)

    def remark(self, resources: Any, words: str) -> None:
        """Tell the coach something: in the log, the resources and the report.

        Parameters
        ----------
        resources : mapping
            nbconvert's resources, with nbgrader's names in them [-].
        words : str
            One sentence [-].
        """
        names = resources["nbgrader"]
        line = f"{names['assignment']}, {names['student']}: {words}"
        self.log.warning("%s", line)
        names.setdefault("remarks", []).append(line)
        if self.report:
            path = Path(self.report)
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("a", encoding="utf-8") as report:
                report.write(line + "\n")


class ComparePupil(MarkingHook):
    """Compare the pupil's number in the stored outputs with the folder's; the folder's wins.

    Comes before the outputs are cleared.
    """

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Compare, and remark when they differ.

        Parameters
        ----------
        nb : NotebookNode
            The submission as handed in [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            Both as they were, with remarks added [-].
        """
        used = pupil_number(resources["nbgrader"]["student"])
        stored = [message for cell in nb.cells for message in messages(cell.get("outputs"))[0]]
        others = sorted({message.pupil for message in stored} - {used})
        if others:
            said = ", ".join("a visitor (0)" if n == 0 else str(n) for n in others)
            self.remark(resources, f"worked as pupil {said}, handed in as {used}: marked as {used}")
        return nb, resources


class DropStrayMarks(MarkingHook):
    """Take nbgrader's marks off cells where they are damaged, so one notebook stops no class.

    Comes after nbgrader has taken them off doubled cells, which leaves them empty.
    """

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Drop what nbgrader would stumble over.

        Parameters
        ----------
        nb : NotebookNode
            The submission [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            The notebook with plain cells in their place [-].
        """
        for cell in nb.cells:
            if "nbgrader" in cell.metadata and not _sound(cell.metadata["nbgrader"]):
                del cell.metadata["nbgrader"]
                self.remark(resources, "a cell was doubled or its marks were damaged: not counted")
        return nb, resources


class ExecuteAnswers(MarkingHook, Execute):  # type: ignore[misc]
    """Run a notebook with the pupil's own figures, outside any work folder.

    A kernel that dies or hangs ends the run of that notebook, not its marking: what was answered
    up to there is judged.
    """

    timeout = Integer(20, allow_none=True, help="Seconds allowed for one cell.").tag(config=True)

    def preprocess(self, nb: NotebookNode, resources: Any, km: Any = None) -> Converted:
        """Run the cells.

        Parameters
        ----------
        nb : NotebookNode
            The submission [-].
        resources : mapping
            nbconvert's resources [-].
        km : kernel manager or None
            None starts a kernel [-].

        Returns
        -------
        (NotebookNode, mapping)
            The notebook with outputs [-].
        """
        self.pupil = pupil_number(resources["nbgrader"]["student"])
        try:
            super().preprocess(nb, resources, km)
        except (RuntimeError, TimeoutError, UnresponsiveKernelError, Empty) as error:
            reason = str(error).strip().splitlines() or [type(error).__name__]
            self.remark(resources, f"the run stopped early ({reason[0][:120]})")
        if any(_timed_out(cell) for cell in nb.cells):
            self.remark(resources, f"a cell was stopped after {self.timeout} s")
        return nb, resources

    @contextmanager
    def setup_kernel(self, **kwargs: Any) -> Iterator[None]:
        """Start the kernel with the pupil's number in its environment, and nothing of the coach's.

        Parameters
        ----------
        **kwargs : plain data
            Handed on to nbclient [-].

        Yields
        ------
        None
            While the kernel runs [-].
        """
        kwargs["env"] = kernel_environment(self.pupil, self.class_word)
        with super().setup_kernel(**kwargs):
            yield


def kernel_environment(pupil: int, class_word: str) -> dict[str, str]:
    """Make the environment in which a pupil's notebook is run to be marked.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    class_word : str
        The coach's word [-].

    Returns
    -------
    dict of str to str
        The environment [-].
    """
    kept = {name: v for name, v in os.environ.items() if not name.startswith("TRIMKIT_")}
    paths = [str(PACKAGE_PARENT), *filter(None, [kept.get("PYTHONPATH")])]
    own = places.marking_environment(pupil, class_word)
    return kept | own | {"PYTHONPATH": os.pathsep.join(paths)}


class JudgeAnswers(MarkingHook):
    """Have the answers judged elsewhere, and leave one sentence and one number in each grade cell.

    Comes right after the run.
    """

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Judge the notebook.

        Parameters
        ----------
        nb : NotebookNode
            The notebook after its run [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            The notebook with the outputs of its grade cells replaced [-].
        """
        cells = {task_of(cell.metadata.nbgrader.grade_id): cell for cell in _grade_cells(nb)}
        wanted = {task.id for task in tasks.load(_lesson(resources)).tasks}
        for task_id in sorted(wanted - set(cells)):
            self.remark(resources, f"the cell that hands in task {task_id} is missing: 0 points")
        answers = {
            task_id: message.given
            for task_id, cell in cells.items()
            if task_id is not None
            and task_id in wanted
            and (message := self._answer(task_id, cell, resources))
        }
        marks = {mark.task_id: mark for mark in self._marks(answers, resources)}
        for own_id, cell in cells.items():
            _write(cell, marks.get(own_id or "") if own_id in answers else None)
        for cell in nb.cells:
            _shorten(cell)
        return nb, resources

    def _answer(self, task_id: str, cell: NotebookNode, resources: Any) -> Message | None:
        held, refused = messages(cell.outputs)
        for reason in refused:
            self.remark(resources, f"an answer in cell {task_id} was refused: {reason}")
        own = [message for message in held if message.task_id == task_id]
        for message in held:
            if message.task_id != task_id:
                self.remark(resources, f"cell {task_id} gave an answer for {message.task_id}: no")
        return own[-1] if own else None

    def _marks(self, answers: Mapping[str, Typed], resources: Any) -> list[Mark]:
        if not answers:
            return []
        lesson = _lesson(resources)
        path = Path(self.keys_folder) / f"{lesson}.py"
        pupil = pupil_number(resources["nbgrader"]["student"])
        return judge.ask(Case(lesson, pupil, self.class_word, str(path), answers))


class TidyAnswers(MarkingHook):
    """Leave no empty lines where a solution was taken out. For the release."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Strip the ends of the cells that pupils fill in.

        Parameters
        ----------
        nb : NotebookNode
            The lesson without solutions [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            The lesson, tidy [-].
        """
        for cell in nb.cells:
            if is_solution(cell):
                cell.source = cell.source.strip()
        return nb, resources


class StripAnswers(MarkingHook):
    """Take the answer messages and bare numbers out of a feedback page."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> Converted:
        """Strip the outputs.

        Parameters
        ----------
        nb : NotebookNode
            The marked notebook [-].
        resources : mapping
            nbconvert's resources [-].

        Returns
        -------
        (NotebookNode, mapping)
            The notebook for the page [-].
        """
        for cell in nb.cells:
            for output in cell.get("outputs", []):
                output.get("data", {}).pop(ANSWER_TYPE, None)
        for cell in _grade_cells(nb):
            cell.outputs = [o for o in cell.outputs if o.output_type == "display_data"]
        return nb, resources


def _timed_out(cell: NotebookNode) -> bool:
    return any(output.get("ename") == "CellTimeoutError" for output in cell.get("outputs", []))


def _lesson(resources: Any) -> str:
    return str(resources["nbgrader"]["assignment"])[:2]


def _sound(mark: object) -> bool:
    return (
        isinstance(mark, Mapping)
        and mark.get("schema_version") == GRADE_SCHEMA
        and isinstance(mark.get("grade_id"), str)
        and mark["grade_id"] != ""
        and all(isinstance(mark.get(name), bool) for name in ("grade", "solution", "locked"))
    )


def _grade_cells(nb: NotebookNode) -> list[NotebookNode]:
    return [c for c in nb.cells if c.cell_type == "code" and is_grade(c) and not is_solution(c)]


def _write(cell: NotebookNode, mark: Mark | None) -> None:
    most = float(cell.metadata.nbgrader.points)
    points = points_of(mark, most)
    count = cell.get("execution_count") or 1
    cell.execution_count = count
    lines = _lines(mark, points, most)
    record = {
        "verdict": mark.verdict if mark else "none",
        "name": mark.name if mark else "",
        "points": points,
    }
    words = {"text/plain": "\n".join(lines), "text/html": _page(lines)}
    said = _output("display_data", data=words, metadata={MARK_RECORD: record})
    number = {"text/plain": repr(points)}
    cell.outputs = [said, _output("execute_result", data=number, execution_count=count)]


def _output(kind: str, **content: Any) -> NotebookNode:
    made: NotebookNode = new_output(kind, **content)  # type: ignore[no-untyped-call]
    return made


def points_of(mark: Mark | None, most: float) -> float:
    """Turn a mark into points that nbgrader takes as they are.

    Parameters
    ----------
    mark : Mark or None
        None for an answer that was not judged [-].
    most : float
        Points the task carries [-].

    Returns
    -------
    float
        0 to `most`, rounded to hundredths [-].

    Examples
    --------
    >>> points_of(Mark("02.1", 0.25, "mistake", "ratio", "", ""), 2.0), points_of(None, 2.0)
    (0.5, 0.0)
    """
    if mark is None or not 0 <= mark.share <= 1:
        return 0.0
    return float(min(max(round(mark.share * most, 2), 0.0), most))


def _lines(mark: Mark | None, points: float, most: float) -> list[str]:
    earned = f"{points:g} of {most:g} points."
    if mark is None:
        return [
            f"No answer reached this cell. {earned}",
            "Look at your own cell above. Red words there stop it; so does a name that changed.",
        ]
    lines = [f"{_VERDICTS[mark.verdict].format(name=mark.name)} {earned}", mark.words]
    return [*lines, f"Where to look: {mark.look}"] if mark.look else lines


def _page(lines: list[str]) -> str:
    first, *rest = (html.escape(line) for line in lines)
    body = "".join(f"<p>{line}</p>" for line in rest)
    return f'<div role="note"><p><strong>{first}</strong></p>{body}</div>'


def _shorten(cell: NotebookNode) -> None:
    for output in cell.get("outputs", []):
        if len(output.get("text", "")) > LONGEST_OUTPUT:
            output.text = output.text[:LONGEST_OUTPUT] + "\n... (cut)\n"
        bundle = output.get("data", {})
        for kind in [k for k, v in bundle.items() if k.startswith("text/") and _long(v)]:
            bundle[kind] = bundle[kind][:LONGEST_OUTPUT] if kind == "text/plain" else "... (cut)"


def _long(value: object) -> bool:
    return isinstance(value, str) and len(value) > LONGEST_OUTPUT
