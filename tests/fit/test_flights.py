"""An aeroplane from its logbook: the truth comes back, slips are named, the file is whole."""

from __future__ import annotations

import dataclasses
import datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.studies import recovery
from trimkit import fit, logbook, places, rules
from trimkit.aeroplane import Aeroplane
from trimkit.files import FileError, dumps, loads
from trimkit.fit import flights
from trimkit.fit.evidence import read_off, set_up_of
from trimkit.fit.unknowns import NAMES, UNKNOWNS, moved
from trimkit.logbook import FlightRow

DEMO = places.demo_folder()


@pytest.fixture(scope="module")
def measured() -> Aeroplane:
    return recovery.aeroplane("hallfinch-46")


@pytest.fixture(scope="module")
def rows(measured: Aeroplane) -> list[FlightRow]:
    true = moved(measured, np.array([-0.6, 0.0, 0.9, -0.5, -0.4]))
    return recovery.logbook(true, 5)[:3]  # two alike, and one with more turns


@pytest.fixture(scope="module")
def fitted(measured: Aeroplane, rows: list[FlightRow]) -> fit.FittedAeroplane:
    evidence, remarks = fit.gather(rows, measured, {})
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(flights, "MOST_ROUNDS", 4)  # enough here, and quick
        return fit.fit_flights(evidence, measured, remarks)


def test_three_flights_move_every_figure_the_true_way(
    measured: Aeroplane, fitted: fit.FittedAeroplane
) -> None:
    true = moved(measured, np.array([-0.6, 0.0, 0.9, -0.5, -0.4]))
    for one, known in zip(fitted.figures, UNKNOWNS, strict=True):
        truth = known.value_of(true)
        reach = 1.6 * (one.fitted.high - one.fitted.low) / 2  # 99 % where 90 % is said
        assert abs(one.fitted.value - truth) <= reach, one.words()
    told = {one.name for one in fitted.figures if one.told}
    assert {"lift", "circle", "motor"} <= told
    assert fitted.level[0][0] == "lift coefficient"
    assert len(fitted.words().split("\n")) >= 1 + len(UNKNOWNS)


def test_the_fitted_aeroplane_is_a_file_like_any_other(fitted: fit.FittedAeroplane) -> None:
    again = loads(dumps(fitted.aeroplane))
    assert again == fitted.aeroplane
    assert "Fitted to 3 flights, 2026-11-26" in again.note
    assert again.setting.shim_mm == fitted.before.setting.shim_mm  # marks stay marks


def test_what_a_figure_is_moved_by_is_what_is_read_back(measured: Aeroplane) -> None:
    for place, one in enumerate(UNKNOWNS):
        step = np.eye(len(UNKNOWNS))[place]
        up, back = moved(measured, step), moved(moved(measured, step), -step)
        assert one.value_of(up) != one.value_of(measured)
        assert one.value_of(back) == pytest.approx(one.value_of(measured), abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"hit": "wall"}, "it hit something"),
        ({"time_s": None}, "no turns or no time"),
        ({"time_s": 6.0}, "a dive or a stall"),
        ({"turns": 2900}, "was the motor swapped"),
    ],
)
def test_why_a_flight_does_not_count_is_told(
    measured: Aeroplane, rows: list[FlightRow], changes: dict[str, object], words: str
) -> None:
    odd = dataclasses.replace(rows[0], **changes)  # type: ignore[arg-type]
    evidence, remarks = fit.gather([odd], measured, {})
    assert not evidence.flights
    assert words in remarks[0]
    assert remarks[0].startswith(f"line {odd.line}, ")
    with pytest.raises(fit.TooFewError, match="0 flights can be used; allowed is 3"):
        fit.fit_flights(evidence, measured, remarks)


def test_a_motor_that_no_list_names_does_not_count(measured: Aeroplane) -> None:
    row = FlightRow(date=datetime.date(2026, 11, 26), motor="9", turns=900, time_s=60.0)
    evidence, remarks = fit.gather([row], measured, {"1": measured.setting.motor})
    assert not evidence.flights
    assert "motor 9 is not in the list of motors" in remarks[0]
    alone, _ = fit.gather([row], measured, {})
    assert alone.flights == (row,)


def test_a_swapped_motor_is_named_by_its_torque(
    rows: list[FlightRow], fitted: fit.FittedAeroplane, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(flights, "MOST_ROUNDS", 1)  # it begins where the first fit ended
    monkeypatch.setattr(flights, "_level", lambda *_: ())
    torque = rows[0].launch_torque_mNm
    assert torque
    odd = dataclasses.replace(rows[0], line=99, launch_torque_mNm=round(1.5 * torque, 2))
    evidence, _ = fit.gather([*rows, odd], fitted.aeroplane, {})
    found = fit.fit_flights(evidence, fitted.aeroplane)
    assert [one.line for one in found.left_out] == [99]
    assert any("line 99" in one and "Was the motor swapped" in one for one in found.remarks)


def test_repeats_share_a_set_up_and_what_is_read_has_its_error(rows: list[FlightRow]) -> None:
    near = dataclasses.replace(rows[0], temperature_c=20.9, time_s=50.0)
    assert set_up_of(near, {}) == set_up_of(rows[0], {})
    told = read_off(dataclasses.replace(near, lap_s=None, laps=2.0, turns_left=None))
    assert "lap" not in told
    assert "revs" not in told
    assert told["time"] == (pytest.approx(np.log(50.0)), pytest.approx(np.hypot(8 / 50, 0.05)))


def test_a_fit_is_written_and_read_back(tmp_path: Path, fitted: fit.FittedAeroplane) -> None:
    path = fit.fit_path(tmp_path / "own.toml")
    fit.write_fit(fitted, path)
    again = fit.read_fit(path)
    assert path.name == "own.fit.toml"
    assert again.flights == 3
    assert again.covariance == pytest.approx(np.array(fitted.covariance), abs=1e-4)


@given(
    st.dictionaries(
        st.sampled_from(["format", "aeroplane", "flights", "scatter", "errors", "correlations"]),
        st.one_of(
            st.text(max_size=5),
            st.floats(allow_nan=False, allow_infinity=False),
            st.booleans(),
            st.lists(st.lists(st.floats(-2, 2), max_size=5), max_size=5),
            st.dictionaries(st.sampled_from(NAMES), st.floats(-2, 20)),
        ),
    )
)
def test_any_content_gives_a_fit_or_a_reason(
    tmp_path_factory: pytest.TempPathFactory, content: dict[str, object]
) -> None:
    import tomlkit

    path = tmp_path_factory.mktemp("fit") / "own.fit.toml"
    path.write_text(tomlkit.dumps(content), "utf-8")
    with pytest.raises(FileError, match="to mend"):
        fit.read_fit(path)


def test_the_demo_logbook_can_be_used_as_it_is(measured: Aeroplane) -> None:
    book = logbook.read(DEMO / "logbooks" / "fit.csv")
    stock = rules.read_motors(DEMO / "torque" / "motors.toml")
    evidence, remarks = fit.gather(book.flights, measured, fit.loops_of(stock))
    assert len(evidence.flights) == 11
    assert remarks == ("line 9, 2026-11-19: it hit something (wall)",)
