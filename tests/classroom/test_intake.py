"""Whatever lies in a pupil's folder is taken in as a clean copy or named in one sentence."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import nbformat
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from nbformat.v4 import new_code_cell
from papers import grade_cell, mark, message, notebook, shown

from trimkit.classroom import intake
from trimkit.classroom.course import Course
from trimkit.classroom.intake import HandIn, Wanted

LESSON = Wanted(
    lesson="02-angles", name="angles.ipynb", grade_ids=frozenset({"task-02-1", "task-02-2"})
)
OTHER = Wanted(lesson="04-low-power", name="low.ipynb", grade_ids=frozenset({"task-04-1"}))


@pytest.fixture
def course(tmp_path: Path) -> Course:
    (tmp_path / "marking" / "submitted").mkdir(parents=True)
    return Course(root=tmp_path, instructor=tmp_path / "instructor")


def place(course: Course, folder: str = "pupil-07") -> Path:
    made = course.marking / "submitted" / folder / LESSON.lesson
    made.mkdir(parents=True)
    return made


def text(*cells: Any) -> str:
    return nbformat.writes(notebook(*(cells or (grade_cell("02.1"),))))


def taken(course: Course) -> HandIn:
    (one,) = intake.look(course, LESSON, [OTHER])
    return one


def cells(one: HandIn) -> list[dict[str, Any]]:
    assert one.trouble == "", one.trouble
    found = nbformat.reads(one.notebook.decode(), as_version=4)
    nbformat.validate(found)
    return list(found.cells)


def test_a_sound_notebook_is_taken_as_it_is(course: Course) -> None:
    answered = grade_cell("02.1", shown(message()))
    path = place(course) / LESSON.name
    path.write_text(text(answered), encoding="utf-8")
    one = taken(course)
    assert one.remarks == ()
    assert cells(one)[1].source == answered.source
    assert cells(one)[1].metadata.nbgrader == answered.metadata.nbgrader
    assert cells(one)[1].outputs[0].data == {intake.ANSWER_TYPE: message()}
    assert intake.altered([one]) == ()
    path.write_text("{}", encoding="utf-8")
    assert intake.altered([one]) == ("pupil-07",)


FILES: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is empty"),
    "only spaces": (b"  \n ", "is empty"),
    "not JSON": (b"my answers: 3.5", "is no notebook"),
    "a list": (b"[1, 2]", "is no notebook"),
    "truncated": (text().encode()[:-40], "is cut short"),
    "truncated in a text": (text().encode()[:120], "is cut short"),
    "half a gigabyte of brackets": (b"[" * 200_000, "is no notebook"),
    "deep in a cell": (b'{"nbformat": 4, "cells": ' + b"[" * 100_000, "is no notebook"),
    "no cells": (b'{"nbformat": 4}', "no cells or an unknown format"),
    "cells that are no list": (b'{"nbformat": 4, "cells": 7}', "no cells or an unknown format"),
    "a format of the future": (b'{"nbformat": 9, "cells": []}', "no cells or an unknown format"),
    "a damaged old format": (b'{"nbformat": 3, "worksheets": 5}', "old format and is damaged"),
    "no cell left": (b'{"nbformat": 4, "cells": []}', "lost the marks"),
    "metadata stripped": (text(new_code_cell("my_answer_02_1 = 3")).encode(), "lost the marks"),
    "another lesson's": (text(grade_cell("04.1")).encode(), "the notebook of 04-low-power"),
    "a program": (b"\x7fELF\x02\x01\x01" + bytes(500), "is no notebook"),
    "a zip": (b"PK\x03\x04" + bytes(range(256)), "is no notebook"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_broken_file_gets_one_sentence_with_the_next_step(course: Course, name: str) -> None:
    raw, wanted = FILES[name]
    path = place(course) / LESSON.name
    path.write_bytes(raw)
    one = taken(course)
    assert wanted in one.trouble
    assert one.trouble.startswith("02-angles, pupil-07: ")
    assert "\n" not in one.trouble
    assert any(step in one.trouble for step in ("Ask for", "Put it into", "Copy the answers"))
    assert path.read_bytes() == raw


MENDED: dict[str, tuple[bytes, str]] = {
    "a mark of byte order": (b"\xef\xbb\xbf" + text().encode(), ""),
    "UTF-16": (text().encode("utf-16"), ""),
    "latin letters": (text(grade_cell("02.1"), new_code_cell("# X")).encode().replace(
        b"# X", b"# \xe9\xff"), "not UTF-8"),
    "a cell of 300,000 characters": (
        text(grade_cell("02.1"), new_code_cell("#" * 300_000)).encode(),
        "cell 3 held 300000 characters: emptied"),
    "a cell that is none": (text().encode().replace(b'"cells": [', b'"cells": [7,'),
        "cell 1 was no cell"),
    "NaN in it": (text().encode().replace(b'"metadata": {}', b'"metadata": {"x": NaN}', 1), ""),
}  # fmt: skip


@pytest.mark.parametrize("name", MENDED)
def test_what_can_be_mended_is_marked(course: Course, name: str) -> None:
    raw, remark = MENDED[name]
    (place(course) / LESSON.name).write_bytes(raw)
    one = taken(course)
    assert "task-02-1" in str(cells(one))
    assert remark in " ".join(one.remarks)
    assert bool(one.remarks) == bool(remark)


def test_a_line_of_fifty_megabytes_is_no_trouble(course: Course) -> None:
    raw = text(grade_cell("02.1", shown("HERE"))).replace("HERE", "x" * 50_000_000)
    (place(course) / LESSON.name).write_text(raw, encoding="utf-8")
    one = taken(course)
    assert len(one.notebook) < 5000
    assert cells(one)[1].outputs == []


def test_a_file_beyond_all_measure_is_refused_with_what_to_do(
    course: Course, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(intake, "LARGEST_FILE", 1000)
    (place(course) / LESSON.name).write_text(
        text(*(grade_cell("02.1") for _ in range(9))), encoding="utf-8"
    )
    assert "Clear Outputs of All Cells" in taken(course).trouble


def test_another_name_is_taken_and_remarked(course: Course) -> None:
    (place(course) / "angles (1).ipynb").write_text(text(), encoding="utf-8")
    one = taken(course)
    assert len(cells(one)) == 2
    assert "'angles (1).ipynb' was taken as angles.ipynb" in one.remarks[0]


def test_two_other_names_are_not_guessed_at(course: Course) -> None:
    folder = place(course)
    for name in ("a.ipynb", "b.ipynb"):
        (folder / name).write_text(text(), encoding="utf-8")
    assert "holds 2 notebooks, none of them angles.ipynb" in taken(course).trouble


def link_file(folder: Path, secret: Path) -> None:
    (folder / LESSON.name).symlink_to(secret)


def folder_for_file(folder: Path, secret: Path) -> None:
    (folder / LESSON.name).mkdir()


def pipe(folder: Path, secret: Path) -> None:
    os.mkfifo(folder / LESSON.name)


def link_lesson(folder: Path, secret: Path) -> None:
    folder.rmdir()
    folder.symlink_to(secret.parent)


def link_pupil(folder: Path, secret: Path) -> None:
    folder.rmdir()
    folder.parent.rmdir()
    folder.parent.symlink_to(secret.parents[1])


def file_for_lesson(folder: Path, secret: Path) -> None:
    folder.rmdir()
    folder.write_text("hello", encoding="utf-8")


def nothing(folder: Path, secret: Path) -> None:
    (folder / "notes.txt").write_text("I forgot", encoding="utf-8")


def loose(folder: Path, secret: Path) -> None:
    folder.rmdir()
    folder.parent.rmdir()
    folder.parent.with_name("pupil-07.ipynb").write_text(text(), encoding="utf-8")


@pytest.mark.parametrize(
    ("spoil", "wanted"),
    [
        (link_file, "is a link. Ask for the file itself"),
        (folder_for_file, "is a folder. Put the pupil's notebook"),
        (pipe, "is no file. Put the pupil's notebook"),
        (link_lesson, "is a link. Put a folder"),
        (link_pupil, "a link, not a folder"),
        (file_for_lesson, "is a file. Put the notebook into a folder"),
        (nothing, "holds no notebook. Put angles.ipynb there"),
        (loose, "lies loose. Put it into a folder such as pupil-07/02-angles"),
    ],
)
def test_no_link_is_followed_and_no_pipe_waited_for(
    course: Course, tmp_path: Path, spoil: Callable[[Path, Path], None], wanted: str
) -> None:
    secret = tmp_path / "else" / "02-angles" / "angles.ipynb"
    secret.parent.mkdir(parents=True)
    secret.write_text(text(), encoding="utf-8")
    spoil(place(course), secret)
    assert wanted in taken(course).trouble


def test_other_files_and_links_stay_behind(course: Course, tmp_path: Path) -> None:
    folder = place(course)
    (folder / LESSON.name).write_text(text(), encoding="utf-8")
    (folder / "gradebook.db").symlink_to(tmp_path / "marking" / "gradebook.db")
    (folder / "numpy.py").write_text("raise SystemExit", encoding="utf-8")
    (folder / "timestamp.txt").write_text("2026-03-14 10:00:00 UTC\n", encoding="utf-8")
    intake.lay_out(taken(course), LESSON, tmp_path / "out")
    laid = sorted(path.name for path in (tmp_path / "out").rglob("*") if path.is_file())
    assert laid == ["angles.ipynb", "submission_secret.txt", "timestamp.txt"]
    (folder / "timestamp.txt").write_text("soon", encoding="utf-8")
    assert "says no time" in taken(course).remarks[0]


def test_the_exchanges_secret_goes_along_and_is_made_up_where_there_is_none(
    course: Course, tmp_path: Path
) -> None:
    folder, given = place(course), "0123456789abcdef" * 8
    (folder / LESSON.name).write_text(text(), encoding="utf-8")
    made_up = taken(course).secret
    assert re.fullmatch("[0-9a-f]{128}", made_up)
    assert made_up != taken(course).secret  # nobody can guess it
    (folder / "submission_secret.txt").write_text(given, encoding="ascii")
    assert taken(course).secret == given
    (folder / "submission_secret.txt").write_text("../" * 40, encoding="ascii")
    assert re.fullmatch("[0-9a-f]{128}", taken(course).secret)
    (folder / "submission_secret.txt").write_text(given, encoding="ascii")
    one = taken(course)
    intake.lay_out(one, LESSON, tmp_path / "out")
    (laid,) = (tmp_path / "out").rglob("submission_secret.txt")
    assert laid.read_text("ascii") == given


@pytest.mark.parametrize("name", ["Anna", "pupil-0", "pupil-07-copy", "12345", "..."])
def test_a_folder_that_names_no_pupil_is_said(course: Course, name: str) -> None:
    (place(course, name) / LESSON.name).write_text(text(), encoding="utf-8")
    found = intake.look(course, LESSON)
    if name.startswith("."):
        assert found == []
    else:
        assert "names no pupil" in found[0].trouble


def test_two_folders_for_one_pupil_are_both_left(course: Course) -> None:
    for name in ("7", "pupil-07", "pupil-08"):
        (place(course, name) / LESSON.name).write_text(text(), encoding="utf-8")
    troubles = {one.folder: one.trouble for one in intake.look(course, LESSON)}
    assert "two folders for pupil 7" in troubles["7"]
    assert "two folders for pupil 7" in troubles["pupil-07"]
    assert troubles["pupil-08"] == ""


def test_somebody_who_did_not_hand_in_is_no_trouble(course: Course) -> None:
    (course.marking / "submitted" / "pupil-03").mkdir()
    assert intake.look(course, LESSON) == []
    assert intake.look(Course(root=course.root / "new", instructor=course.root), LESSON) == []


def test_doubled_ids_and_damaged_marks_reach_nbgrader_as_a_valid_notebook(course: Course) -> None:
    twin = grade_cell("02.1")
    twin.metadata["nbgrader"] = mark("task-02-1", points=[1], deep={"a": {}})
    content = json.loads(text(grade_cell("02.1"), twin))
    for cell in content["cells"]:
        cell["id"] = "same"
    content["cells"][2]["source"] = ["a = 1\n", 7, None]
    (place(course) / LESSON.name).write_text(json.dumps(content), encoding="utf-8")
    found = cells(taken(course))
    assert len({cell["id"] for cell in found}) == 3
    assert found[2].source == "a = 1\n"
    assert "points" not in found[2].metadata.nbgrader


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(),
    lambda inside: st.lists(inside) | st.dictionaries(st.text(), inside),
    max_leaves=8,
)


@given(st.dictionaries(
    st.sampled_from(["id", "cell_type", "metadata", "source", "outputs", "execution_count"]),
    JSON | st.sampled_from(["code", "markdown", "raw"])))  # fmt: skip
@settings(
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_no_cell_can_stop_the_intake(course: Course, cell: dict[str, Any]) -> None:
    content = json.loads(text())
    content["cells"].append(cell)
    folder = course.marking / "submitted" / "pupil-07" / LESSON.lesson
    folder.mkdir(parents=True, exist_ok=True)
    (folder / LESSON.name).write_text(json.dumps(content), encoding="utf-8")
    assert len(cells(taken(course))) in (2, 3)
