"""What is kept of pupils: a coach's own mark stays, and a pupil or a season can be forgotten."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from nbgrader.api import Gradebook
from papers import INSTRUCTOR, instructor_with

from trimkit import cli
from trimkit.classroom import backup, crowd, forgetting, gradebook, overrides, sentences
from trimkit.classroom.course import Course
from trimkit.classroom.journal import Entry, Journal
from trimkit.classroom.rehearse import CLASS_WORD, rehearse

pytestmark = pytest.mark.notebooks  # a class is marked first

LESSON, TASK, SENTENCE = "04-low-power", "04.2", "04.8"
REASON = "showed it in the hall"


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Course:
    """Two pupils, all good and all blank, marked in one lesson."""
    some = instructor_with(tmp_path_factory.mktemp("course") / "instructor", LESSON)
    done = rehearse(2, tmp_path_factory.mktemp("rehearsal"), some, progress=None)
    return Course(root=done.folder, instructor=some, class_word=CLASS_WORD)


@pytest.fixture
def course(season: Course, tmp_path: Path) -> Course:
    shutil.copytree(season.root, tmp_path / "class")
    return Course(root=tmp_path / "class", instructor=season.instructor, class_word=CLASS_WORD)


def row(course: Course, pupil: int, task: str) -> gradebook.Row:
    name = task.replace(".", "-")
    return next(
        one for one in gradebook.rows(course) if one.pupil == pupil and one.task.endswith(name)
    )


# --- a coach's own mark ------------------------------------------------------------------------


def test_a_coachs_mark_counts_says_why_and_can_be_taken_back(course: Course) -> None:
    assert row(course, 2, TASK).points == 0
    overrides.override(course, 2, TASK, 1.5, f"  {REASON}\n")
    now = row(course, 2, TASK)
    assert (now.points, now.verdict) == (1.5, f"by the coach: {REASON}")
    overrides.override(course, 2, TASK, None, "it was another pupil")
    assert (row(course, 2, TASK).points, row(course, 2, TASK).verdict) == (0, "blank")


def test_a_coachs_mark_survives_marking_again(course: Course) -> None:
    overrides.override(course, 2, TASK, 2, REASON)
    overrides.override(course, 1, SENTENCE, 1, "half a reason only")
    outcome = crowd.mark(course, "04", again=True, wish="off")
    assert outcome.good
    assert {one.outcome for one in outcome.results} == {"marked"}
    assert row(course, 2, TASK).points == 2
    assert row(course, 1, SENTENCE).points == 1
    points = {one.folder: one.points for one in outcome.results}
    assert points["pupil-02"] == 2


def test_a_folder_that_is_only_a_number_is_the_pupils_too(course: Course) -> None:
    with Gradebook(course.gradebook) as book:
        plain = book.add_student("2")
        for one in list(book.find_student("pupil-02").submissions):
            one.student = plain
        book.db.commit()
    (course.marking / "autograded" / "pupil-02").rename(course.marking / "autograded" / "2")
    overrides.override(course, 2, TASK, 1, REASON)
    assert row(course, 2, TASK).points == 1


@pytest.mark.parametrize(
    ("pupil", "task", "points", "reason", "told"),
    [
        (9, TASK, 1.0, REASON, "pupil 9 has no mark for '04.2'. Mark the lesson first"),
        (1, "04.99", 1.0, REASON, "has no mark for '04.99'"),
        (1, TASK, 9.0, REASON, "9 points are given; allowed is 0 to 2"),
        (1, TASK, -1.0, REASON, "-1 points are given"),
        (1, TASK, 1.0, " so ", "the reason has 2 letters"),
        (1, TASK, 1.0, "x" * 201, "the reason has 201 letters"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_written(
    course: Course, pupil: int, task: str, points: float, reason: str, told: str
) -> None:
    with pytest.raises(ValueError, match=told):
        overrides.override(course, pupil, task, points, reason)
    assert not (course.marking / overrides.FILE).exists()


def test_a_broken_line_is_named(course: Course) -> None:
    (course.marking / overrides.FILE).write_text("pupil,task,points\n1,04.2,2\n", encoding="utf-8")
    with pytest.raises(ValueError, match="line 2 is no override; its columns are pupil, task,"):
        gradebook.rows(course)


def test_the_command_for_a_mark(course: Course, capsys: pytest.CaptureFixture[str]) -> None:
    typed = ["override", "2", TASK, "1,5", "--reason", REASON, "--course", str(course.root)]
    assert cli.main(typed) == 0
    assert f"Pupil 2, {TASK}: 1.5 points. {REASON}" in capsys.readouterr().out
    assert cli.main([*typed[:3], "many", *typed[4:]]) == 2
    assert "allowed is a number, or the word undo" in capsys.readouterr().err


# --- answers in words ----------------------------------------------------------------------------


def test_sentences_are_read_nameless_and_keyed(
    course: Course, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    reread(course)
    mine, blank = sentences.grouped(sentences.waiting(course, LESSON))
    typed = iter(["what", "s", "1", "0"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: next(typed))
    assert cli.main(["words", "04", "--course", str(course.root)]) == 0
    said = capsys.readouterr().out
    assert mine.texts[0] in said
    assert blank.texts == ("Write your sentence here.",)
    assert "'what' is no key here." in said
    assert "pupil" not in said.partition("\n\n")[2]
    assert "1 marked.\nNo sentence waits." in said
    assert row(course, 2, SENTENCE).points == 0
    assert row(course, 1, SENTENCE).points == 1
    assert sentences.waiting(course, LESSON) == ()


def test_stopping_keeps_what_was_keyed_and_a_list_asks_nothing(
    course: Course, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    reread(course)
    where = ["--course", str(course.root)]
    assert cli.main(["words", "04", "--list", *where]) == 1
    assert "One says:" in capsys.readouterr().out
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: "q")
    assert cli.main(["words", "04", *where]) == 1
    assert "Stopped; 2 wait." in capsys.readouterr().out
    assert cli.main(["words", "99", *where]) == 2


def reread(course: Course) -> None:
    """Take back the marks that the rehearsal's coach gave for sentences."""
    with Gradebook(course.gradebook) as book:
        for assignment in book.assignments:
            for submission in assignment.submissions:
                for notebook in submission.notebooks:
                    for grade in notebook.grades:
                        if grade.name.startswith("words"):
                            grade.manual_score, grade.needs_manual_grade = None, True
        book.db.commit()


# --- forgetting --------------------------------------------------------------------------------


def filled(course: Course) -> Course:
    """With a line, a copy, a report and an older hand-in as well."""
    overrides.override(course, 1, TASK, 1, REASON)
    overrides.override(course, 2, TASK, 1, REASON)
    journal = Journal(course.marking / "journal" / f"{LESSON}.jsonl")
    for folder in ("pupil-01", "pupil-02"):
        journal.add(Entry(folder=folder, submission="a", edition="b", key="c"))
        (course.marking / "earlier" / folder / LESSON / "001").mkdir(parents=True)
    backup.back_up(course)
    (course.marking / "report").mkdir()
    (course.marking / "report" / "report.html").write_text("pupil 2", encoding="utf-8")
    return course


def everything(course: Course) -> dict[str, bytes]:
    return {
        path.relative_to(course.marking).as_posix(): path.read_bytes()
        for path in course.marking.rglob("*")
        if path.is_file()
    }


def test_forgetting_is_told_first_and_erases_nothing(course: Course) -> None:
    before = everything(filled(course))
    told = forgetting.pupil(course, 2, really=False)
    assert everything(course) == before
    assert told.anything
    assert "This would be erased, of pupil 2" in told.words(done=False)
    assert "submitted/pupil-02" in told.words(done=False)


def test_a_forgotten_pupil_is_nowhere_and_the_others_keep_all(course: Course) -> None:
    rows = [one for one in gradebook.rows(filled(course)) if one.pupil == 1]
    forgetting.pupil(course, 2, really=True)
    assert [one for one in gradebook.rows(course) if one.pupil == 1] == rows
    left = everything(course)
    assert not [name for name in left if "pupil-02" in name or name.startswith("backups/")]
    for name, raw in left.items():
        assert b"pupil-02" not in raw, name
    assert b"\n1," in left[overrides.FILE]
    assert b"\n2," not in left[overrides.FILE]
    assert not forgetting.pupil(course, 2, really=True).anything


def test_a_season_is_forgotten_but_for_the_days(course: Course) -> None:
    (filled(course).marking / "due.csv").write_text("02,2026-11-20\n", encoding="utf-8")
    assert forgetting.season(course, really=False).paths
    assert len(everything(course)) > 5
    forgetting.season(course, really=True)
    assert set(everything(course)) == {"due.csv"}


def test_the_command_for_forgetting(course: Course, capsys: pytest.CaptureFixture[str]) -> None:
    where = ["--course", str(course.root)]
    assert cli.main(["forget", *where]) == 2
    assert cli.main(["forget", "2", *where]) == 1
    assert "Nothing was erased. Type it again with --yes." in capsys.readouterr().out
    assert cli.main(["forget", "2", "--yes", "--json", *where]) == 0
    assert json.loads(capsys.readouterr().out)["in_gradebook"]
    assert cli.main(["forget", "2", *where]) == 0
    assert "Nothing is kept of pupil 2 here." in capsys.readouterr().out


def test_the_page_names_every_place_that_is_erased() -> None:
    page = (INSTRUCTOR / "plans" / "what-is-kept.md").read_text("utf-8")
    for name in (*forgetting._OF_A_PUPIL, *forgetting._OF_EVERYBODY, "journal", overrides.FILE):
        assert f"marking/{name}" in page, name
