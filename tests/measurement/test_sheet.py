"""The sheet is kept whole, read back, and slips in it are named together."""

from __future__ import annotations

from pathlib import Path

import pytest

from trimkit.measurement import load_sheet, readings_of, save_sheet, sheet_path, trainer


def test_a_sheet_comes_back(tmp_path: Path) -> None:
    sheet = {**readings_of(trainer()), "fin_left_mm": None}
    place = sheet_path(tmp_path / "own.toml")
    assert place.name == "own.sheet.toml"
    save_sheet(sheet, place, {"span_mm": 1.5})
    kept, errors = load_sheet(place)
    assert kept == sheet
    assert errors["span_mm"] == 1.5
    assert errors["root_chord_mm"] == 0.5
    assert errors["torque_mNm"] == pytest.approx(0.05 * float(sheet["torque_mNm"] or 0), abs=1e-3)
    assert list(tmp_path.iterdir()) == [place]


def test_a_write_that_fails_leaves_the_old_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "own.sheet.toml"
    save_sheet({"span_mm": 460.0}, place)

    def fail(*_: object) -> None:
        raise OSError("disc full")

    monkeypatch.setattr("os.replace", fail)
    with pytest.raises(OSError, match="disc full"):
        save_sheet({"span_mm": 300.0}, place)
    assert load_sheet(place)[0] == {"span_mm": 460.0}
    assert list(tmp_path.iterdir()) == [place]


def test_slips_in_a_sheet_are_named_together(tmp_path: Path) -> None:
    place = tmp_path / "own.sheet.toml"
    place.write_text(
        'format = "trimkit measuring sheet 1"\nskipped = ["nonsense"]\n[readings]\n'
        "span_mm = 46.0\nwings = 3\n[errors]\nspan_mm = -1\n"
    )
    with pytest.raises(ValueError, match="4 to mend") as error:
        load_sheet(place)
    for hint in ("460", "'wings'", "'nonsense'", "errors.span_mm"):
        assert hint in str(error.value)


HEAD = 'format = "trimkit measuring sheet 1"\n'


@pytest.mark.parametrize(
    "text", [HEAD + "skipped = [[1]]", HEAD + "[readings]\nspan_mm = 1" + "0" * 400,
             HEAD + "a." * 40_000 + "a = 1"],
)  # fmt: skip
def test_an_odd_sheet_is_refused_in_words(text: str, tmp_path: Path) -> None:
    place = tmp_path / "own.sheet.toml"
    place.write_text(text)
    with pytest.raises(ValueError, match=r"own\.sheet\.toml"):
        load_sheet(place)


@pytest.mark.parametrize("text", ["", "a = ", 'format = "other"', "x" * 200_000, "\x00"])
def test_another_file_is_refused(text: str, tmp_path: Path) -> None:
    place = tmp_path / "own.sheet.toml"
    place.write_text(text)
    with pytest.raises(ValueError, match=r"own\.sheet\.toml"):
        load_sheet(place)
