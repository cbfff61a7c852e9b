"""The terminal leads through the readings, keeps each at once, and goes on where it was."""

from __future__ import annotations

import builtins
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from trimkit import cli, load_aeroplane, measurement
from trimkit.figures import questions

FIVE = ["My Wren", "46 cm", "102", "118,6", "11.9", "44"]


class Typist:
    """Types a list of answers, then ends the input as Ctrl-D does."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *answers: str) -> None:
        self.answers: Iterator[str] = iter(answers)
        self.asked = 0
        monkeypatch.setattr(builtins, "input", self)

    def __call__(self, prompt: str = "") -> str:
        self.asked += 1
        try:
            return next(self.answers)
        except StopIteration:
            raise EOFError from None


def sheet(folder: Path) -> dict[str, object]:
    return dict(measurement.load_sheet(folder / "own.sheet.toml")[0])


def test_five_readings_make_a_file_that_loads(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Typist(monkeypatch, *FIVE, "done")
    assert cli.main(["measure", str(tmp_path / "own.toml")]) == cli.DONE
    made = load_aeroplane(tmp_path / "own.toml")
    assert made.name == "My Wren"
    assert made.build.wing.span_mm == 460
    said = capsys.readouterr().out
    assert "46 cm is 460 mm" in said
    assert "That is enough to start" in said
    assert "Guessed from the trainer" in said
    assert "trimkit inspect" in said


def test_each_answer_is_kept_at_once_and_gone_on_with(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    place = str(tmp_path / "own.toml")
    for count in range(1, 4):
        Typist(monkeypatch, FIVE[count - 1])
        assert cli.main(["measure", place]) == cli.NO
        assert len(sheet(tmp_path)) == count
        assert not (tmp_path / "own.toml").exists()
    assert "Kept in" in capsys.readouterr().out
    Typist(monkeypatch, *FIVE[3:], "done")
    assert cli.main(["measure", place]) == cli.DONE


def test_a_power_cut_in_an_answer_leaves_the_ones_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut(prompt: str = "") -> str:
        if len(calls) == 3:
            raise SystemExit(9)
        calls.append(prompt)
        return FIVE[len(calls) - 1]

    calls: list[str] = []
    monkeypatch.setattr(builtins, "input", cut)
    with pytest.raises(SystemExit):
        cli.main(["measure", str(tmp_path / "own.toml")])
    assert list(sheet(tmp_path)) == ["name", "span_mm", "root_chord_mm"]


def test_back_skip_and_enter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    typed = ["back", "My Wren", "?", "back", "460", "102", "back", "", "118.6", "stop"]
    Typist(monkeypatch, *typed)
    assert cli.main(["measure", str(tmp_path / "own.toml")]) == cli.NO
    assert sheet(tmp_path) == {
        "name": "My Wren", "span_mm": 460.0, "root_chord_mm": 102.0, "wing_station_mm": 118.6,
    }  # fmt: skip


def test_slips_are_asked_again_and_doubts_asked_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Typist(monkeypatch, "W", "46", "", "460", "102", "12", "no", "done", "12", "yes", "stop")
    assert cli.main(["measure", str(tmp_path / "own.toml")]) == cli.NO
    said = capsys.readouterr().out
    for words in ("centimetres: did you mean 460?", "Nothing was typed", "12 centimetres",
                  "Not kept. Type it again.", "Not yet: answer or skip"):  # fmt: skip
        assert words in said
    assert sheet(tmp_path)["wing_station_mm"] == 12.0


def test_all_questions_can_be_answered_to_the_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = measurement.readings_of(measurement.trainer())
    typist = Typist(monkeypatch, *(str(value) for value in read.values()))
    assert cli.main(["measure", str(tmp_path / "own.toml")]) == cli.DONE
    assert typist.asked == len(measurement.NAMES)
    assert "Nothing guessed" in load_aeroplane(tmp_path / "own.toml").note


def test_the_file_before_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "own.toml"
    Typist(monkeypatch, *FIVE, "done")
    cli.main(["measure", str(place)])
    first = place.read_text()
    assert cli.main(["measure", str(place), "--write"]) == cli.DONE  # the same again: no copy
    assert not (tmp_path / "own.before.toml").exists()
    measurement.save_sheet({**measurement.load_sheet(tmp_path / "own.sheet.toml")[0],
                            "span_mm": 450.0}, tmp_path / "own.sheet.toml")  # fmt: skip
    assert cli.main(["measure", str(place), "--write"]) == cli.DONE
    assert (tmp_path / "own.before.toml").read_text() == first
    assert load_aeroplane(place).build.wing.span_mm == 450


def test_pictures_are_saved_with_their_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Typist(monkeypatch)
    cli.main(["measure", str(tmp_path / "own.toml"), "--pictures", str(tmp_path / "pictures")])
    saved = sorted(path.stem for path in (tmp_path / "pictures").glob("*.png"))
    assert saved == sorted(questions.PICTURES)
    assert (tmp_path / "pictures" / "edges.txt").read_text().startswith("Heights above")
    assert "overview.png" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (["own.txt"], "my-aeroplane.toml"),
        (["own.sheet.toml"], "my-aeroplane.toml"),
        (["nowhere/own.toml"], "no folder nowhere"),
        (["there.toml"], "overwritten"),
        (["own.toml", "--write"], "no sheet own.sheet.toml"),
        (["bad.toml"], "bad.sheet.toml"),
    ],
)
def test_what_cannot_be_used_is_said_and_nothing_is_written(
    arguments: list[str],
    hint: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there.toml").write_text("mine")
    (tmp_path / "bad.sheet.toml").write_text("no sheet")
    before = {path.name: path.read_text() for path in tmp_path.iterdir()}
    assert cli.main(["measure", *arguments]) == cli.BAD_INPUT
    assert hint in capsys.readouterr().err
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == before


def test_json_asks_nothing_and_names_what_was_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "own.toml"
    assert cli.main(["measure", str(file), "--json"]) == cli.BAD_INPUT
    assert "--json asks nothing" in capsys.readouterr().err
    Typist(monkeypatch, *FIVE, "done")
    cli.main(["measure", str(file)])
    for number in ("", "-2", "-3"):  # a kept copy is never written over
        file.write_text(f"older{number}\n", "utf-8")
        capsys.readouterr()
        assert cli.main(["measure", str(file), "--write", "--json"]) == cli.DONE
        data = json.loads(capsys.readouterr().out)
        assert data["kept"].endswith(f"own.before{number}.toml")
        assert Path(data["kept"]).read_text("utf-8") == f"older{number}\n"
        assert "chord" in " ".join(data["guessed"])
