"""The team's commands have --help and --json; what they print with --json is nothing but JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trimkit import cli, places

DEMO = places.demo_folder()
CARD, LOG = str(DEMO / "rules" / "example-card.toml"), str(DEMO / "logbooks" / "fit.csv")
READINGS, MOTORS = str(DEMO / "torque" / "readings.csv"), str(DEMO / "torque" / "motors.toml")
COMMANDS = {
    "inspect": ["inspect", "hallfinch-46"],
    "logbook": ["logbook", LOG],
    "contest": ["contest", CARD, "--aeroplane", "hallfinch-46", "--motors", MOTORS],
    "draw": ["draw", "hallfinch-46", "--output", "own.svg"],
    "letter": ["letter", "--aeroplane", "hallfinch-46", "--output", "letter.html"],
    "fit torque": ["fit", "torque", READINGS, "--motors", MOTORS],
}


@pytest.mark.parametrize("name", [*COMMANDS, "measure", "plan", "fit flights"])
def test_help_names_json(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as done:
        cli.main([*name.split(), "--help"])
    assert done.value.code == cli.DONE
    assert "--json" in capsys.readouterr().out


@pytest.mark.parametrize("name", COMMANDS)
def test_json_is_all_that_is_printed(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main([*COMMANDS[name], "--json"]) in (cli.DONE, cli.NO)
    assert isinstance(json.loads(capsys.readouterr().out), dict)


def test_a_letter_read_back_as_json(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main([*COMMANDS["letter"], "--words", "it dives"]) == cli.DONE
    capsys.readouterr()
    assert cli.main(["letter", "--read", "letter.html", "--output", "own.toml", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data == {
        "aeroplane": "Hallfinch 46", "file": "own.toml", "log": None, "words": "it dives"
    }  # fmt: skip
