"""The judge: a process of its own that reads answers as JSON and writes marks as JSON.

It runs apart from every pupil's kernel: `python -I -m trimkit.classroom.judge`. Nothing that a
pupil's code can patch is in here. Input that is not exactly what is wanted is refused aloud.
"""

from __future__ import annotations

import contextlib
import dataclasses
import json
import select
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from trimkit import places
from trimkit.classroom import marking
from trimkit.classroom.marking import Mark
from trimkit.classroom.message import read_answer, read_pupil, read_task_id
from trimkit.lesson import tasks, variant
from trimkit.lesson.task import Typed

LARGEST_INPUT = 1_000_000  # bytes; a lesson's answers take about a thousand
TIME_LIMIT_S = 60
_TOO_LONG = f"more than {LARGEST_INPUT} bytes of answers"
ONE_A_LINE = "one-a-line"
PACKAGE_PARENT = places.package_folder().parent
_START = (
    "import sys; sys.path.insert(0, sys.argv[1]); "
    "from trimkit.classroom.judge import main; sys.exit(main())"
)
_COMMAND = (sys.executable, "-I", "-c", _START)
_sitting: list[subprocess.Popen[str]] = []


@dataclass(frozen=True, slots=True)
class Case:
    """What the judge is asked.

    Parameters
    ----------
    lesson : str
        Two digits [-].
    pupil : int
        The pupil's number [-].
    class_word : str
        The coach's word [-].
    marking : str
        Path of the marking file [-].
    answers : mapping of str to Typed
        Answers by task id [-].
    """

    lesson: str
    pupil: int
    class_word: str
    marking: str
    answers: Mapping[str, Typed]


def read_case(text: str) -> Case:
    """Read the judge's input, strictly.

    Parameters
    ----------
    text : str
        JSON with lesson, pupil, class_word, marking and answers, and nothing else [-].

    Returns
    -------
    Case
        What is asked [-].

    Raises
    ------
    ValueError
        When anything is missing, left over or of another kind, with the reason.
    """
    content = json.loads(text, parse_constant=_no_constant)
    names = {"lesson", "pupil", "class_word", "marking", "answers"}
    if not isinstance(content, dict) or set(content) != names:
        raise ValueError(f"the judge wants {', '.join(sorted(names))} and nothing else")
    if not all(isinstance(content[name], str) for name in ("lesson", "class_word", "marking")):
        raise ValueError("lesson, class_word and marking are texts")
    if not isinstance(content["answers"], dict):
        raise ValueError("answers are listed by task id")
    answers = {read_task_id(name): read_answer(a) for name, a in content["answers"].items()}
    pupil = read_pupil(content["pupil"])
    return Case(content["lesson"], pupil, content["class_word"], content["marking"], answers)


def judge(case: Case) -> list[Mark]:
    """Judge one pupil's lesson.

    Parameters
    ----------
    case : Case
        What is asked [-].

    Returns
    -------
    list of Mark
        One for each task of the lesson [-].

    Raises
    ------
    KeyError
        When there is no such lesson.
    ValueError
        When an answer belongs to no task of the lesson.
    """
    lesson = tasks.load(case.lesson)
    strangers = set(case.answers) - {task.id for task in lesson.tasks}
    if strangers:
        raise ValueError(f"lesson {lesson.id} has no task {', '.join(sorted(strangers))}")
    figures = variant.all_figures(lesson, case.pupil, case.class_word)
    keys = marking.load(Path(case.marking)).keys(figures)
    return marking.judge_lesson(lesson, keys, case.answers)


def ask(case: Case) -> list[Mark]:
    """Put a case to a judge in a clean process.

    Parameters
    ----------
    case : Case
        What is asked [-].

    Returns
    -------
    list of Mark
        One for each task of the lesson [-].

    Raises
    ------
    RuntimeError
        When the judge refuses, with its words.
    """
    text = json.dumps(dataclasses.asdict(case) | {"answers": _plain(case.answers)})
    if _sitting and _sitting[-1].poll() is None:
        return _asked_in_turn(case, text, _sitting[-1])
    done = subprocess.run(
        [*_COMMAND, str(PACKAGE_PARENT)],
        input=text,
        capture_output=True,
        encoding="utf-8",
        timeout=TIME_LIMIT_S,
        cwd=tempfile.gettempdir(),
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"the judge refused lesson {case.lesson}: {done.stderr.strip()}")
    return [Mark(**mark) for mark in json.loads(done.stdout)["marks"]]


@contextlib.contextmanager
def sitting() -> Iterator[None]:
    """Keep one judge for many cases, so that it starts only once.

    It is the same clean process, and still sees answers only as checked plain data.

    Yields
    ------
    None
        While `ask` puts its cases to this judge [-].
    """
    process = subprocess.Popen(
        [*_COMMAND, str(PACKAGE_PARENT), ONE_A_LINE],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        encoding="utf-8",
        cwd=tempfile.gettempdir(),
    )
    _sitting.append(process)
    try:
        yield
    finally:
        _sitting.remove(process)
        process.kill()
        process.wait()
        for end in filter(None, (process.stdin, process.stdout)):
            with contextlib.suppress(BrokenPipeError):
                end.close()


def _asked_in_turn(case: Case, text: str, process: subprocess.Popen[str]) -> list[Mark]:
    if process.stdin is None or process.stdout is None:
        raise RuntimeError("the judge cannot be reached")
    if len(text) > LARGEST_INPUT:
        raise RuntimeError(f"the judge refused lesson {case.lesson}: {_TOO_LONG}")
    line = ""
    with contextlib.suppress(BrokenPipeError):
        process.stdin.write(text + "\n")
        process.stdin.flush()
        ready, _, _ = select.select([process.stdout], [], [], TIME_LIMIT_S)
        line = process.stdout.readline() if ready else ""
    if not line:
        process.kill()
        raise RuntimeError(f"the judge gave no answer for lesson {case.lesson}")
    said = json.loads(line)
    if "refused" in said:
        raise RuntimeError(f"the judge refused lesson {case.lesson}: {said['refused']}")
    return [Mark(**mark) for mark in said["marks"]]


def main() -> int:
    """Read a case from standard input, write the marks to standard output.

    After the word `ONE_A_LINE` every line is a case, and every answer a line.

    Returns
    -------
    int
        Exit status: 0 judged, 2 refused with the reason on standard error [-].
    """
    if ONE_A_LINE in sys.argv:
        while line := sys.stdin.readline(LARGEST_INPUT + 2):
            print(json.dumps(_said(line.rstrip("\n"))), flush=True)
        return 0
    said = _said(sys.stdin.read(LARGEST_INPUT + 1))
    if "refused" in said:
        print(said["refused"], file=sys.stderr)
        return 2
    print(json.dumps(said))
    return 0


def _said(text: str) -> dict[str, Any]:
    try:
        if len(text) > LARGEST_INPUT:
            raise ValueError(_TOO_LONG)
        return {"marks": [dataclasses.asdict(mark) for mark in judge(read_case(text))]}
    except (ValueError, KeyError, OSError) as error:
        return {"refused": f"{type(error).__name__}: {error}"}


def _plain(answers: Mapping[str, Typed]) -> dict[str, dict[str, Any]]:
    return {name: {"type": given.type, "value": given.value} for name, given in answers.items()}


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


if __name__ == "__main__":
    sys.exit(main())
