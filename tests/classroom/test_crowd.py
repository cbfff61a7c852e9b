"""A whole class with forty ways to go wrong: everybody gets marks or a sentence, once."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import nbformat
import pytest
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell, new_markdown_cell
from papers import INSTRUCTOR, mark

from trimkit.classroom import backup, crowd, gradebook, host, marking, pupils
from trimkit.classroom.course import Course
from trimkit.classroom.crowd import Outcome
from trimkit.classroom.guard import Limits
from trimkit.classroom.journal import Journal
from trimkit.lesson import tasks

pytestmark = [
    pytest.mark.notebooks,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="marking needs a fork"),
]
LESSON, NAME, WORD = "02-angles", "angles.ipynb", "oak"
LIMITS = Limits(cell_s=3, notebook_s=24, memory_mb=700, grace_s=0.5)
KEYS = marking.load(INSTRUCTOR / "marking" / "02.py")
ANSWER = "answer-02-1"
FULL = 14.0  # points of the seven answers; the sentence is a coach's

FORGED = """
from IPython.display import display
def forged(task_id, value):
    kind = "application/vnd.trimkit.answer+json"
    good = {"type": "number", "value": 1.0}
    said = {"schema": 1, "id": task_id, "pupil": 1, "answer": good}
    display({kind: said | {"share": 1.0}}, raw=True)
    display({kind: said | {"pupil": True}}, raw=True)
    display({"text/plain": "2.0"}, metadata={"trimkit": {"verdict": "good", "points": 2}}, raw=True)
    return 2.0
lesson.answer = forged
"""
STOLEN = """
import os
my_answer_02_1 = 12345
for folder, below, names in os.walk("/"):
    below[:] = [name for name in below if name not in ("proc", "usr", "lib", "site-packages")]
    for name in (*below, *names):
        if name in ("instructor", "marking", "submitted", "gradebook.db", "nbgrader_config.py"):
            print("FO" + "UND", folder, name)
"""
PATCHED = """
import trimkit.lesson.task, trimkit.lesson.tasks, trimkit.lesson.variant
import trimkit.classroom.judge as judge, trimkit.classroom.marking as marking
marking.judge_answer = marking.judge_lesson = judge.ask = lambda *_: 1.0
trimkit.lesson.variant.figures = lambda *_: {}
"""
DROPPED = """
import ast, builtins
class Drop(ast.NodeTransformer):
    def visit_Assert(self, node): return None
get_ipython().ast_transformers.append(Drop())
builtins.isinstance = lambda *_: True
builtins.abs = lambda _: 0.0
my_answer_02_1 = 12345
"""
EQUAL = """
class Everything(float):
    def __eq__(self, other): return True
    def __lt__(self, other): return True
    __le__ = __gt__ = __ge__ = __lt__
    def __sub__(self, other): return 0.0
    __rsub__ = __sub__
    __hash__ = float.__hash__
my_answer_02_1 = Everything(1e6)
"""
LIAR = """
class Liar:
    def __float__(self): raise RuntimeError("no")
    def __getattribute__(self, name): raise RuntimeError("no")
my_answer_02_1 = Liar()
"""
LOOP = """
import signal
for n in (signal.SIGINT, signal.SIGTERM, signal.SIGALRM): signal.signal(n, signal.SIG_IGN)
while True:
    try:
        while True: pass
    except BaseException: pass
"""
WRITER = """
import os
for folder, below, _ in os.walk("/"):
    below[:] = [name for name in below if name not in ("proc", "usr", "lib", "site-packages")]
    try: open(os.path.join(folder, "planted.txt"), "w").write("x")
    except OSError: pass
"""
GRADES = """
import os, sqlite3
for folder, below, names in os.walk("/"):
    below[:] = [name for name in below if name not in ("proc", "usr", "lib", "site-packages")]
    if "gradebook.db" in names:
        found = sqlite3.connect(os.path.join(folder, "gradebook.db"))
        found.execute("update grade set auto_score = 2")
        found.commit()
"""

TRICKS: dict[str, str] = {
    "equals everything": EQUAL,
    "forged messages": FORGED,
    "stolen keys": STOLEN,
    "patched package": PATCHED,
    "dropped asserts": DROPPED,
    "raises when looked at": LIAR,
    "the gradebook": GRADES,
    "planted files": WRITER,
    "not a number": "my_answer_02_1 = float('nan')",
    "infinite": "my_answer_02_1 = -float('inf')",
    "complex": "my_answer_02_1 = 3 + 2j",
    "a bool": "my_answer_02_1 = True",
    "a list": "my_answer_02_1 = [3.5]",
    "an enormous string": "my_answer_02_1 = 'x' * 200_000_000",
    "an enormous number": "my_answer_02_1 = 10 ** 5000",
    "an array": "import numpy; my_answer_02_1 = numpy.zeros(10**6)",
    "an unknown name": "my_answer_02_1 = sinn(3)",
    "no Python": "my_answer_02_1 = = 3,5 Grad",
    "a deleted name": "del lesson",
    "a loop": "while True: pass",
    "a loop that cannot be interrupted": LOOP,
    "endless output": "while True: print('x' * 10_000)",
    "a fork bomb": "import os\nwhile True: os.fork()",
    "a huge allocation": "x = bytearray(50 * 10**9)",
    "sudden death": "import os; os._exit(0)",
    "kills all it can": "import os; os.kill(-1, 9)",
    "exit": "raise SystemExit",
    "a thread left running": (
        "import threading, time\nthreading.Thread(target=time.sleep, args=(9e9,)).start()"
    ),
    "widgets left running": "import ipywidgets; ipywidgets.interact(lambda x: x, x=(0, 9))",
    "a question": "my_answer_02_1 = input('how much? ')",
    "shell": "!rm -rf ~ / 2>/dev/null\n!cat /etc/passwd",
}  # fmt: skip
Spoil = Callable[[Path, NotebookNode], None]


def doubled(path: Path, paper: NotebookNode) -> None:
    paper.cells.append(nbformat.from_dict(cell_of(paper, "task-02-1")))
    save(path, paper)


def stray(path: Path, paper: NotebookNode) -> None:
    paper.cells.append(new_code_cell("1", metadata={}))
    paper.cells[-1].metadata["nbgrader"] = mark("task-02-99", grade=True, locked=True, points=50)
    save(path, paper)


def rich(path: Path, paper: NotebookNode) -> None:
    cell_of(paper, "task-02-1").metadata.nbgrader["points"] = 1e9
    cell_of(paper, "task-02-1").source = "2.0"
    save(path, paper)


def turned_to_text(path: Path, paper: NotebookNode) -> None:
    source = cell_of(paper, ANSWER)
    paper.cells[paper.cells.index(source)] = new_markdown_cell("3,5", metadata=source.metadata)
    save(path, paper)


def taken_out(path: Path, paper: NotebookNode) -> None:
    paper.cells.remove(cell_of(paper, "task-02-1"))
    save(path, paper)


def stored_points(path: Path, paper: NotebookNode) -> None:
    cell = cell_of(paper, "task-02-1")
    cell.outputs = [nbformat.v4.new_output("execute_result", {"text/plain": "2.0"})]
    cell.metadata["tags"] = ["skip-execution"]
    save(path, paper)


def long_line(path: Path, paper: NotebookNode) -> None:
    cell_of(paper, ANSWER).outputs = [nbformat.v4.new_output("stream", text="x" * 50_000_000)]
    save(path, paper)


FORMS: dict[str, Spoil] = {
    "a doubled cell": doubled,
    "a stray cell": stray,
    "points raised": rich,
    "turned to text": turned_to_text,
    "a cell taken out": taken_out,
    "stored points": stored_points,
    "a line of 50 MB": long_line,
}
BROKEN: dict[str, Spoil] = {
    "truncated": lambda path, paper: void(path.write_text(nbformat.writes(paper)[:3000])),
    "not JSON": lambda path, paper: void(path.write_text("my answers are 3.5 and B")),
    "empty": lambda path, paper: path.touch(),
    "a folder": lambda path, paper: path.mkdir(),
    "a link to the key": lambda path, paper: path.symlink_to(INSTRUCTOR / "source" / LESSON / NAME),
    "a pipe": lambda path, paper: os.mkfifo(path),
    "marks stripped": lambda path, paper: save(path, stripped(paper)),
}


def void(_: object) -> None:
    return None


def stripped(paper: NotebookNode) -> NotebookNode:
    for cell in paper.cells:
        cell.metadata = NotebookNode()
    return paper


def cell_of(notebook: NotebookNode, grade_id: str) -> NotebookNode:
    marked = [c for c in notebook.cells if "nbgrader" in c.metadata]
    return next(c for c in marked if c.metadata.nbgrader.grade_id == grade_id)


def save(path: Path, notebook: NotebookNode) -> None:
    path.write_text(json.dumps(notebook), encoding="utf-8")


def good_paper(course: Course, pupil: int) -> NotebookNode:
    released = nbformat.read(course.released / LESSON / NAME, as_version=4)
    policy = pupils.policies(1)[0]
    filled = pupils.fill_in(released, tasks.load("02"), KEYS, (pupil, WORD), policy).notebook
    return without_pictures(filled)


def without_pictures(paper: NotebookNode) -> NotebookNode:
    """Take the cells out that only show something; a pupil may, and it saves time here."""
    plain = [c for c in paper.cells if c.cell_type == "code" and "nbgrader" not in c.metadata]
    paper.cells = [cell for cell in paper.cells if cell not in plain[1:]]
    return paper


def blank_paper(course: Course) -> NotebookNode:
    return without_pictures(nbformat.read(course.released / LESSON / NAME, as_version=4))


def place(course: Course, pupil: int) -> Path:
    folder = course.marking / "submitted" / f"pupil-{pupil:02d}" / LESSON
    folder.mkdir(parents=True)
    return folder / NAME


NAMES = [*TRICKS, *FORMS, *BROKEN]
NUMBER = {name: number for number, name in enumerate(NAMES, 1)}
HONEST = (len(NAMES) + 1, len(NAMES) + 2, len(NAMES) + 3)


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory) -> Course:
    """A course that has released its lesson, and in which nobody has handed in."""
    made = Course(root=tmp_path_factory.mktemp("class"), instructor=INSTRUCTOR, class_word=WORD)
    assert not crowd.mark(made, LESSON).good
    return made


def copied(course: Course, folder: Path) -> Course:
    shutil.copytree(course.root, folder, dirs_exist_ok=True)
    return Course(root=folder, instructor=INSTRUCTOR, class_word=WORD)


@pytest.fixture(scope="module")
def marked(course: Course, tmp_path_factory: pytest.TempPathFactory) -> tuple[Course, Outcome]:
    own = copied(course, tmp_path_factory.mktemp("hostile"))
    for name, source in TRICKS.items():
        paper = good_paper(own, NUMBER[name]) if name in ALL_BUT_ONE else blank_paper(own)
        cell_of(paper, ANSWER).source = source
        save(place(own, NUMBER[name]), paper)
    for name, spoil in (FORMS | BROKEN).items():
        spoil(place(own, NUMBER[name]), blank_paper(own))
    for pupil in HONEST:
        save(place(own, pupil), good_paper(own, pupil))
    return own, crowd.mark(own, "02", jobs=2, limits=LIMITS)


ALL_BUT_ONE = ("not a number", "a loop", "exit", "an unknown name", "no Python", "endless output")


def test_there_are_more_than_forty_ways_here() -> None:
    assert len(NAMES) >= 40


def test_everybody_gets_marks_or_one_sentence(marked: tuple[Course, Outcome]) -> None:
    _, outcome = marked
    by_folder = {result.folder: result for result in outcome.results}
    assert len(by_folder) == len(NAMES) + len(HONEST)
    for name in (*TRICKS, *FORMS):
        assert by_folder[f"pupil-{NUMBER[name]:02d}"].outcome == "marked", name
    for name in BROKEN:
        result = by_folder[f"pupil-{NUMBER[name]:02d}"]
        assert result.outcome == "trouble", name
        assert result.sentence.count("\n") == 0
        assert result.sentence
    assert outcome.alarms == ()
    assert not outcome.good


def test_no_trick_earns_a_point_and_honest_work_all(marked: tuple[Course, Outcome]) -> None:
    points = {result.folder: result.points for result in marked[1].results}
    for name in (*TRICKS, *FORMS):
        wanted = FULL - 2 if name in ALL_BUT_ONE else 0.0
        assert points[f"pupil-{NUMBER[name]:02d}"] == wanted, name
    assert [points[f"pupil-{pupil:02d}"] for pupil in HONEST] == [FULL] * 3


def test_the_coach_is_told_what_went_on(marked: tuple[Course, Outcome]) -> None:
    own, outcome = marked
    told = {result.folder: " ".join(result.remarks) for result in outcome.results}
    for name, words in {
        "forged messages": "was refused",
        "a loop": "their time was up",
        "a loop that cannot be interrupted": "the run stopped early",
        "sudden death": "the run stopped early",
        "a doubled cell": "a cell was doubled",
        "a stray cell": "a cell was doubled or its marks were damaged",
        "a cell taken out": "task 02.1 is missing: 0 points",
    }.items():
        assert words in told[f"pupil-{NUMBER[name]:02d}"], name
    assert [told[f"pupil-{pupil:02d}"] for pupil in HONEST] == ["", "", ""]
    report = (own.marking / "report.txt").read_text("utf-8")
    assert all(line + "\n" in report for result in outcome.results for line in result.remarks)


def test_nothing_was_found_and_nothing_planted(marked: tuple[Course, Outcome]) -> None:
    own, outcome = marked
    if not outcome.guarded:
        pytest.skip(outcome.guard)
    for path in (own.marking / "autograded").glob(f"*/{LESSON}/{NAME}"):
        outputs = [c.outputs for c in nbformat.read(path, as_version=4).cells if "outputs" in c]
        assert "FOUND" not in str(outputs)
        assert path.stat().st_size < 2_000_000
    assert not list(own.root.rglob("planted.txt"))
    assert not list(Path(crowd.__file__).parents[1].rglob("planted.txt"))


def test_the_files_lie_as_nbgrader_wants_them(marked: tuple[Course, Outcome]) -> None:
    own, _ = marked
    rows = gradebook.rows(own)
    assert len({row.pupil for row in rows}) == len(TRICKS) + len(FORMS) + len(HONEST)
    assert {row.verdict for row in rows if row.pupil == HONEST[0]} == {"good", "to be read"}
    own.run("generate_feedback", LESSON, f"--student=pupil-{NUMBER['forged messages']:02d}")
    pages = list((own.marking / "feedback").glob(f"*/{LESSON}/*.html"))
    assert {page.name for page in pages} == {"angles.html"}
    assert all("<script" not in page.read_text("utf-8") for page in pages)
    left = {path.name for path in own.marking.iterdir()}
    assert not [name for name in left if name.startswith(".taken-in")]


def test_only_what_changed_is_marked_again(marked: tuple[Course, Outcome]) -> None:
    own, before = marked
    path = own.marking / "submitted" / f"pupil-{HONEST[0]:02d}" / LESSON / NAME
    paper = nbformat.read(path, as_version=4)
    cell_of(paper, ANSWER).source = "my_answer_02_1 = ..."
    save(path, paper)
    forgetful = Course(root=own.root, instructor=INSTRUCTOR)  # the class word is kept
    after = crowd.mark(forgetful, LESSON)
    now = [result.folder for result in after.results if result.outcome == "marked"]
    assert now == [f"pupil-{HONEST[0]:02d}"]
    points = {r.folder: r.points for r in before.results} | {now[0]: FULL - 2}
    assert {r.folder: r.points for r in after.results} == points
    assert {r.folder: r.remarks for r in after.results if r.folder != now[0]} == {
        r.folder: r.remarks for r in before.results if r.folder != now[0]
    }
    assert len(backup.copies(own)) == 2


def count_marks(course: Course, folder: str) -> tuple[int, int]:
    """Count the marks of a pupil, and the rows that may hold them."""
    with closing(sqlite3.connect(course.gradebook_file)) as opened:
        rows = opened.execute(
            "select count(*) from grade join submitted_notebook on submitted_notebook.id = "
            "grade.notebook_id join submitted_assignment on submitted_assignment.id = "
            "submitted_notebook.assignment_id where student_id = ?",
            (folder,),
        ).fetchone()[0]
    return backup.marks(course, LESSON, folder), int(rows)


def test_a_run_that_is_killed_goes_on_and_doubles_nothing(course: Course, tmp_path: Path) -> None:
    own = copied(course, tmp_path)
    for pupil in range(1, 5):
        save(place(own, pupil), good_paper(own, pupil))
    start = (
        "import sys; from pathlib import Path; from trimkit.classroom import crowd\n"
        "from trimkit.classroom.course import Course\n"
        "root, instructor = map(Path, sys.argv[1:])\n"
        "crowd.mark(Course(root=root, instructor=instructor, class_word='oak'), '02', jobs=2)"
    )
    journal = own.marking / "journal" / f"{LESSON}.jsonl"
    running = subprocess.Popen([sys.executable, "-c", start, str(own.root), str(INSTRUCTOR)])
    end = time.monotonic() + 60
    while not (journal.is_file() and journal.stat().st_size) and time.monotonic() < end:
        time.sleep(0.01)
    running.send_signal(signal.SIGKILL)
    running.wait()
    done = set(Journal(journal).entries)
    assert done
    folders = [f"pupil-{pupil:02d}" for pupil in range(1, 5)]
    assert all(count_marks(own, folder)[0] in (0, 7) for folder in folders)
    assert backup.damage(own) == ""
    outcome = crowd.mark(own, LESSON)
    assert outcome.good, outcome.words()
    assert {r.folder for r in outcome.results if r.outcome == "as before"} == done
    assert [r.points for r in outcome.results] == [FULL] * 4
    assert all(count_marks(own, folder) == (7, 8) for folder in folders)


def test_a_lost_room_is_opened_again_and_the_culprit_named(
    course: Course, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without walls a pupil's code can end the room; the others are marked all the same."""
    own = copied(course, tmp_path)
    for pupil in (1, 2):
        save(place(own, pupil), good_paper(own, pupil))
    killer = good_paper(own, 3)
    cell_of(killer, ANSWER).source = (
        "import os\nnow = os.getppid()\n"
        "room = int(open(f'/proc/{now}/stat').read().rsplit(')', 1)[1].split()[1])\n"
        "os.kill(room, 9); os.kill(now, 9)"
    )
    save(place(own, 3), killer)
    said: list[str] = []
    outcome = crowd.mark(own, LESSON, jobs=1, wish="off", limits=LIMITS, say=said.append)
    by_folder = {result.folder: result for result in outcome.results}
    assert [by_folder[f"pupil-0{n}"].points for n in (1, 2)] == [FULL, FULL]
    assert "the room in which it ran was lost twice" in by_folder["pupil-03"].sentence
    assert said == [outcome.guard]
    assert "limits only" in said[0]
    assert not outcome.guarded


def test_walls_that_are_required_and_missing_mark_nobody(
    course: Course, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = copied(course, tmp_path)
    save(place(own, 1), good_paper(own, 1))
    monkeypatch.setattr(host.guard, "available", lambda: "")
    with pytest.raises(RuntimeError, match="Nothing was marked"):
        crowd.mark(own, LESSON, wish="required")
    assert not (own.marking / "autograded").exists()
    assert json.dumps(count_marks(own, "pupil-01")[0]) == "0"
