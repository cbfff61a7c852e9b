"""The command selfcheck: every broken thing is named with how to mend it."""

from __future__ import annotations

import json
import shutil
import webbrowser
from pathlib import Path

import pytest

from trimkit import cli, places
from trimkit.classroom import guard
from trimkit.cli import selfcheck
from trimkit.diagnosis import library


def found(name: str) -> tuple[str, str]:
    one = next(one for one in selfcheck.findings() if one.what == name)
    return one.state, one.words


def test_this_machine_works(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["selfcheck"]) == 0
    said = capsys.readouterr().out
    assert said.endswith("All that is needed works.\n")
    assert "the trainer flew 32 s" in said
    assert all(f"{name}: " in said for name in selfcheck.LOOKS)


def test_what_is_broken_is_named_and_the_rest_is_still_looked_at(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(selfcheck, "NEEDED", ("numpy", "no_such_package"))
    monkeypatch.setattr(places, "course_folder", lambda: tmp_path)
    monkeypatch.setattr(selfcheck.places, "default_work_folder", lambda: tmp_path / "none" / "w")

    def stale() -> None:
        raise library.StaleLibrary("it is old. Next: trimkit library build")

    monkeypatch.setattr(library, "fresh", stale)
    assert cli.main(["selfcheck", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    states = {one["what"]: (one["state"], one["words"]) for one in told["findings"]}
    assert list(states) == list(selfcheck.LOOKS)
    assert states["packages"][0] == "mend"
    assert "no_such_package cannot be loaded. Install trimkit again" in states["packages"][1]
    assert states["lessons"][1].startswith("0 lessons")
    assert states["library of flights"] == ("mend", "it is old. Next: trimkit library build")
    assert states["disk"][0] == "mend"
    assert states["Python"][0] == states["flight engine"][0] == "good"


def test_what_only_makes_less_possible_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "available", lambda: "")

    def none() -> None:
        raise webbrowser.Error("none")

    monkeypatch.setattr(webbrowser, "get", none)
    assert found("walls round pupils' code") == (
        "less", "no bubblewrap: pupils' code is only limited. Next: apt install bubblewrap"
    )  # fmt: skip
    assert found("browser")[0] == "less"
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 9, 2**20))
    assert found("disk")[0] == "mend"
    assert "1 MB are free" in found("disk")[1]
