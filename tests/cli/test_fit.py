"""The command fit: curves from readings, an aeroplane from a logbook, words and statuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trimkit import cli, fit, load_aeroplane, places, rules
from trimkit.aeroplane import Aeroplane

DEMO = places.demo_folder()
READINGS, MOTORS = DEMO / "torque" / "readings.csv", DEMO / "torque" / "motors.toml"


def test_readings_become_curves_in_the_list_of_motors(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "motors.toml"
    given = ["fit", "torque", str(READINGS), "--motors", str(MOTORS), "--output", str(out)]
    assert cli.main([*given, "--pictures", str(tmp_path / "pictures")]) == cli.DONE
    said = capsys.readouterr().out
    assert "Left out, too far from the others: line 19" in said
    assert "Beyond the turns that were read it says nothing" in said
    motors = rules.read_motors(out)
    assert [one.number for one in motors] == ["1", "2", "3"]
    assert all(one.strength and one.read_to_turns for one in motors)
    assert motors[0].winds == 5  # what was in the list stays
    names = {path.name for path in (tmp_path / "pictures").iterdir()}
    assert {"motor-1.png", "motor-1.txt"} <= names
    first = out.read_bytes()
    assert cli.main(given) == cli.DONE  # again: the first is kept
    assert (tmp_path / "motors.before.toml").read_bytes() == first
    assert cli.main(given) == cli.DONE
    assert (tmp_path / "motors.before-2.toml").read_bytes() == first


def test_an_unknown_motor_and_a_bad_row_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "readings.csv"
    path.write_text("motor,turns,torque\n8,300,x\n8,400,2\n", "utf-8")
    assert cli.main(["fit", "torque", str(path), "--json"]) == cli.NO
    data = json.loads(capsys.readouterr().out)
    assert data["motors"] == []
    assert "motor 8: its length and mass are not known" in data["refused"][0]
    assert data["bad_rows"][0].startswith("line 2, torque_mNm: 'x' is given")


def test_a_fitted_aeroplane_is_written_with_its_record_and_nothing_is_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def at_once(evidence: fit.Evidence, one: Aeroplane, *_: object) -> fit.FittedAeroplane:
        unit = tuple(tuple(float(a == b) for b in range(5)) for a in range(5))
        return fit.FittedAeroplane(
            aeroplane=one, before=one, figures=(), level=(), covariance=unit,
            used=evidence.flights, left_out=(), remarks=("line 9: a wall",), scatter=1.0,
        )  # fmt: skip

    monkeypatch.setattr(fit, "fit_flights", at_once)
    out = tmp_path / "own.toml"
    given = ["fit", "flights", str(DEMO / "logbooks" / "fit.csv"), "--aeroplane", "hallfinch-46"]
    given += ["--motors", str(MOTORS), "--output", str(out)]
    out.write_text("an older file\n", "utf-8")
    assert cli.main(given) == cli.DONE
    said = capsys.readouterr().out
    assert "from 11 flights" in said
    assert "Not counted: line 9: a wall" in said
    assert "own.before.toml" in said
    assert "Next: trimkit plan" in said
    assert (tmp_path / "own.before.toml").read_text("utf-8") == "an older file\n"
    assert load_aeroplane(out).name == "Hallfinch 46"
    assert fit.read_fit(tmp_path / "own.fit.toml").flights == 11
    assert cli.main([*given, "--json"]) == cli.DONE
    data = json.loads(capsys.readouterr().out)
    assert data["written"] == [str(out), str(tmp_path / "own.fit.toml")]
    assert (tmp_path / "own.fit.before.toml").exists()
    assert cli.main([*given[:-1], str(tmp_path / "own.csv")]) == cli.BAD_INPUT


def test_too_few_flights_are_told_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "own.toml"
    book = tmp_path / "book.csv"
    book.write_text("date,turns,time_s\n2026-11-26,900,60\n", "utf-8")
    given = ["fit", "flights", str(book), "--aeroplane", "hallfinch-46", "--output", str(out)]
    assert cli.main(given) == cli.NO
    assert "1 flights can be used; allowed is 3 or more" in capsys.readouterr().out
    assert not out.exists()


def test_a_logbook_of_another_aeroplane_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    book = DEMO / "logbooks" / "fit.csv"
    assert cli.main(["fit", "flights", str(book), "--aeroplane", "stubwren-33"]) == cli.BAD_INPUT
    said = capsys.readouterr().err
    assert "no flight of" in said
    assert "hallfinch-46" in said
    assert "--name NAME" in said


def test_columns_and_help(capsys: pytest.CaptureFixture[str]) -> None:
    for given, words in (
        (["fit", "torque", "--columns"], "torque_mNm: what the meter shows"),
        (["fit", "torque", "--help"], "Exit status 1"),
        (["fit", "flights", "--help"], "the file that was there is kept beside it"),
    ):
        with pytest.raises(SystemExit) as done:
            cli.main(given)
        assert done.value.code == cli.DONE
        assert words in " ".join(capsys.readouterr().out.split())
