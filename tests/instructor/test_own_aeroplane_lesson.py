"""Lesson 11: its flights are flown, its table is the demo fit, its arithmetic is done by hand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tests.instructor.books import SOURCE, lesson_cells, lesson_text
from tests.instructor.test_keys import marking
from trimkit import fit, flight, load_aeroplane, logbook, places, rules
from trimkit.aeroplane import replace
from trimkit.classroom import cards
from trimkit.fit.unknowns import UNKNOWNS
from trimkit.flight import Flight, Hall
from trimkit.lesson import own
from trimkit.lesson.own import FILES
from trimkit.lesson.tasks import own_aeroplane as lesson11

DEMO = places.demo_folder()
FOLDER = SOURCE / "11-your-own-aeroplane"
CELLS = lesson_cells(FOLDER.name)
TEXT = lesson_text(FOLDER.name)
TOLD_S, TOLD_M = 0.3, 0.15


def flown(folder: str, number: str, turns: int, back: int, hall: Hall | None = None) -> Flight:
    one = load_aeroplane(DEMO / folder / "hallfinch-46.toml")
    stock = {m.number: m.rubber() for m in rules.read_motors(DEMO / "fitted" / "motors.toml")}
    launch = flight.Launch(turns=turns - back, backed_off=back)
    return flight.fly(replace(one, motor=stock[number]), launch=launch, hall=hall)


@pytest.mark.parametrize(
    ("folder", "told"),
    [("aeroplanes", lesson11.AS_MEASURED), ("fitted", lesson11.AS_FITTED)],
)
def test_as_measured_and_as_fitted_are_flown(folder: str, told: tuple[float, float]) -> None:
    one = flown(folder, lesson11.MOTOR, lesson11.TURNS, lesson11.BACKED_OFF)
    assert one.duration_s == pytest.approx(told[0], abs=TOLD_S)
    assert one.peak_height_m == pytest.approx(told[1], abs=TOLD_M)
    assert f"{told[0]:.0f} s" in TEXT


def test_the_logbook_has_the_two_real_flights() -> None:
    book = logbook.read(DEMO / "logbooks" / "fit.csv")
    times = [
        one.time_s
        for one in book.flights
        if (one.motor, one.turns) == (lesson11.MOTOR, lesson11.TURNS)
    ]
    assert tuple(times) == lesson11.LOGGED_S
    assert "54.5 and 56.1 s" in TEXT


def test_a_touch_costs_what_is_told() -> None:
    turns, back = lesson11.TOUCH_TURNS, lesson11.TOUCH_BACK
    high = flown("fitted", "2", turns, back, Hall(size_m=(200.0, 200.0, 15.0)))
    low = flown("fitted", "2", turns, back, Hall(size_m=(200.0, 200.0, lesson11.TOUCH_ROOF_M)))
    assert high.duration_s == pytest.approx(lesson11.TOUCH_S[0], abs=TOLD_S)
    assert low.duration_s == pytest.approx(lesson11.TOUCH_S[1], abs=TOLD_S)
    assert any("ceiling" in one.what for one in low.events)
    assert not any("ceiling" in one.what for one in high.events)


def test_the_table_is_what_the_demo_fit_says() -> None:
    measured = load_aeroplane(DEMO / "aeroplanes" / "hallfinch-46.toml")
    fitted = load_aeroplane(DEMO / "fitted" / "hallfinch-46.toml")
    record = fit.read_fit(DEMO / "fitted" / "hallfinch-46.fit.toml")
    assert record.flights == 11
    told = {
        "lift": ("2.60°", "2.50°"),
        "circle": ("0°", "−0.26°"),
        "propeller": ("0.216", "0.265"),
        "drag": ("0 mm²", "42 mm²"),
    }
    for one in UNKNOWNS[:4]:
        row = told[one.name]
        assert f"| {row[0]} | {row[1]} |" in TEXT
        for words, aeroplane in zip(row, (measured, fitted), strict=True):
            number = float(words.strip("° m²").replace("−", "-"))
            rounded = 0.5 * 10.0 ** -len(words.strip("° m²").partition(".")[2])
            assert one.value_of(aeroplane) == pytest.approx(number, abs=rounded + 1e-9)
    # the drag of what nobody drew is known no better than before
    assert np.sqrt(record.covariance[1, 1]) > 0.8


def test_keys_worked_by_hand() -> None:
    module = marking("11")
    speed = module.speed({"circle_m": 6.0, "lap_s": 7.5})
    assert speed.value == pytest.approx(2.51, abs=0.005)  # 18.85 / 7.5
    ballast = module.ballast({"least_g": 8.0, "airframe_g": 7.64, "margin_g": 0.05})
    assert ballast.value == pytest.approx(0.41)
    assert module.read({"limit": 1400, "read": 1100}).value == 1100
    assert module.read({"limit": 1400, "read": 1250}).value == pytest.approx(1190)
    rows = ((900, 5.0, 6.0), (950, 5.6, 6.4), (1000, 5.9, 6.7), (1050, 6.4, 7.2), (1100, 7.1, 8.0))
    roof = module.roof({"roof_m": 7.0, "free_m": 0.5, "rows": rows})
    assert roof.value == 950
    assert {one.name: one.value for one in roof.mistakes}["the middle taken for all"] == 1050


def test_the_longest_of_four_alike_is_the_last_one_time_in_four() -> None:
    # four flights that are alike may come in any order: 4! orders, 3! with the longest last
    assert math.factorial(3) / math.factorial(4) == 0.25
    module = marking("11")
    figures = {"order": (0, 1, 2, 3), "times": (58, 62, 66), "after_s": 71}
    assert "one in four" in module.repeats(figures).why


def test_the_own_file_is_taken_and_a_bad_one_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert own().name == "Hallfinch 46"
    assert "invented Hallfinch 46" in capsys.readouterr().out
    file = tmp_path / FILES[1]
    file.write_bytes((DEMO / "aeroplanes" / "longreed-42.toml").read_bytes())
    assert own().name == "Longreed 42"
    assert "your own Longreed 42, from own.toml" in capsys.readouterr().out
    file.write_text("span_mm = 3\n", "utf-8")
    assert own().name == "Hallfinch 46"
    said = capsys.readouterr().out
    assert "own.toml cannot be used yet" in said
    assert "to mend" in said


def test_the_card_names_what_the_fit_needs() -> None:
    card = cards.page((FOLDER / cards.FILE).read_text("utf-8"))
    for words in (
        "lap, s",
        "across, m",
        ">turns left<",
        "torque at launch",
        "Three flights the same",
    ):
        assert card.count(words) == 2  # two halves of a sheet
