"""A lesson handed in without a server, and collected from downloads with odd names."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from trimkit import cli, places
from trimkit.classroom import collection, intake
from trimkit.classroom.collection import Collection
from trimkit.classroom.course import Course
from trimkit.lesson import handin, work

INSTRUCTOR = Path(__file__).parents[2] / "instructor"
LESSON = "02-angles"
LOG = b'{"schema": 1}\n'


@pytest.fixture
def pupils(tmp_path: Path) -> Path:
    """A work folder of pupil 7 with one answer typed and a case's log."""
    folder = tmp_path / "work"
    work.prepare(folder, 7)
    type_in(folder, "answer-02-1", "my_answer_02_1 = 3.18  # mine")
    (folder / "logs").mkdir(exist_ok=True)
    (folder / "logs" / "case-7-1-0a1b2c.jsonl").write_bytes(LOG)
    (folder / "logs" / "case-7-1-0a1b2c-hints.jsonl").write_bytes(LOG)
    return folder


@pytest.fixture
def course(tmp_path: Path) -> Course:
    root = tmp_path / "class"
    shutil.copytree(places.course_folder(), root / "course")
    (root / "marking").mkdir()
    return Course(root=root, instructor=INSTRUCTOR)


def type_in(folder: Path, grade_id: str, source: str) -> Path:
    path = folder / LESSON / "angles.ipynb"
    book = json.loads(path.read_text("utf-8"))
    for cell in book["cells"]:
        if cell["metadata"].get("nbgrader", {}).get("grade_id") == grade_id:
            cell["source"] = source
    path.write_text(json.dumps(book), encoding="utf-8")
    return path


def test_what_is_missing_is_told_before(pupils: Path) -> None:
    found = handin.check(pupils, "02")
    assert (found.answered, found.tasks, found.sentence, found.cases) == (1, 7, False, 1)
    assert not found.ready
    assert "6 of 7 tasks still have their three dots." in found.words()
    assert "The sentence in your own words is not written." in found.words()


def test_all_there_is_ready(pupils: Path) -> None:
    for number in range(1, 8):
        type_in(pupils, f"answer-02-{number}", f"my_answer_02_{number} = 1.0")
    type_in(pupils, "words-02-8", "Because the ruler is good to half a millimetre.")
    assert handin.check(pupils, LESSON).ready


def test_a_zip_holds_the_notebook_the_logs_and_the_day_and_no_clock(pupils: Path) -> None:
    made = handin.make(pupils, "02")
    assert made.path == pupils / "hand-in" / "pupil-07_02-angles.zip"
    with zipfile.ZipFile(made.path) as archive:
        names = archive.namelist()
        assert names == [f"pupil-07/{LESSON}/{one}" for one in
                         ("angles.ipynb", "timestamp.txt", "case-7-1-0a1b2c.jsonl")]  # fmt: skip
        assert archive.read(names[0]) == (pupils / LESSON / "angles.ipynb").read_bytes()
        assert archive.read(names[1]).endswith(b" 00:00:00 UTC\n")
    assert handin.make(pupils, "02").path.read_bytes() == made.path.read_bytes()


def test_a_folder_is_what_the_marking_reads(pupils: Path, course: Course) -> None:
    handin.make(pupils, "02", course.marking / "submitted", as_folder=True)
    [seen] = intake.look(course, intake.wanted(course, LESSON))
    assert (seen.folder, seen.trouble, seen.timestamp[10:]) == ("pupil-07", "", " 00:00:00 UTC")


def test_a_visitor_and_a_broken_notebook_are_told_what_to_do(pupils: Path) -> None:
    with pytest.raises(ValueError, match=r"there is no lesson '99' to hand in here; there is 00-"):
        handin.make(pupils, "99")
    (pupils / LESSON / "angles.ipynb").write_text("{", encoding="utf-8")
    with pytest.raises(ValueError, match="Open it in JupyterLab, save it"):
        handin.make(pupils, "02")
    (pupils / LESSON / "angles.ipynb").unlink()
    with pytest.raises(ValueError, match="Open the course again"):
        handin.make(pupils, "02")
    (pupils / places.PUPIL_FILE).unlink()
    work.prepare(pupils, course=places.course_folder())
    with pytest.raises(ValueError, match="trimkit open --pupil 7"):
        handin.make(pupils, "02")
    assert not (pupils / "hand-in").exists()


# --- collecting ----------------------------------------------------------------------------------


def collected(course: Course, downloads: Path) -> Collection:
    return collection.collect(course, downloads)


ODD: dict[str, Callable[[Path, Path], object]] = {
    "as made": lambda z, d: shutil.copy(z, d / z.name),
    "browser's second copy": lambda z, d: shutil.copy(z, d / "pupil-07_02-angles (1).zip"),
    "renamed, number inside": lambda z, d: shutil.copy(z, d / "my homework.ZIP"),
    "unpacked": lambda z, d: zipfile.ZipFile(z).extractall(d / "some folder"),
    "lone notebook": lambda z, d: _lone(z, d / "Pupil 7 angles-Copy1.ipynb"),
    "folder by number": lambda z, d: _lone(z, d / "07" / "anything.ipynb"),
}


def _lone(made: Path, to: Path) -> None:
    to.parent.mkdir(exist_ok=True)
    with zipfile.ZipFile(made) as archive:
        to.write_bytes(archive.read(f"pupil-07/{LESSON}/angles.ipynb"))


@pytest.mark.parametrize("name", ODD)
def test_odd_names_are_understood(pupils: Path, course: Course, tmp_path: Path, name: str) -> None:
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    ODD[name](handin.make(pupils, "02").path, downloads)
    found = collected(course, downloads)
    assert found.troubles == ()
    [taken] = found.taken
    assert (taken.folder, taken.lesson, taken.before) == ("pupil-07", LESSON, "new")
    [seen] = intake.look(course, intake.wanted(course, LESSON))
    assert seen.trouble == ""
    assert [one.before for one in collected(course, downloads).taken] == ["as before"]


def test_logs_of_cases_come_along(pupils: Path, course: Course, tmp_path: Path) -> None:
    handin.make(pupils, "02", tmp_path / "downloads")
    collected(course, tmp_path / "downloads")
    place = course.marking / "submitted" / "pupil-07" / LESSON
    assert (place / "case-7-1-0a1b2c.jsonl").read_bytes() == LOG


def test_a_log_beside_several_notebooks_is_nobodys(
    pupils: Path, course: Course, tmp_path: Path
) -> None:
    raw = (pupils / LESSON / "angles.ipynb").read_bytes()
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    for name in ("pupil-07.ipynb", "pupil-08.ipynb"):
        (downloads / name).write_bytes(raw)
    (downloads / "case-7-1-0a1b2c.jsonl").write_bytes(LOG)
    assert len(collected(course, downloads).taken) == 2
    assert not list(course.marking.rglob("case-*"))


def test_a_newer_one_counts_and_the_older_is_kept(
    pupils: Path, course: Course, tmp_path: Path
) -> None:
    downloads = tmp_path / "downloads"
    handin.make(pupils, "02", downloads)
    collected(course, downloads)
    place = course.marking / "submitted" / "pupil-07" / LESSON / "angles.ipynb"
    before = place.read_bytes()
    type_in(pupils, "answer-02-1", "my_answer_02_1 = 9.9")
    handin.make(pupils, "02", downloads)
    assert [one.before for one in collected(course, downloads).taken] == [
        "newer than the one before"
    ]
    assert b"9.9" in place.read_bytes()
    kept = course.marking / "earlier" / "pupil-07" / LESSON / "001" / "angles.ipynb"
    assert kept.read_bytes() == before


def test_what_cannot_be_used_is_named_and_nothing_is_written_outside(
    pupils: Path, course: Course, tmp_path: Path
) -> None:
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    good = handin.make(pupils, "02").path
    with zipfile.ZipFile(good) as archive:
        raw = archive.read(f"pupil-07/{LESSON}/angles.ipynb")
    (downloads / "torn.zip").write_bytes(good.read_bytes()[:300])
    (downloads / "nobody.ipynb").write_bytes(raw)
    (downloads / "pupil-08.ipynb").write_bytes(b"no notebook")
    (downloads / "pupil-09.ipynb").write_bytes(b'{"cells": []}')
    (downloads / "pupil-10.ipynb").symlink_to(good)
    with zipfile.ZipFile(downloads / "empty pupil-11.zip", "w") as archive:
        archive.writestr("readme.txt", "hello")
    with zipfile.ZipFile(downloads / "sly.zip", "w") as archive:
        archive.writestr("../../pupil-12/../../evil/angles.ipynb", raw)
    found = collected(course, downloads)
    assert found.taken == ()
    assert len(found.troubles) == 7
    told = "\n".join(found.troubles)
    for words in (
        "begins with the pupil's number", "it cannot be read", "no notebook that can be",
        "of no lesson with marked tasks", "a link or no plain file", "holds no notebook",
    ):  # fmt: skip
        assert words in told
    assert not list(tmp_path.rglob("evil"))


def test_a_zip_that_lies_about_its_size_is_stopped(
    course: Course, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(collection, "LARGEST_NOTEBOOK", 10_000)
    downloads = tmp_path / "downloads"
    downloads.mkdir()
    with zipfile.ZipFile(downloads / "pupil-07.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("angles.ipynb", b" " * 100_000)
    assert "more than 50 MB" in collected(course, downloads).troubles[0]


def test_late_ones_are_taken_and_told(pupils: Path, course: Course, tmp_path: Path) -> None:
    handin.make(pupils, "02", tmp_path / "downloads")
    (course.marking / "due.csv").write_text("lesson,day\n02,2020-01-01\n", encoding="utf-8")
    [taken] = collected(course, tmp_path / "downloads").taken
    assert taken.days_late > 2000
    (course.marking / "due.csv").write_text("02;soon\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"line 1: '02;soon' is given; allowed is a lesson and a"):
        collected(course, tmp_path / "downloads")


def test_both_commands(
    pupils: Path, course: Course, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    downloads = tmp_path / "downloads"
    assert cli.main(["hand-in", "02", "--work", str(pupils), "--check"]) == 1
    assert "Nothing was made." in capsys.readouterr().out
    assert cli.main(["hand-in", "02", "--work", str(pupils), "--to", str(downloads), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["answered"] == 1
    assert cli.main(["collect", str(downloads), "--course", str(course.root)]) == 0
    assert "1 collected, 0 not." in capsys.readouterr().out
    assert cli.main(["collect", str(tmp_path / "none"), "--course", str(course.root)]) == 2
    assert "Give the folder of downloads" in capsys.readouterr().err
