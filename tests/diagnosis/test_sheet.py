"""A team's sheet: both forms say the same, and every bad row is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from trimkit import places
from trimkit.diagnosis import sheet

CSV = """action,what,turns,date,shim_mm,duration_s,turns_left,found,decalage_deg
fly,,750,2026-11-24,,5,715,,
look,tail,,2026-11-24,,,,no,
measure,ruler,,2026-11-24,,,,,0.4
change,,750,2026-11-24,0.8,31,525,,
"""
TOML = """
[[entry]]
turns = 750
date = "2026-11-24"
duration_s = 5
turns_left = 715
[[entry]]
action = "look"
what = "tail"
date = "2026-11-24"
found = false
[[entry]]
action = "measure"
what = "ruler"
date = "2026-11-24"
decalage_deg = 0.4
[[entry]]
action = "change"
turns = 750
date = "2026-11-24"
shim_mm = 0.8
duration_s = 31
turns_left = 525
"""


def written(folder: Path, text: str, name: str = "evening.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_both_forms_say_the_same(tmp_path: Path) -> None:
    one = sheet.read(written(tmp_path, CSV))
    assert one == sheet.read(written(tmp_path, TOML, "evening.toml"))
    assert [entry.action for entry in one.entries] == ["fly", "look", "measure", "change"]
    assert one.flight(2).changes == {"shim_mm": 0.8}
    assert one.flight(1).result.features == {"duration_s": 5.0, "turns_left": 715.0}
    assert one.entry(2).result.readings == {"found": 0.0}


def test_a_look_may_name_what_was_seen(tmp_path: Path) -> None:
    named = sheet.read(written(tmp_path, CSV.replace(",no,", ",Loose-Tail,"))).entry(2).result
    assert (named.readings, named.named) == ({"found": 1.0}, "loose-tail")
    plain = sheet.read(written(tmp_path, CSV.replace(",no,", ",yes,"))).entry(2).result
    assert (plain.readings, plain.named) == ({"found": 1.0}, "")


@pytest.mark.parametrize("apart", [";", "\t"])
def test_what_spreadsheets_make_of_it_is_read(tmp_path: Path, apart: str) -> None:
    made = "\ufeff" + CSV.replace(",", apart).replace("0.8", "0,8").replace("\n", "\r\n")
    assert sheet.read(written(tmp_path, made)).flight(2).changes == {"shim_mm": 0.8}


def test_the_fin_may_be_moved_and_measured(tmp_path: Path) -> None:
    text = "action,what,turns,fin_deg\nfly,,700,\nchange,,700,0.5\nmeasure,ruler,,2.1\n"
    log = sheet.read(written(tmp_path, text))
    assert log.flight(2).changes == {"fin_deg": 0.5}
    assert log.entry(3).result.readings == {"fin_deg": 2.1}
    assert not log.entry(3).changes


def test_every_bad_row_is_named_and_none_is_dropped(tmp_path: Path) -> None:
    bad = CSV + "flown,,750,2026-11-24,,5,700,,\nfly,,many,2026-11-24,,5,700,,\n"
    with pytest.raises(sheet.SheetError) as told:
        sheet.read(written(tmp_path, bad))
    said = str(told.value)
    assert "evening.csv has 2 to mend" in said
    assert "line 6: action is 'flown'; allowed is fly, look" in said
    assert "line 7: turns is 'many'; allowed is a number" in said


@pytest.mark.parametrize(
    ("text", "name", "hint"),
    [
        ("action,duration\nfly,3\n", "a.csv", "did you mean duration_s"),
        ("action,what,found\nlook,tail,perhaps\n", "a.csv", "allowed is yes, no, something"),
        ("action,what,found\nlook,taill,yes\n", "a.csv", "'taill' for look; allowed is: tail"),
        ("action,what,found\nlook,,yes\n", "a.csv", "allowed is: tail, wing, fin"),
        ("action,what,turns\nrepair,loose tail,700\n", "a.csv", "allowed is: loose-tail"),
        ("action,turns\nfly,700,9,9\n", "a.csv", "more cells than there are columns"),
        ("", "a.csv", "no rows"),
        ("[[flight]]\nturns=3\n", "a.toml", r"write \[\[entry\]\]"),
        ("entry = [", "a.toml", "cannot be read"),
        ("a." * 40_000 + "a = 1", "a.toml", "more than 20 steps"),
        ("x", "a.ods", "allowed is .csv or .toml"),
        ("action,turns\n" + "fly,1\n" * 501, "a.csv", "allowed is 500"),
    ],
)
def test_slips_are_answered(tmp_path: Path, text: str, name: str, hint: str) -> None:
    with pytest.raises(sheet.SheetError, match=hint):
        sheet.read(written(tmp_path, text, name))


def test_the_demo_sheets_are_good() -> None:
    found = sorted((places.demo_folder() / "sheets").iterdir())
    assert [path.name for path in found] == ["thursday.toml", "tuesday.csv"]
    assert all(len(sheet.read(path).flights) == 2 for path in found)
