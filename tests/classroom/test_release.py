"""The released lessons: generated, the same every time, and without a solution."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from papers import INSTRUCTOR

from trimkit.classroom import release

COURSE = INSTRUCTOR.parent / "course"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    course = tmp_path_factory.mktemp("release") / "course"
    (course / "01-gone").mkdir(parents=True)
    (course / "README.txt").write_text("stays", encoding="utf-8")
    release.generate(INSTRUCTOR, course)
    return course


def test_the_course_is_what_the_source_generates(made: Path) -> None:
    assert release.differences(made, COURSE) == ()


def test_generating_again_changes_no_byte(made: Path) -> None:
    assert release.check(INSTRUCTOR, made) == ()


def test_a_changed_a_missing_and_a_stray_file_are_named(made: Path, tmp_path: Path) -> None:
    (tmp_path / "02-angles").mkdir()
    (tmp_path / "02-angles" / "angles.ipynb").write_text("{}", encoding="utf-8")
    (tmp_path / "02-angles" / "note.txt").write_text("mine", encoding="utf-8")
    found = release.differences(made, tmp_path)
    assert {"02-angles/angles.ipynb", "02-angles/note.txt"} < set(found)
    assert any(name.startswith("04-") for name in found)


def test_lessons_without_a_source_go_and_other_files_stay(made: Path) -> None:
    assert not (made / "01-gone").exists()
    assert (made / "README.txt").read_text(encoding="utf-8") == "stays"


def test_a_released_lesson_can_be_filled_in_and_holds_no_output(made: Path) -> None:
    paths = sorted(made.glob("*/*.ipynb"))
    assert len(paths) >= 2
    for path in paths:
        cells = nbformat.read(path, as_version=4).cells
        code = [cell for cell in cells if cell.cell_type == "code"]
        answers = [c for c in code if c.metadata.get("nbgrader", {}).get("solution")]
        assert all(cell.outputs == [] and cell.execution_count is None for cell in code)
        assert len(answers) >= 5
        assert all(c.source.startswith("my_answer_") and "= ..." in c.source for c in answers)
        assert all(len(c.source.splitlines()) == 1 for c in answers)
