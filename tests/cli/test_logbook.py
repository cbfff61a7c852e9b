"""The command logbook prints flights, slips, changes; draws; and hands an evening on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from trimkit import cli, diagnosis, logbook, places

DEMOS = places.demo_folder() / "logbooks"


def test_a_clean_season(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = ["logbook", str(DEMOS / "season.csv"), "--pictures", str(tmp_path / "pictures")]
    assert cli.main(given) == cli.DONE
    said = capsys.readouterr().out
    assert "26 flights on 6 evenings, 0 rows to mend." in said
    assert "tail shim -0.8 to 0 mm" in said
    assert "The flights became longer." in said
    assert "Cannot tell yet" in said
    saved = sorted(path.name for path in (tmp_path / "pictures").iterdir())
    assert saved == [f"{n}.{end}" for n in ("times", "torque", "winds") for end in ("png", "txt")]


def test_slips_are_shown_and_the_status_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    path = DEMOS / "slips.csv"
    before = path.read_bytes()
    assert cli.main(["logbook", str(path)]) == cli.NO
    said = capsys.readouterr().out
    for words in ("line 5, time_s: '1:04'", "line 11, date: '3/12/2026'", "'Weather'",
                  "26/11/2026 was read as 2026-11-26; good?"):  # fmt: skip
        assert words in said
    assert path.read_bytes() == before


def test_json_holds_every_row(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["logbook", str(DEMOS / "slips.csv"), "--json"]) == cli.NO
    data = json.loads(capsys.readouterr().out)
    assert len(data["flights"]) + len(data["bad_rows"]) == 16
    assert data["flights"][0]["date"] == "2026-11-12"
    assert data["effects"][0]["verdict"] == "cannot tell yet"


def test_one_aeroplane_and_a_clean_copy(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = tmp_path / "clean.csv"
    given = ["logbook", str(DEMOS / "slips.csv")]
    assert cli.main([*given, "--dates", "day-first", "--write", str(copy)]) == cli.NO
    assert len(logbook.read(copy).bad_rows) == 8
    assert cli.main([*given, "--write", str(copy)]) == cli.BAD_INPUT
    assert "name a new file" in capsys.readouterr().err
    assert cli.main([*given, "--aeroplane", "wren"]) == cli.BAD_INPUT
    assert "aeroplanes are longreed-42" in capsys.readouterr().err
    assert cli.main([*given, "--aeroplane", "longreed-42"]) == cli.NO


def test_an_evening_goes_to_the_diagnosis(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The evening was flown by the model with too little decalage, and shimmed on its way."""
    monkeypatch.setattr(diagnosis.steps, "ranked", lambda believed: ())  # a quarter of a minute
    monkeypatch.setattr(diagnosis.steps, "advice", lambda believed: Said())
    given = ["logbook", str(DEMOS / "short.csv"), "--evening", "2026-11-26"]
    assert cli.main(given) == cli.DONE
    said = capsys.readouterr().out
    head, _, rest = said.partition("The evening of 2026-11-26, stubwren-33:\n")
    assert "5 flights" in head
    assert rest.startswith("too little decalage: ")
    assert "One setting, if you must fly now:\nfly" in rest


class Said:
    """Stands for an advice."""

    def words(self) -> str:
        return "fly"


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (["nowhere.csv"], "nowhere.csv"),
        (["FILE", "--evening", "26.11.2026"], "year-month-day"),
        (["FILE", "--evening", "2026-01-01"], "the last evenings are 2026-11-26"),
        (["FILE", "--dates", "mixed"], "day-first"),
    ],
)
def test_bad_input(arguments: list[str], hint: str, capsys: pytest.CaptureFixture[str]) -> None:
    given = [str(DEMOS / "short.csv") if one == "FILE" else one for one in arguments]
    try:
        status = cli.main(["logbook", *given])
    except SystemExit as ended:
        status = int(ended.code or 0)
    assert status == cli.BAD_INPUT
    assert hint in capsys.readouterr().err


def test_columns_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["logbook", "--columns"])
    assert ended.value.code == cli.DONE
    assert "launch_torque_mNm: torque meter after backing off" in capsys.readouterr().out
