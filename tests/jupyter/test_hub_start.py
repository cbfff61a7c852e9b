"""What an account's server does before it is JupyterHub's: the folder, the words, the command."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path
from typing import Any

import pytest

from trimkit import places
from trimkit.jupyter import hub, server

if sys.platform == "win32":
    pytest.skip("JupyterHub has no accounts there", allow_module_level=True)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(places.COURSE_ROOT, str(tmp_path / "course"))
    monkeypatch.setenv(places.CLASS_WORD, "birch")
    return tmp_path


def named(name: str, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Give this account a name, and keep what would be started."""
    started: list[Any] = []
    account = type("Account", (), {"pw_name": name})
    monkeypatch.setattr("pwd.getpwuid", lambda number: account)
    monkeypatch.setattr(os, "execve", lambda *words: started.extend(words))
    return started


def test_a_pupils_account_gets_its_own_work_folder(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    started = named("pupil-07", monkeypatch)
    hub.main()
    work = places.default_work_folder()
    assert work.parent == home
    pupil = places.read_pupil(work / places.PUPIL_FILE)
    assert (pupil.number, pupil.class_word) == (7, "birch")
    program, words, environment = started
    assert program == sys.executable
    assert words[1:4] == ["-P", "-m", "jupyterhub.singleuser"]
    assert f"--ServerApp.root_dir={work}" in words
    assert set(server.ALONE) < set(words)
    assert not any(word.startswith("--ServerApp.ip") for word in words)  # that is the Hub's
    assert environment["JUPYTER_CONFIG_PATH"].startswith(str(work))
    assert Path.cwd() == work


def test_a_coachs_account_gets_the_course(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("source", "marking"):
        (home / "course" / "instructor" / name).mkdir(parents=True)
    started = named("coach", monkeypatch)
    hub.main()
    assert f"--ServerApp.root_dir={home / 'course'}" in started[1]
    assert started[2][places.COURSE_ROOT] == str(home / "course")
    assert Path.cwd() == home / "course" / "instructor"  # where nbgrader finds its settings


@pytest.mark.parametrize(
    ("name", "hint"),
    [("anna", "named such as pupil-07"), ("pupil-08", "the folder of pupil number 7")],
)
def test_an_account_that_cannot_start_is_told(
    name: str, hint: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert hub.ready("pupil-07") == (places.default_work_folder(), False)
    started = named(name, monkeypatch)
    assert hub.main() == 1
    told = capsys.readouterr().err
    assert told.startswith(f"{name} cannot start: ")
    assert hint in told
    assert started == []


def test_a_lost_lesson_comes_back_with_the_next_login() -> None:
    folder, _ = hub.ready("pupil-07")
    shutil.rmtree(folder / "02-angles")
    hub.ready("pupil-07")
    assert (folder / "02-angles" / "angles.ipynb").is_file()
