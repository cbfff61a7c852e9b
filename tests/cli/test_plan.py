"""The command plan: words, JSON, a picture, statuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trimkit import cli, fit, places, plan

MOTORS = """format = "trimkit motors 1"
[[motor]]
number = 3
loop_mm = 432
mass_g = 2.05
"""


@pytest.fixture(autouse=True)
def few_flights(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = plan.Want

    def few(**given: float) -> plan.Want:
        return whole(**given, flights=10)  # type: ignore[arg-type]

    monkeypatch.setattr(plan, "Want", few)


def test_a_plan_as_words_with_a_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    motors, picture = tmp_path / "motors.toml", tmp_path / "plan.png"
    motors.write_text(MOTORS, "utf-8")
    given = ["plan", "hallfinch-46", "--height", "8", "--motors", str(motors)]
    assert cli.main([*given, "--picture", str(picture)]) == cli.DONE
    said = capsys.readouterr().out
    assert "Take motor 3." in said
    assert picture.with_suffix(".txt").read_text("utf-8").startswith("A hall of 8 m, 0.5 m of it")
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_a_fit_beside_the_file_is_used_and_a_broken_one_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.toml"
    demo = places.demo_folder() / "aeroplanes" / "hallfinch-46.toml"
    own.write_bytes(demo.read_bytes())
    record = fit.fit_path(own)
    record.write_text(
        'format = "trimkit fit 1"\naeroplane = "Hallfinch 46"\nflights = 9\nscatter = 1.0\n'
        "errors = {lift = 0.1, drag = 0.5, propeller = 0.2, circle = 0.2, motor = 0.1}\n"
        "correlations = [[1,0,0,0,0],[0,1,0,0,0],[0,0,1,0,0],[0,0,0,1,0],[0,0,0,0,1]]\n",
        "utf-8",
    )
    assert cli.main(["plan", str(own), "--height", "8", "--json"]) == cli.DONE
    data = json.loads(capsys.readouterr().out)
    assert data["fitted"] is True
    assert data["motors"][0]["number"] == "own"
    record.write_text("format = 1\n", "utf-8")
    assert cli.main(["plan", str(own), "--height", "8"]) == cli.BAD_INPUT
    assert "own.fit.toml has" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["--height", "900"], "'900' cannot be used. Allowed: 3 to 60 m; is it in feet"),
        (["--height", "9", "--touch", "0"], "Allowed: 1 to 90 %; is it a share of one?"),
        (["--height", "3", "--free", "2"], "no room to fly"),
        (["--height", "tall"], "'tall' cannot be used. Allowed: 3 to 60 m"),
        ([], "--height"),
    ],
)
def test_what_cannot_be_is_said(
    typed: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        status = cli.main(["plan", "hallfinch-46", *typed])
    except SystemExit as done:
        status = int(done.code or 0)
    assert status == cli.BAD_INPUT
    assert words in capsys.readouterr().err
