"""The command inspect prints what the inspection found, and refuses what is no aeroplane."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trimkit import cli


def test_it_says_angles_and_what_to_fly(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["inspect", "hallfinch-46"]) == cli.DONE
    said = capsys.readouterr().out
    for words in ("decalage: 1.4°", "static margin: 0.24", "Nothing stands out", "Low-power test"):
        assert words in said


def test_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["inspect", "stubwren-33", "--json"]) == cli.DONE
    data = json.loads(capsys.readouterr().out)
    assert data["aeroplane"] == "Stubwren 33"
    assert data["findings"] == []


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [(["nothing.toml"], "hallfinch-46"), (["hallfinch-46", "--temperature", "70"], "40")],
)
def test_bad_input(arguments: list[str], hint: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["inspect", *arguments]) == cli.BAD_INPUT
    assert hint in capsys.readouterr().err


def test_a_broken_file_is_named_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "own.toml").write_text("format = 3\n")
    assert cli.main(["inspect", str(tmp_path / "own.toml")]) == cli.BAD_INPUT
    assert "line 1, format" in capsys.readouterr().err
