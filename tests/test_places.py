"""Who the pupil is, and where things lie."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from trimkit import places
from trimkit.places import Pupil


def test_nobody_is_a_visitor(tmp_path: Path) -> None:
    assert places.pupil(tmp_path) == Pupil(0, "", "")


def test_the_nearest_pupil_file_upward_counts(tmp_path: Path) -> None:
    deep = tmp_path / "a" / "b"
    deep.mkdir(parents=True)
    places.write_pupil(tmp_path / "pupil.toml", Pupil(3, "swift", "2026-27"))
    assert places.pupil(deep) == Pupil(3, "swift", "2026-27")
    places.write_pupil(tmp_path / "a" / "pupil.toml", Pupil(4, "", ""))
    assert places.pupil(deep) == Pupil(4, "", "")


def test_the_current_folder_is_where_it_looks_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    places.write_pupil(tmp_path / "pupil.toml", Pupil(5, "", ""))
    monkeypatch.chdir(tmp_path)
    assert places.pupil().number == 5
    assert places.work_folder() == tmp_path.resolve()


def test_while_marking_the_marker_says_who_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    places.write_pupil(tmp_path / "pupil.toml", Pupil(5, "hawk", ""))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TRIMKIT_PUPIL", "9")
    monkeypatch.setenv("TRIMKIT_CLASS_WORD", "swift")
    assert places.pupil() == Pupil(5, "hawk", "")
    monkeypatch.setenv("TRIMKIT_MARKING", "1")
    assert places.marking()
    assert places.pupil() == Pupil(9, "swift", "")
    assert places.attempts_path() is None


def test_a_marker_that_sets_no_number_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRIMKIT_MARKING", "1")
    monkeypatch.setenv("TRIMKIT_PUPIL", "nine")
    with pytest.raises(ValueError, match=r"'nine'.*whole number"):
        places.pupil()


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("number = ", "It should look like this"),
        ("", "holds no number"),
        ('number = "Anna"', "A name does not belong here"),
        ("number = 3.5", "whole number"),
        ("number = true", "whole number"),
        ("number = -1", "from 0"),
        ("number = 10000", "to 9999"),
        ("number = 3\nclass_word = 5", "class word"),
        ("number = 3\nseason = [1]", "season"),
    ],
)
def test_a_bad_pupil_file_makes_a_visitor_and_says_why_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, hint: str
) -> None:
    (tmp_path / "pupil.toml").write_text(text, encoding="utf-8")
    assert places.pupil(tmp_path) == places.VISITOR
    said = capsys.readouterr()
    assert hint in said.out
    assert "pupil.toml" in said.out
    assert "visitor" in said.out
    assert said.err == ""
    assert places.pupil(tmp_path) == places.VISITOR
    assert capsys.readouterr().out == ""


def test_a_file_that_is_not_text_makes_a_visitor(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pupil.toml").write_bytes(b"number = \xff\xfe")
    assert places.pupil(tmp_path) == places.VISITOR
    assert "cannot be read" in capsys.readouterr().out


def test_an_editor_that_adds_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    (tmp_path / "pupil.toml").write_bytes(b"\xef\xbb\xbfnumber = 7\r\n")
    assert places.pupil(tmp_path).number == 7


@pytest.mark.parametrize("word", ['a"b', "a\\b", "a\nb", "x" * 41])
def test_a_class_word_that_would_break_the_file_is_refused(word: str) -> None:
    with pytest.raises(ValueError, match="class word"):
        places.checked_pupil(1, word)


def test_a_pupil_file_reads_back(tmp_path: Path) -> None:
    who = Pupil(9999, "Schwälbe 7 #", "2026-27")
    places.write_pupil(tmp_path / "pupil.toml", who)
    assert places.read_pupil(tmp_path / "pupil.toml") == who
    assert [path.name for path in tmp_path.iterdir()] == ["pupil.toml"]


def test_a_manifest_alone_makes_a_work_folder(tmp_path: Path) -> None:
    assert places.work_folder(tmp_path) is None
    (tmp_path / places.MANIFEST_FILE).write_text("{}")
    lesson = tmp_path / "02-angles"
    lesson.mkdir()
    assert places.work_folder(lesson) == tmp_path.resolve()


def test_attempts_lie_in_the_work_folder_not_in_a_lesson(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lesson = tmp_path / "02-angles"
    lesson.mkdir()
    monkeypatch.chdir(lesson)
    assert places.attempts_path() is None
    places.write_pupil(tmp_path / "pupil.toml", Pupil(3, "", ""))
    assert places.attempts_path() == tmp_path.resolve() / "logs" / "attempts.jsonl"


@pytest.mark.parametrize(
    ("day", "name"),
    [
        ((2026, 7, 31), "2025-26"),
        ((2026, 8, 1), "2026-27"),
        ((2026, 12, 31), "2026-27"),
        ((2099, 9, 1), "2099-00"),
    ],
)
def test_the_season_turns_in_august(day: tuple[int, int, int], name: str) -> None:
    assert places.season(datetime.date(*day)) == name
    assert places.default_work_folder(datetime.date(*day)) == Path.home() / f"trimkit-{name}"


def test_in_a_checkout_the_course_lies_beside_the_package() -> None:
    root = places.checkout()
    assert root is not None
    assert places.course_folder() == root / "course"
    assert places.demo_folder() == root / "datasets_demo"


def test_an_installed_package_carries_its_course(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "site" / "trimkit"
    course = package / "released" / "course"
    course.mkdir(parents=True)
    monkeypatch.setattr(places, "_PACKAGE", package)
    assert places.checkout() is None
    assert places.course_folder() == course
    with pytest.raises(FileNotFoundError, match="datasets_demo"):
        places.demo_folder()
    with pytest.raises(FileNotFoundError, match="--instructor"):
        places.instructor_folder()


def test_an_instructors_folder_must_hold_both_halves(tmp_path: Path) -> None:
    (tmp_path / "source").mkdir()
    with pytest.raises(FileNotFoundError, match="no marking in it"):
        places.instructor_folder(tmp_path)
    (tmp_path / "marking").mkdir()
    assert places.instructor_folder(str(tmp_path)) == tmp_path.resolve()


def test_the_projects_own_instructors_folder_is_found() -> None:
    root = places.checkout()
    assert root is not None
    assert places.instructor_folder() == root / "instructor"
