"""A logbook of any country's spreadsheet: read whole, nothing dropped, no claim without repeats."""

from __future__ import annotations

import csv
import dataclasses
import datetime
import io
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from trimkit import logbook, places
from trimkit.log import Log
from trimkit.logbook import FlightRow, Logbook, differences, effects, reads, steps, to_log
from trimkit.units import MNM_PER_OUNCE_INCH

DAY = datetime.date(2026, 11, 26)
DEMOS = places.demo_folder() / "logbooks"


def book(*rows: str, head: str = "date;aeroplane;turns;setting;time_s;hit") -> Logbook:
    return reads("\n".join([head, *rows]))


def flown(*times: float, shim: float = 0.0, **others: object) -> list[FlightRow]:
    setting = {"shim_mm": shim} if shim else {}
    return [
        FlightRow(date=DAY, aeroplane="wren", turns=700, setting=setting, time_s=t, **others)  # type: ignore[arg-type]
        for t in times
    ]


# --- reading ---


@pytest.mark.parametrize("mark", [";", "\t", ","])
@pytest.mark.parametrize("start", ["", "\ufeff", "\n\n", "sep=?\n"])
def test_separators_and_what_stands_before_the_head(mark: str, start: str, tmp_path: Path) -> None:
    comma = "0.8" if mark == "," else "0,8"
    text = f"date;turns;shim_mm;time_s\r\n2026-11-26;700;{comma};41\r\n".replace(";", mark)
    path = tmp_path / "log.csv"
    path.write_bytes((start.replace("?", mark) + text).encode())
    read = logbook.read(path)
    assert read.bad_rows == ()
    assert read.flights[0].setting == {"shim_mm": 0.8}
    assert (read.flights[0].turns, read.flights[0].time_s) == (700, 41.0)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "cp1252"])
def test_encodings(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes("date;hall;time_s\n2026-11-26;Forêt;41\n".encode(encoding))
    read = logbook.read(path)
    assert read.flights[0].hall == "Forêt"
    assert bool(read.remarks) == (encoding == "cp1252")


def test_a_quoted_decimal_comma_between_commas() -> None:
    read = reads('date,shim_mm,time_s\n2026-11-26,"0,8",41\n2026-11-26,0,8,41\n')
    assert read.flights[0].setting["shim_mm"] == 0.8
    assert "quotes" in read.bad_rows[0].words()


@pytest.mark.parametrize(
    ("text", "day", "remarked"),
    [
        ("2026-11-26", DAY, False),
        ("2026-11-26 18:30", DAY, True),
        ("2026/11/26", DAY, True),
        ("26.11.2026", DAY, True),
        ("26.11.26", DAY, True),
        ("26/11/2026", DAY, True),
        ("11/26/2026", DAY, True),
        ("26 Nov 2026", DAY, True),
        ("26. November 2026", DAY, True),
        ("46352", DAY, True),
        ("5/5/2026", datetime.date(2026, 5, 5), True),
    ],
)
def test_a_date_is_read_when_it_leaves_no_doubt(
    text: str, day: datetime.date, remarked: bool
) -> None:
    read = book(f"{text};wren;700;;41;")
    assert [flight.date for flight in read.flights] == [day]
    assert bool(read.remarks) == (remarked or text != "2026-11-26")


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("3/12/2026", "is it 2026-12-03 or 2026-03-12?"),
        ("30/30/2026", "no day"),
        ("2026-02-30", "there is no day 30 in month 2"),
        ("1926-02-03", "1926"),
        ("Thursday", "year-month-day"),
        ("", "write the day"),
    ],
)
def test_a_date_in_doubt_is_asked_about(text: str, hint: str) -> None:
    read = book(f"{text};wren;700;;41;")
    assert read.flights == ()
    assert hint in read.bad_rows[0].words()
    assert "2026-11-26" in read.bad_rows[0].words()  # how it is wanted


def test_the_order_of_a_date_may_be_given() -> None:
    text = "date;time_s\n3/12/2026;41\n"
    assert reads(text, "day-first").flights[0].date == datetime.date(2026, 12, 3)
    assert reads(text, "month-first").flights[0].date == datetime.date(2026, 3, 12)
    with pytest.raises(ValueError, match="day-first"):
        reads(text, "year-first")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("column", "cell", "hint"),
    [
        ("time_s", "1:04", "did you mean 64?"),
        ("time_s", "41 s", "did you mean 41?"),
        ("time_s", "long", "plain number"),
        ("time_s", "0", "0.1 to 3600"),
        ("turns", "1.150", "did you mean 1150?"),
        ("turns", "700.5", "whole number"),
        ("turns", "9000", "1 to 6000"),
        ("turns_left", "-5", "did you mean 5?"),
        ("peak_torque_mNm", "0.05", "oz in"),
        ("temperature_c", "195", "did you mean 19.5?"),
        ("circle", "up", "left, right, straight"),
        ("setting", "shim a bit", "names are tail shim"),
        ("setting", "wheel +1", "names are tail shim"),
        ("setting", "shim +40", "'shim +40' is given"),
        ("shim_mm", "40", "-12 to 12"),
        ("seen", "x" * 401, "up to 400 letters"),
    ],
)
def test_a_slip_is_named_with_line_column_given_and_allowed(
    column: str, cell: str, hint: str
) -> None:
    read = reads(f"date;{column}\n2026-11-26;\n2026-11-26;{cell}\n")
    assert len(read.flights) == 1
    words = read.bad_rows[0].words()
    assert words.startswith(f"line 3, {column}: {cell[:60]!r} is given; allowed is ")
    assert hint in words


def test_all_slips_of_a_row_are_named_and_nothing_is_dropped() -> None:
    read = reads("date;turns;turns_left;time_s\n2026-13-26;x;y;z\n2026-11-26;700;740;41\n")
    assert [len(bad.problems) for bad in read.bad_rows] == [4, 1]
    assert "swapped" in read.bad_rows[1].words()
    assert read.bad_rows[0].cells["turns_left"] == "y"


def test_launch_torque_over_peak_and_wild_laps() -> None:
    head = "date;peak_torque_mNm;launch_torque_mNm;time_s;laps\n"
    read = reads(head + "2026-11-26;3;4;41;3\n2026-11-26;4;3;41;90\n")
    assert "swapped" in read.bad_rows[0].words()
    assert "laps" in read.bad_rows[1].words()


def test_ounce_inches_have_columns_of_their_own() -> None:
    read = reads("date;launch torque oz in;time (s)\n2026-11-26;0,5;41\n")
    assert read.flights[0].launch_torque_mNm == pytest.approx(0.5 * MNM_PER_OUNCE_INCH)
    assert read.flights[0].time_s == 41


def test_settings_are_carried_down_for_each_aeroplane() -> None:
    read = book(
        "2026-11-26;wren;700;shim +0,4; ", "2026-11-26;;700;;41;", "2026-11-26;reed;700;;41;",
        "2026-11-26;wren;700;fin: +1 °;41;", "2026-11-26;wren;700;shim 0;41;",
        "2026-11-26;wren;700;as marked;41;",
    )  # fmt: skip
    assert [dict(flight.setting) for flight in read.flights] == [
        {"shim_mm": 0.4}, {"shim_mm": 0.4}, {}, {"shim_mm": 0.4, "fin_deg": 1.0},
        {"fin_deg": 1.0}, {},
    ]  # fmt: skip
    assert [flight.aeroplane for flight in read.flights[:2]] == ["wren", "wren"]
    assert read.flights[3].setting_words() == "tail shim +0.4 mm; fin +1 °"


def test_the_setting_of_a_bad_row_holds_for_those_after_it() -> None:
    read = book("2026-11-26;wren;700;shim +0.4;long;", "2026-11-26;wren;700;;41;")
    assert dict(read.flights[0].setting) == {"shim_mm": 0.4}
    unknown = book("2026-11-26;wren;700;shim much;41;", "2026-11-26;wren;700;;41;")
    assert any("may stand otherwise" in remark for remark in unknown.remarks)


def test_a_name_is_cut_to_a_letter() -> None:
    read = reads("date;launcher\n2026-11-26;Charlie\n")
    assert read.flights[0].launcher == "C"
    assert "looks like a name" in read.remarks[0]


@pytest.mark.parametrize(
    ("cell", "hits"), [("", None), ("nothing", 0), ("-", 0), ("wall", 1), ("wall, light", 2)]
)
def test_what_it_hit(cell: str, hits: int | None) -> None:
    assert book(f"2026-11-26;wren;700;;41;{cell}").flights[0].hits == hits


@pytest.mark.parametrize(
    ("raw", "hint"),
    [
        (b"", "empty"),
        (b"turns;time_s\n700;41\n", "no column date"),
        (b"date;time;time_s\n2026-11-26;1;2\n", "twice"),
        (b"PK\x03\x04rest", "save as, CSV"),
        (b'date;seen\n2026-11-26;"open\n' + b"a;b\n" * 3, ""),
        (b"date\n" + b"2026-11-26\n" * 6000, "5000"),
    ],
)
def test_a_file_that_is_no_logbook(raw: bytes, hint: str, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(raw)
    if not hint:  # a quote left open swallows the rest: the row is kept and shown
        assert len(logbook.read(path).flights) == 1
        return
    with pytest.raises(ValueError, match=hint):
        logbook.read(path)


def test_unknown_columns_are_kept_and_a_misspelt_one_is_guessed() -> None:
    read = reads("date;weather;turns_lef\n2026-11-26;rain;30\n")
    assert read.flights[0].other == {"weather": "rain", "turns_lef": "30"}
    assert "did you mean turns_left?" in " ".join(read.remarks)


@settings(derandomize=True, deadline=None, max_examples=100)
@given(st.text(max_size=200))
def test_no_text_breaks_the_reader(text: str) -> None:
    head = "date;turns;time_s\n"
    read = reads(head + text)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=";")
    expected = sum(any(cell.strip() for cell in row) for row in rows)
    assert len(read.flights) + len(read.bad_rows) == expected


# --- writing ---


@pytest.mark.parametrize("name", ["season", "slips", "short"])
def test_writing_keeps_every_row(name: str, tmp_path: Path) -> None:
    read = logbook.read(DEMOS / f"{name}.csv")
    logbook.write(read, tmp_path / "again.csv")
    again = logbook.read(tmp_path / "again.csv")
    strip = [dataclasses.replace(flight, line=0) for flight in read.flights]
    assert [dataclasses.replace(flight, line=0) for flight in again.flights] == strip
    kept = [{k: v for k, v in bad.cells.items() if v} for bad in read.bad_rows]
    assert [{k: v for k, v in bad.cells.items() if v} for bad in again.bad_rows] == kept
    assert list(tmp_path.iterdir()) == [tmp_path / "again.csv"]


def test_a_row_with_a_cell_too_many_stays_bad_when_written(tmp_path: Path) -> None:
    read = reads("date,shim_mm,time_s\n2026-11-26,0,8,41\n")
    again = reads(logbook.dumps(read))
    assert again.flights == ()
    assert "quotes" in again.bad_rows[0].words()


def test_the_demo_logbooks() -> None:
    clean, slips, short = (
        logbook.read(DEMOS / f"{name}.csv") for name in ("season", "slips", "short")
    )
    assert (clean.bad_rows, clean.remarks) == ((), ())
    assert len(clean.evenings) == 6
    assert len(slips.bad_rows) == 9
    assert len(slips.flights) == 7
    assert len(short.flights) == 5
    assert len(logbook.read(DEMOS / "slips.csv", "day-first").bad_rows) == 8


# --- one change at a time ---


def test_steps_name_what_changed() -> None:
    read = book(
        "2026-11-26;wren;700;;41;", "2026-11-26;wren;710;;43;", "2026-11-26;wren;700;shim +0.4;50;",
        "2026-11-26;wren;900;fin +1;60;",
    )  # fmt: skip
    found = steps(read)
    assert [len(step.changed) for step in found] == [0, 1, 2]
    assert "a repeat" in found[0].words()
    assert "tail shim 0 to +0.4 mm" in found[1].words()
    assert "nobody can tell which did it" in found[2].words()


def test_launch_torque_decides_over_turns_and_motor() -> None:
    (one,) = flown(40.0, motor="1", launch_torque_mNm=3.0)
    same = dataclasses.replace(one, motor="2", turns=760, launch_torque_mNm=3.1)
    more = dataclasses.replace(one, launch_torque_mNm=3.6)
    assert differences(one, same) == ()
    assert differences(one, more) == ("launch torque 3 to 3.6",)
    without = dataclasses.replace(same, launch_torque_mNm=None)
    assert len(differences(one, without)) == 2  # the turns and the motor


def test_launcher_hall_and_cold_are_changes_too() -> None:
    (one,) = flown(40.0, launcher="A", hall="school", temperature_c=20.0)
    for change in ({"launcher": "B"}, {"hall": "town"}, {"temperature_c": 12.0}):
        assert len(differences(one, dataclasses.replace(one, **change))) == 1  # type: ignore[arg-type]
    assert differences(one, dataclasses.replace(one, temperature_c=18.0, launcher="")) == ()


# --- what each change did ---


def test_the_interval_is_students_for_the_pooled_logarithms() -> None:
    before, after = (58.0, 62.0, 66.0), (80.0, 84.0, 90.0)
    (effect,) = effects(Logbook((*flown(*before), *flown(*after, shim=0.4))))
    expected = stats.ttest_ind(np.log(after), np.log(before)).confidence_interval(0.95)
    assert effect.low == pytest.approx(math.expm1(expected.low), rel=1e-6)
    assert effect.high == pytest.approx(math.expm1(expected.high), rel=1e-6)
    assert effect.verdict == "longer"


def test_three_unchanged_and_one_longer_cannot_tell_yet() -> None:
    (effect,) = effects(Logbook((*flown(58, 62, 66), *flown(71, shim=0.4))))
    assert effect.verdict == "cannot tell yet"
    assert "at least 2 times" in effect.words()


def test_a_small_effect_wants_three_of_each() -> None:
    two = effects(Logbook((*flown(60, 60.1, 60.2), *flown(64, 64.1, shim=0.4))))[0]
    assert two.low > 0
    assert two.verdict == "cannot tell yet"
    three = effects(Logbook((*flown(60, 60.1, 60.2), *flown(64, 64.1, 64.2, shim=0.4))))[0]
    assert three.verdict == "longer"
    shorter = effects(Logbook((*flown(64, 64.1, 64.2), *flown(60, 60.1, 60.2, shim=0.4))))[0]
    assert "became shorter" in shorter.words()


def test_scattered_flights_are_to_be_flown_again() -> None:
    (effect,) = effects(Logbook((*flown(40, 60, 80), *flown(50, 70, 90, shim=0.4))))
    assert "scatter as much" in effect.words()


def test_flights_that_hit_something_do_not_count() -> None:
    hit = flown(20.0, hit="wall")
    (effect,) = effects(Logbook((*flown(60, 61), *hit, *flown(70, 71, shim=0.4))))
    assert effect.before_s == (60, 61)
    assert effect.left_out == 1
    assert "hit something: 1" in effect.words()


def test_there_and_back_goes_together_and_two_changes_are_not_compared() -> None:
    there = (*flown(60), *flown(70, shim=0.4), *flown(61), *flown(71, shim=0.4))
    (effect,) = effects(Logbook(there))
    assert (effect.before_s, effect.after_s) == ((60, 61), (70, 71))
    both = flown(90, shim=0.4, launcher="B")
    assert effects(Logbook((*flown(60, launcher="A"), *both))) == ()


def test_one_flight_of_each_has_no_interval() -> None:
    (effect,) = effects(Logbook((*flown(60), *flown(90, shim=0.4))))
    assert math.isnan(effect.low)
    assert "95 %" not in effect.words()
    assert effect.verdict == "cannot tell yet"


def test_luck_is_called_a_change_rarely() -> None:
    """Without any effect at most about one in twenty is called one, by the interval's making."""
    rng = np.random.default_rng(5)
    called = 0
    for _ in range(400):
        times = 60 * np.exp(rng.normal(0, 0.08, 6))
        (effect,) = effects(Logbook((*flown(*times[:3]), *flown(*times[3:], shim=0.4))))
        called += effect.verdict != "cannot tell yet"
    assert called / 400 <= 0.08  # 5 % and three standard errors of 1.1 %


# --- an evening for the diagnosis ---


def test_an_evening_becomes_a_log() -> None:
    log = to_log(logbook.read(DEMOS / "short.csv"), DAY)
    assert isinstance(log, Log)
    assert [entry.action for entry in log.entries] == ["fly", "fly", "change", "fly", "change"]
    assert dict(log.entries[2].changes) == {"shim_mm": 0.8}
    assert [entry.turns for entry in log.entries] == [380, 380, 380, 380, 670]
    assert log.entries[0].result.features["turns_left"] == 332
    assert "turns_per_s" not in log.entries[0].result.features  # 3 s by hand say nothing of it


def test_what_stands_otherwise_at_the_first_flight_is_a_change() -> None:
    rows = flown(100.0, shim=0.4, circle="right", laps=20.0, turns_left=50)
    (entry,) = to_log(Logbook(tuple(rows)), DAY).entries
    assert (entry.action, dict(entry.changes)) == ("change", {"shim_mm": 0.4})
    assert entry.result.features["middle_turn_deg_s"] == pytest.approx(-72)
    assert entry.result.features["turns_per_s"] == pytest.approx(6.5)


def test_an_evening_that_is_not_there_names_those_that_are() -> None:
    read = logbook.read(DEMOS / "season.csv")
    with pytest.raises(ValueError, match="2027-02-11"):
        to_log(read, datetime.date(2026, 1, 1))
    with pytest.raises(ValueError, match="flown were hallfinch-46"):
        to_log(read, datetime.date(2026, 10, 8), "wren")
    two = Logbook((*flown(40), dataclasses.replace(flown(40)[0], aeroplane="reed")))
    with pytest.raises(ValueError, match="wren, reed; name one"):
        to_log(two, DAY)


def test_every_column_is_documented() -> None:
    words = logbook.columns_words()
    readme = (DEMOS.parent / "README.md").read_text("utf-8")
    for column in logbook.COLUMNS:
        assert f"{column.name}: {column.meaning}" in words
        assert f"| `{column.name}` | {column.allowed} | {column.meaning} |" in readme


def test_a_swapped_motor_is_noticed_by_its_winds_and_by_its_torque() -> None:
    book = logbook.reads(
        "date,motor,winds,turns,launch_torque_mNm,time_s\n"
        "2026-11-26,1,5,900,2.5,60\n2026-11-26,2,2,900,3.1,66\n"
        "2026-11-26,1,3,900,3.1,65\n2026-11-26,1,6,900,3.2,65\n2026-11-26,1,6,900,2.6,61\n"
    )
    first, second = (one.words() for one in logbook.swaps(book))
    assert first.startswith("line 4, 2026-11-26: motor 1 is at 3 winds, and was at 5 before")
    assert "motor 2 would fit" in first
    assert second.startswith("line 5, 2026-11-26: motor 1 gave 3.2 mN m")
    assert "motor 2 gave as much" in second


@pytest.mark.parametrize("name", ["season", "fit", "short"])
def test_the_clean_demo_logs_have_no_motor_in_doubt(name: str) -> None:
    book = logbook.read(places.demo_folder() / "logbooks" / f"{name}.csv")
    assert logbook.swaps(book) == ()
