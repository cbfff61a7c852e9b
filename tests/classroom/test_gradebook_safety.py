"""The gradebook's copies and the journal: nothing is lost when a run is cut short."""

from __future__ import annotations

import datetime
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from trimkit.classroom import backup
from trimkit.classroom.course import Course
from trimkit.classroom.journal import Entry, Journal

NOW = datetime.datetime(2026, 3, 14, 10, 0)
ENTRY = Entry(folder="pupil-07", submission="a", edition="b", key="c", remarks=("é, a remark",))


@pytest.fixture
def course(tmp_path: Path) -> Course:
    made = Course(root=tmp_path, instructor=tmp_path / "instructor")
    made.marking.mkdir()
    with closing(sqlite3.connect(made.gradebook_file)) as gradebook:
        gradebook.execute("create table mark (points)")
        gradebook.executemany("insert into mark values (?)", [(n,) for n in range(2000)])
        gradebook.commit()
    return made


def points(path: Path) -> int:
    with closing(sqlite3.connect(path)) as gradebook:
        return int(gradebook.execute("select sum(points) from mark").fetchone()[0])


def test_five_copies_are_kept_and_each_is_whole(course: Course) -> None:
    for day in range(7):
        made = backup.back_up(course, NOW + datetime.timedelta(days=day))
        assert made is not None
        assert points(made) == sum(range(2000))
    names = [path.name for path in backup.copies(course)]
    assert names == [f"gradebook-2026-03-{day}-100000-000000.db" for day in range(16, 21)]
    assert sorted(path.name for path in backup.folder(course).iterdir()) == names


def test_no_gradebook_wants_no_copy(course: Course) -> None:
    course.gradebook_file.unlink()
    assert backup.back_up(course) is None
    assert not course.gradebook_file.exists()
    assert backup.scores(course, "02-angles") == {}
    assert not backup.knows(course, "02-angles")


@pytest.mark.parametrize("where", [0, 4096])
def test_a_damaged_gradebook_pushes_no_good_copy_out(course: Course, where: int) -> None:
    good = backup.back_up(course, NOW)
    raw = bytearray(course.gradebook_file.read_bytes())
    raw[where : where + 3000] = b"\xff" * 3000
    course.gradebook_file.write_bytes(raw)
    assert backup.damage(course)
    with pytest.raises(ValueError, match=r"is damaged .* Put the newest good copy in its place"):
        backup.back_up(course)
    assert backup.copies(course) == [good]


def test_a_damaged_gradebook_without_a_copy_says_what_to_do(course: Course) -> None:
    course.gradebook_file.write_bytes(b"not a database" * 100)
    with pytest.raises(ValueError, match="There is no copy; move it aside"):
        backup.back_up(course)


def test_a_gradebook_without_tables_knows_no_lesson(course: Course) -> None:
    assert not backup.knows(course, "02-angles")
    assert backup.scores(course, "02-angles") == {}


def test_the_journal_reads_back_what_it_was_told(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "02.jsonl"
    journal = Journal(path)
    journal.add(ENTRY)
    newer = Entry(folder="pupil-07", submission="z", edition="b", key="c")
    journal.add(Entry(folder="pupil-08", submission="a", edition="b", key="c"))
    assert Journal(path).entries == journal.entries
    assert Journal(path).entries["pupil-07"].remarks == ENTRY.remarks
    journal.add(newer)
    assert Journal(path).entries["pupil-07"] == newer


def test_a_journal_cut_anywhere_loses_at_most_its_last_line(tmp_path: Path) -> None:
    path = tmp_path / "02.jsonl"
    journal = Journal(path)
    journal.add(ENTRY)
    first = len(path.read_bytes())
    journal.add(Entry(folder="pupil-08", submission="a", edition="b", key="c"))
    whole = path.read_bytes()
    for cut in range(first, len(whole)):
        path.write_bytes(whole[:cut])
        again = Journal(path)
        assert again.entries["pupil-07"] == ENTRY
        again.add(Entry(folder="pupil-09", submission="a", edition="b", key="c"))
        assert set(Journal(path).entries) >= {"pupil-07", "pupil-09"}


@pytest.mark.parametrize(
    "line", [b"\xff", b"[1]", b"7", b'{"schema": 2}', b'{"schema": 1}', b'{"schema": 1, "x": []}']
)
def test_a_damaged_line_is_passed_over(tmp_path: Path, line: bytes) -> None:
    path = tmp_path / "02.jsonl"
    path.write_bytes(line + b"\n")
    journal = Journal(path)
    assert journal.entries == {}
    journal.add(ENTRY)
    assert Journal(path).entries == {"pupil-07": ENTRY}


def test_marks_hold_as_long_as_all_three_are_the_same() -> None:
    assert ENTRY.same(Entry(folder="pupil-07", submission="a", edition="b", key="c"))
    for name in ("folder", "submission", "edition", "key"):
        changed = {"folder": "pupil-07", "submission": "a", "edition": "b", "key": "c"} | {
            name: "x"
        }
        assert not ENTRY.same(Entry(**changed))
