"""Tables of torque readings: what spreadsheets write is read, slips are named, no text crashes."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimkit import fit
from trimkit.units import MNM_PER_OUNCE_INCH


def test_motor_and_temperature_are_carried_down_and_the_top_is_kept() -> None:
    table = fit.reads_torque(
        "Motor;Turns;Torque (mN m);way;temp\nA;200;1,2;;18\n;400;1,9;up;\n;300;1,4;down;\nB;100;1;;"
    )
    first, second, third, fourth = table.readings
    assert (first.motor, first.temperature_c, first.torque_mNm) == ("A", 18.0, 1.2)
    assert (second.motor, second.up) == ("A", True)
    assert (third.turns, third.wound, third.up) == (300, 400, False)
    assert (fourth.motor, fourth.temperature_c) == ("B", 18.0)
    assert table.of("B") == (fourth,)


def test_ounce_inches_are_turned_into_mNm() -> None:
    table = fit.reads_torque("turns,torque_ozin\n400,0.265\n")
    assert table.readings[0].torque_mNm == pytest.approx(0.265 * MNM_PER_OUNCE_INCH)
    bad = fit.reads_torque("turns,torque_ozin\n400,40\n").bad_rows
    assert "torque_ozin: '40' is given" in bad[0].words()


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("400,", "torque_mNm: '' is given; allowed is 0.05 to 100; write it"),
        ("400 turns,2", "take the unit away: did you mean 400"),
        ("400,2,sideways", "way: 'sideways' is given; allowed is up or down"),
        ("400,2,down", "no more than the 0 turns read going up"),
        ("400,2,up,77", "no cell beyond"),
        ("400,300", "has the decimal point slipped: did you mean 30"),
    ],
)
def test_a_slip_is_named_with_its_line_and_kept(row: str, words: str) -> None:
    table = fit.reads_torque(f"turns,torque_mNm,way\n{row}\n500,2.4\n")
    assert len(table.readings) == 1
    (bad,) = table.bad_rows
    assert words in bad.words()
    assert bad.words().startswith("line 2, ")
    assert dict(bad.cells)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("turns,force\n1,2\n", "no column torque_mNm"),
        ("torque,torque_ozin\n1,2\n", "no column turns"),
        ("turns,torque,torque_ozin\n1,2,3\n", "the torque twice"),
        ("turns,turns,torque\n1,2,3\n", "column turns twice"),
        ("", "is empty"),
    ],
)
def test_a_table_without_its_columns_is_refused(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        fit.reads_torque(text)


CELL = st.one_of(
    st.sampled_from(["turns", "torque_mNm", "way", "motor", "up", "down", "", '"', "1,5", "-3"]),
    st.text(max_size=8),
    st.floats(allow_nan=True).map(str),
)


@given(st.lists(st.lists(CELL, max_size=5), max_size=6), st.sampled_from(",;\t"))
def test_any_text_gives_readings_or_a_reason_and_no_row_is_lost(
    rows: list[list[str]], mark: str
) -> None:
    body = [[one for one in row if not set(one) & set('"\r\n')] for row in rows]
    text = "\n".join(mark.join(row) for row in [["turns", "torque_mNm"], *body])
    try:
        table = fit.reads_torque(text)
    except ValueError:
        return
    assert len(table.readings) + len(table.bad_rows) <= len(body)
    assert all(one.words() for one in (*table.readings, *table.bad_rows))


@given(st.binary(max_size=200))
def test_any_bytes_give_readings_or_a_reason(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes
) -> None:
    path = tmp_path_factory.mktemp("torque") / "readings.csv"
    path.write_bytes(raw)
    with contextlib.suppress(ValueError):
        fit.read_torque(path)
    assert path.read_bytes() == raw
