"""What is collected from the exchange: an account's own plain files, and nothing behind a link."""

from __future__ import annotations

import logging
import os
from pathlib import Path

import pytest
from nbgrader.coursedir import CourseDirectory

from trimkit.classroom.inbound import MOST_FILES, CollectOwn
from trimkit.lesson import handin

pwd = pytest.importorskip("pwd", reason="nbgrader has no exchange on Windows")
ME = pwd.getpwuid(os.getuid()).pw_name


@pytest.fixture
def collect() -> CollectOwn:
    return CollectOwn(coursedir=CourseDirectory())


@pytest.fixture
def handed_in(tmp_path: Path) -> Path:
    folder = tmp_path / "inbound" / f"{ME}+02-angles+2026-11-20 10:00:00.000000 UTC+drawn"
    folder.mkdir(parents=True)
    (folder / "angles.ipynb").write_text("{}", encoding="utf-8")
    return folder


@pytest.fixture
def place(tmp_path: Path) -> Path:
    (tmp_path / "submitted" / ME).mkdir(parents=True)
    return tmp_path / "submitted" / ME / "02-angles"


def taken(collect: CollectOwn, handed_in: Path, place: Path) -> list[str]:
    collect.do_copy(str(handed_in), str(place))
    return sorted(path.name for path in place.iterdir()) if place.exists() else []


def test_own_plain_files_are_taken(collect: CollectOwn, handed_in: Path, place: Path) -> None:
    assert taken(collect, handed_in, place) == ["angles.ipynb"]
    assert (place / "angles.ipynb").read_text("utf-8") == "{}"


def test_what_only_looks_like_a_file_is_left_out(
    collect: CollectOwn, handed_in: Path, place: Path, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture,
) -> None:  # fmt: skip
    (tmp_path / "key.py").write_text("secret", encoding="utf-8")
    (handed_in / "link.ipynb").symlink_to(tmp_path / "key.py")
    (handed_in / "folder").mkdir()
    os.mkfifo(handed_in / "pipe")  # whoever opens it waits
    (handed_in / "long.ipynb").write_text("x" * 20, encoding="utf-8")
    monkeypatch.setattr("trimkit.classroom.inbound.LARGEST_NOTEBOOK", 10)
    collect.log = logging.getLogger("collect")
    assert taken(collect, handed_in, place) == ["angles.ipynb"]
    assert caplog.text.count("Left out") == 4


def test_a_folder_that_is_a_link_is_not_entered(
    collect: CollectOwn, handed_in: Path, place: Path
) -> None:
    link = handed_in.with_name("link")
    link.symlink_to(handed_in)
    assert taken(collect, link, place) == []


def test_another_ones_folder_is_not_taken(
    collect: CollectOwn, handed_in: Path, tmp_path: Path
) -> None:
    (tmp_path / "submitted" / "pupil-08").mkdir(parents=True)
    assert taken(collect, handed_in, tmp_path / "submitted" / "pupil-08" / "02-angles") == []


def test_whose_it_is_says_the_system(collect: CollectOwn, handed_in: Path) -> None:
    forged = handed_in.rename(handed_in.with_name(f"pupil-08{handed_in.name.removeprefix(ME)}"))
    assert collect._path_to_record(str(forged))["username"] == ME


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a file away")
def test_another_ones_file_is_left_out(collect: CollectOwn, handed_in: Path, place: Path) -> None:
    (handed_in / "others.ipynb").write_text("{}", encoding="utf-8")
    os.chown(handed_in / "others.ipynb", 54321, -1)
    assert taken(collect, handed_in, place) == ["angles.ipynb"]
    os.chown(handed_in, 54321, -1)
    assert collect._path_to_record(str(handed_in))["username"] == "account-54321"


def test_a_whole_hand_in_fits() -> None:
    assert MOST_FILES > handin.MOST_LOGS + 3
