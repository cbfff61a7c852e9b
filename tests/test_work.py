"""A pupil's work folder: what follows the course, and what is never touched."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from trimkit import places
from trimkit.lesson import work

ANGLES = "02-angles/angles.ipynb"
LOW_POWER = "04-low-power/low-power.ipynb"
BESIDE = "02-angles/angles.new-edition.ipynb"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "work"


def new_edition(course: Path, text: str = "second edition") -> str:
    (course / ANGLES).write_text(text, encoding="utf-8")
    return text


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_first_time_every_lesson_is_new(folder: Path, small_course: Path) -> None:
    done = work.prepare(folder, 7, "swift", small_course)
    assert done.new == (ANGLES, LOW_POWER)
    assert done.updated == done.restored == done.beside == done.set_aside == ()
    assert (folder / ANGLES).read_bytes() == (small_course / ANGLES).read_bytes()
    assert done.pupil == places.pupil(folder) == places.Pupil(7, "swift", places.season())


def test_a_second_time_changes_nothing(folder: Path, small_course: Path) -> None:
    work.prepare(folder, 7, "", small_course)
    before = tree(folder)
    done = work.prepare(folder, course=small_course)
    assert tree(folder) == before
    assert done.words() == "Lessons: all as you left them."


def test_an_untouched_lesson_follows_the_course(folder: Path, small_course: Path) -> None:
    work.prepare(folder, course=small_course)
    text = new_edition(small_course)
    done = work.prepare(folder, course=small_course)
    assert done.updated == (ANGLES,)
    assert (folder / ANGLES).read_text("utf-8") == text


def test_a_touched_lesson_stays_and_the_new_edition_lands_beside_it_once(
    folder: Path, small_course: Path
) -> None:
    work.prepare(folder, course=small_course)
    (folder / ANGLES).write_text("my work")
    assert work.prepare(folder, course=small_course).beside == ()
    text = new_edition(small_course)
    assert work.prepare(folder, course=small_course).beside == (BESIDE,)
    assert work.prepare(folder, course=small_course).beside == ()
    assert (folder / ANGLES).read_text() == "my work"
    assert (folder / BESIDE).read_text("utf-8") == text


def test_a_third_edition_does_not_overwrite_the_second(folder: Path, small_course: Path) -> None:
    work.prepare(folder, course=small_course)
    (folder / ANGLES).write_text("my work")
    new_edition(small_course)
    work.prepare(folder, course=small_course)
    (folder / BESIDE).write_text("my work in the second")
    new_edition(small_course, "third edition")
    done = work.prepare(folder, course=small_course)
    assert done.beside == ("02-angles/angles.new-edition-2.ipynb",)
    assert (folder / BESIDE).read_text() == "my work in the second"


def test_a_deleted_lesson_comes_back(folder: Path, small_course: Path) -> None:
    work.prepare(folder, course=small_course)
    (folder / ANGLES).unlink()
    assert work.prepare(folder, course=small_course).restored == (ANGLES,)
    assert (folder / ANGLES).read_bytes() == (small_course / ANGLES).read_bytes()


def test_a_lesson_brought_to_the_new_edition_by_hand_is_untouched_again(
    folder: Path, small_course: Path
) -> None:
    work.prepare(folder, course=small_course)
    text = new_edition(small_course)
    (folder / ANGLES).write_text(text, encoding="utf-8")
    assert work.prepare(folder, course=small_course).beside == ()
    new_edition(small_course, "third edition")
    assert work.prepare(folder, course=small_course).updated == (ANGLES,)


def test_logs_and_a_pupils_own_files_are_never_touched(folder: Path, small_course: Path) -> None:
    (small_course / "logs").mkdir()
    (small_course / "logs" / "attempts.jsonl").write_text("from the course")
    work.prepare(folder, course=small_course)
    assert not (folder / "logs").exists()
    mine = {"logs/attempts.jsonl": b"{}\n", "02-angles/notes.txt": b"mine"}
    for name, content in mine.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    new_edition(small_course)
    work.prepare(folder, course=small_course)
    assert mine.items() <= tree(folder).items()


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", '{"schema": 99, "files": {}, "offered": {}}', '{"schema": 1}',
     '{"schema": 1, "files": {"a": 1}, "offered": {}}', '{"schema": 1, "files": 3, "offered": {}}'],
)  # fmt: skip
def test_a_bad_manifest_is_set_aside_and_work_stays(
    folder: Path, small_course: Path, text: str
) -> None:
    work.prepare(folder, course=small_course)
    (folder / ANGLES).write_text("my work")
    (folder / places.MANIFEST_FILE).write_text(text)
    done = work.prepare(folder, course=small_course)
    (aside,) = done.set_aside
    assert (folder / aside).read_text() == text
    assert (folder / ANGLES).read_text() == "my work"
    assert done.beside == (BESIDE,)
    assert work.prepare(folder, course=small_course).set_aside == ()


def test_a_bad_pupil_file_is_set_aside_not_lost(folder: Path, small_course: Path) -> None:
    work.prepare(folder, 7, "", small_course)
    (folder / "pupil.toml").write_text("number = Anna")
    done = work.prepare(folder, 8, "", small_course)
    assert done.set_aside == ("pupil.damaged-1.toml",)
    assert places.pupil(folder).number == 8


def test_two_pupils_do_not_share_a_folder(folder: Path, small_course: Path) -> None:
    work.prepare(folder, 7, "", small_course)
    before = tree(folder)
    with pytest.raises(ValueError, match=r"pupil number 7, and you gave 8.*--work"):
        work.prepare(folder, 8, "", small_course)
    assert tree(folder) == before


def test_a_visitor_may_become_a_pupil_and_a_class_word_may_come_later(
    folder: Path, small_course: Path
) -> None:
    assert work.prepare(folder, course=small_course).pupil.number == 0
    assert not (folder / "pupil.toml").exists()
    work.prepare(folder, 7, None, small_course)
    work.prepare(folder, None, "swift", small_course)
    assert places.pupil(folder) == places.Pupil(7, "swift", places.season())


def test_work_inside_the_project_is_refused(small_course: Path) -> None:
    root = places.checkout()
    assert root is not None
    with pytest.raises(ValueError, match="inside the project"):
        work.prepare(root / "my-work", course=small_course)
    assert not (root / "my-work").exists()


def test_a_failed_write_leaves_the_old_file_whole(
    folder: Path, small_course: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    work.prepare(folder, course=small_course)
    before = tree(folder)
    new_edition(small_course)

    def refuse(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OSError, match="disk full"):
        work.prepare(folder, course=small_course)
    assert tree(folder) == before


def test_after_an_interruption_the_next_time_puts_it_in_order(
    folder: Path, small_course: Path
) -> None:
    work.prepare(folder, course=small_course)
    manifest = (folder / places.MANIFEST_FILE).read_bytes()
    new_edition(small_course)
    work.prepare(folder, course=small_course)
    (folder / places.MANIFEST_FILE).write_bytes(manifest)  # as if stopped before its end
    assert work.prepare(folder, course=small_course).beside == ()
    assert json.loads((folder / places.MANIFEST_FILE).read_text())["files"].keys() == {
        ANGLES,
        LOW_POWER,
    }


def test_a_folder_in_a_lessons_place_is_left_alone(folder: Path, small_course: Path) -> None:
    (folder / ANGLES).mkdir(parents=True)
    assert work.prepare(folder, course=small_course).beside == (BESIDE,)
    assert (folder / ANGLES).is_dir()


def test_hidden_files_of_a_course_are_not_handed_out(folder: Path, small_course: Path) -> None:
    hidden = small_course / ".ipynb_checkpoints" / "angles-checkpoint.ipynb"
    hidden.parent.mkdir()
    hidden.write_text("old")
    assert work.prepare(folder, course=small_course).new == (ANGLES, LOW_POWER)


@pytest.mark.notebooks
def test_working_through_the_lessons_leaves_the_project_clean(folder: Path) -> None:
    root = places.checkout()
    assert root is not None

    def status() -> str:
        said = ["git", "status", "--porcelain", "--ignored", "--", "course", "instructor"]
        return subprocess.run(said, cwd=root, capture_output=True, text=True, check=True).stdout

    if not (root / ".git").exists():
        pytest.skip("not a git checkout")
    before = status()
    handed_out = work.prepare(folder, 7, "").new
    lessons = [str(folder / name) for name in handed_out if name.endswith(".ipynb")]
    assert lessons
    run = [sys.executable, "-m", "nbconvert", "--to", "notebook", "--execute", "--inplace"]
    subprocess.run([*run, *lessons], cwd=folder, check=True, capture_output=True)
    assert (folder / "logs" / "attempts.jsonl").is_file()
    assert status() == before
    assert work.prepare(folder).words() == "Lessons: all as you left them."
