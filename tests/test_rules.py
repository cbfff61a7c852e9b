"""The contest table: what passes, fails, is measured again, and what a person looks at."""

from __future__ import annotations

import dataclasses
import json
import math
import random
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

import trimkit
from trimkit import cli, places, rules
from trimkit.aeroplane import Aeroplane
from trimkit.files import FileError
from trimkit.rules import Limit, Logged, Motor, MotorPlan, Rules
from trimkit.rules.card import MOTOR_QUANTITIES

DEMO = places.demo_folder()
CARD, MOTORS = DEMO / "rules" / "example-card.toml", DEMO / "rules" / "example-motors.toml"
LEAST = 'format = "trimkit rules 1"\nname = "Card"\n'


@pytest.fixture(scope="module")
def trainer() -> Aeroplane:
    return trimkit.load_aeroplane(DEMO / "aeroplanes" / "hallfinch-46.toml")


def spanned(trainer: Aeroplane, span_mm: float) -> Aeroplane:
    wing = dataclasses.replace(trainer.build.wing, span_mm=span_mm)
    return dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, wing=wing))


def only(table: rules.Contest, what: str) -> rules.Item:
    return next(item for item in table.items if item.what == what)


def test_the_example_card_says_that_it_is_invented_and_shows_every_state(
    trainer: Aeroplane,
) -> None:
    card = rules.read(CARD)
    assert card.invented
    table = rules.check(card, trainer, rules.read_motors(MOTORS))
    assert {item.state for item in table.items} == set(rules.STATES)
    assert rules.INVENTED in table.words()
    assert not table.ready
    real = rules.check(dataclasses.replace(card, invented=False), trainer)
    assert rules.INVENTED not in real.words()


@pytest.mark.parametrize(
    ("span_mm", "state"),
    [(459.4, "pass"), (459.5, "measure again"), (460.0, "measure again"),
     (460.5, "measure again"), (460.6, "fail")],
)  # fmt: skip
def test_a_figure_within_reading_error_of_its_limit_is_measured_again(
    trainer: Aeroplane, span_mm: float, state: str
) -> None:
    card = Rules(name="Card", limits=(Limit("wing_span_mm", most=460.0),))
    item = only(rules.check(card, spanned(trainer, span_mm)), "wing span")
    assert item.state == state
    assert (item.do == "") == (state == "pass")


def test_too_long_a_span_is_told_with_what_to_cut(trainer: Aeroplane) -> None:
    card = Rules(name="Card", limits=(Limit("wing_span_mm", most=450.0),))
    item = only(rules.check(card, trainer), "wing span")
    assert "Over by 10.0 mm" in item.do
    assert "5.5 mm off each tip" in item.do  # half of 10 and of two reading errors


def test_too_light_is_mended_at_the_balance_point_and_then_passes(trainer: Aeroplane) -> None:
    card = Rules(name="Card", limits=(Limit("mass_without_motor_g", least=10.4),))
    item = only(rules.check(card, trainer), "mass without the motor")
    assert item.state == "fail"
    assert "Under by 0.50 g. Add 0.60 g at the balance point, 44 mm behind" in item.do
    station = trimkit.balance.aeroplane_cg(trainer).station_mm
    mended = trimkit.aeroplane.replace(trainer, ballast_g=0.6, ballast_station_mm=station)
    assert only(rules.check(card, mended), item.what).state == "pass"
    moved = trimkit.balance.balance_point_mm(mended) - trimkit.balance.balance_point_mm(trainer)
    assert abs(moved) < 0.01


def test_what_was_guessed_is_measured_again_however_good_it_looks(trainer: Aeroplane) -> None:
    note = (
        "Measured with ruler and balance: 5 readings. Guessed from the trainer, scaled: "
        "tailplane's span, propeller's diameter."
    )
    card = Rules(
        name="Card", limits=(Limit("tail_span_mm", most=400.0), Limit("wing_span_mm", most=500))
    )
    table = rules.check(card, dataclasses.replace(trainer, note=note))
    assert only(table, "tailplane's span").state == "measure again"
    assert "Measure: tailplane's span" in only(table, "tailplane's span").do
    assert only(table, "wing span").state == "pass"


def test_what_a_measured_aeroplane_calls_its_readings_is_known_here() -> None:
    from trimkit.measurement.questions import BY_NAME

    titles = {question.title for question in BY_NAME.values()}
    named = {one for figure in rules.FIGURES.values() for one in figure.measured_as}
    assert named <= titles


def test_motors_are_judged_one_by_one(trainer: Aeroplane) -> None:
    card = Rules(name="Card", limits=(Limit("motor_mass_g", most=2.0),),
                 motors=MotorPlan(may_bring=3, must_survive=2))  # fmt: skip
    motors = [
        Motor(number="1", mass_g=1.98),
        Motor(number="2", mass_g=2.0),
        Motor(number="3", mass_g=2.5, loop_mm=500.0),
        Motor(number="A"),
    ]
    table = rules.check(card, trainer, motors)
    states = [only(table, f"mass of motor {one.number}").state for one in motors]
    assert states == ["pass", "measure again", "fail", "measure again"]
    # .52 g of 2.5 g is a fifth; a loop is two strands of strip
    assert "Cut 20.8% off the strip (208 mm of strip)" in only(table, "mass of motor 3").do
    assert only(table, "number of motors").do == "Leave 1 at home"


def test_motors_that_nobody_listed_do_not_pass(trainer: Aeroplane) -> None:
    card = Rules(name="Card", limits=(Limit("motor_mass_g", most=5.0),))
    assert only(rules.check(card, trainer), "mass of each motor").state == "measure again"


def test_the_number_of_motors_is_that_of_many_trials() -> None:
    plan = MotorPlan(may_bring=4, must_survive=4, winds_each=3, break_chance=0.1)
    stock = rules.stock_of(plan)
    assert "keep" in stock.words()
    assert "one winding in 10 breaks" in stock.words()
    chance = random.Random(7)

    def survive(made: int) -> float:
        wins = 0
        for _ in range(20_000):
            whole = sum(all(chance.random() >= 0.1 for _ in range(3)) for _ in range(made))
            wins += whole >= 4
        return wins / 20_000

    assert survive(stock.make) == pytest.approx(stock.chance, abs=0.01)
    assert stock.chance >= 0.9
    assert survive(stock.make - 1) < 0.9


def test_no_breaking_needs_no_spare_and_hopeless_odds_are_refused() -> None:
    sure = MotorPlan(may_bring=4, must_survive=4, break_chance=0.0)
    assert rules.stock_of(sure).make == 4
    with pytest.raises(ValueError, match="hardly a motor survives"):
        rules.stock_of(MotorPlan(may_bring=4, must_survive=4, winds_each=20, break_chance=0.5))


def logbook(folder: Path, flights: int, full: int) -> Path:
    rows = ["date,aeroplane,turns,turns_left,time_s"]
    for number in range(flights):
        left = "100" if number < full else ""
        rows.append(f"2026-11-{number % 28 + 1:02d},own,800,{left},{60 + number}")
    rows.append("2026-11-29,other,800,100,200")
    path = folder / "book.csv"
    path.write_text("\n".join(rows) + "\n")
    return path


def test_only_flights_in_full_and_of_this_aeroplane_count(
    trainer: Aeroplane, tmp_path: Path
) -> None:
    rule = rules.LogRule(flights=8, columns=("turns", "turns_left", "time_s"))
    card = Rules(name="Card", log=rule)
    logged = rules.logged_flights(logbook(tmp_path, 9, 6), ("own", "Own 1"), rule.columns)
    assert logged == Logged(9, 6, 68.0, 0, "turns_left")
    item = only(rules.check(card, trainer, logged=logged), "flights in the logbook")
    assert item.state == "fail"
    assert item.do.startswith("2 short")
    assert "turns_left" in item.do
    more = rules.logged_flights(logbook(tmp_path, 9, 8), ("OWN",), rule.columns)
    assert only(rules.check(card, trainer, logged=more), item.what).state == "pass"
    assert only(rules.check(card, trainer), item.what).state == "look"


@pytest.mark.parametrize(
    ("longest_s", "state"), [(60.0, "pass"), (120.0, "measure again"), (240.0, "fail")]
)
def test_the_window_holds_the_flights_and_the_winding(
    trainer: Aeroplane, longest_s: float, state: str
) -> None:
    # two flights and twice two minutes of winding: 6, 8 and 12 minutes against 8
    card = Rules(name="Card", flights=rules.FlightPlan(official=2, window_min=8, winding_min=2))
    table = rules.check(card, trainer, logged=Logged(9, 9, longest_s))
    assert only(table, "2 official flights in time").state == state


def test_what_only_a_person_sees_is_a_box_and_no_bar_to_being_ready(trainer: Aeroplane) -> None:
    table = rules.check(Rules(name="Card", papers=("The logbook is printed",)), trainer)
    assert table.ready
    assert "[ ] The logbook is printed" in table.words()


@pytest.mark.parametrize(
    ("text", "hints"),
    [
        ("", ["format", "trimkit rules 1"]),
        ('format = "trimkit rules 1"', ["name", "nothing given"]),
        (LEAST + "[limits.wing_spann_mm]\nmost = 4", ["line 3", "did you mean wing_span_mm?"]),
        (LEAST + "[limits.wing_span_mm]\nmost = '460 mm'", ["line 4", "no quotes and no unit"]),
        (LEAST + "[limits.wing_span_mm]\nleast = 9\nmost = 3", ["swapped"]),
        (LEAST + "[limits.wing_span_mm]\n", ["least = or most ="]),
        (LEAST + "[limits.wing_span_mm]\nmost = nan", ["nan", "0.01 to 1500 mm"]),
        (LEAST + "limits = 3", ["[limits.wing_span_mm]"]),
        (LEAST + "[motors]\nmust_survive = 2", ["motors.may_bring", "nothing given"]),
        (LEAST + "[motors]\nmay_bring=3\nmust_survive=2\nbreak_chance=15",
         ["line 6", "0 to 0.5", "did you mean 0.15?"]),
        (LEAST + "[flights]\nofficial = 2.5\nwindow_min = 8", ["a whole number, 1 to 12"]),
        (LEAST + "[log]\nflights = 3\ncolumns = ['colour']", ["colour", "columns of the logbook"]),
        (LEAST + "[log]\nflights = 3\ncolumns = 7", ["a list of columns"]),
        (LEAST + "papers = 'one'", ["a list of up to 30 sentences"]),
        (LEAST + "invented = 'no'", ["true or false"]),
        (LEAST + "a = [", ["key = value"]),
        (LEAST + "a = " + "[" * 5000, ["key = value"]),
        (LEAST + "a." * 40_000 + "a = 1", ["line 3", "more than 20 steps"]),
        (LEAST + "[limits.wing_span_mm]\nmost = 1" + "0" * 400, ["line 4", "0.01 to 1500 mm"]),
        (LEAST + "# " + "x" * 200_000, ["very large"]),
    ],
)  # fmt: skip
def test_a_slip_on_the_card_is_named(text: str, hints: list[str], tmp_path: Path) -> None:
    path = tmp_path / "card.toml"
    path.write_text(text)
    with pytest.raises(FileError) as error:
        rules.read(path)
    assert [hint for hint in hints if hint not in str(error.value)] == []


def test_all_slips_are_told_together(tmp_path: Path) -> None:
    path = tmp_path / "card.toml"
    path.write_text('format = "x"\nname = 3\n[flights]\nofficial = 0\n[limits.colour]\nmost = 1\n')
    with pytest.raises(FileError) as error:
        rules.read(path)
    assert len(error.value.problems) == 5  # format, name, official, window_min, colour


@pytest.mark.parametrize(
    ("rows", "hint"),
    [
        ("", "[[motor]]"),
        ("[[motor]]\nmass_g = 2", "the number or letter on the bag"),
        ("[[motor]]\nnumber = 1\nmass_g = 2000", "0.05 to 12 g"),
        ("[[motor]]\nnumber = 1\n[[motor]]\nnumber = '1'", "twice"),
        ("[[motor]]\nnumber = 1\nwinds = 1.5", "a whole number"),
        ("[[motor]]\nnumber = 1\n" * 70, "up to 60"),
        ("[motor]\nnumber = 1", "[[motor]]"),
    ],
)
def test_a_slip_in_the_list_of_motors_is_named(rows: str, hint: str, tmp_path: Path) -> None:
    path = tmp_path / "motors.toml"
    path.write_text('format = "trimkit motors 1"\n' + rows)
    with pytest.raises(FileError) as error:
        rules.read_motors(path)
    assert hint in str(error.value)


# --- the command ------------------------------------------------------------------------------


def test_the_command_ends_with_0_1_or_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card = tmp_path / "card.toml"
    card.write_text(LEAST + "[limits.wing_span_mm]\nmost = 470\n")
    asked = ["contest", str(card), "--aeroplane", "hallfinch-46"]
    assert cli.main(asked) == cli.DONE
    assert "FAILS: nothing" in capsys.readouterr().out
    card.write_text(LEAST + "[limits.wing_span_mm]\nmost = 460\n")
    assert cli.main([*asked, "--json"]) == cli.NO
    told = json.loads(capsys.readouterr().out)
    assert told["ready"] is False
    assert [one["state"] for one in told["items"]] == ["measure again"]
    card.write_text(LEAST + "[limits.wing_span_mm]\nmost = 'wide'\n")
    assert cli.main(asked) == cli.BAD_INPUT
    said = capsys.readouterr()
    assert said.out == ""
    assert "limits.wing_span_mm.most" in said.err
    assert cli.main(["contest", str(tmp_path / "none.toml"), *asked[2:]]) == cli.BAD_INPUT
    assert "no such file" in capsys.readouterr().err


def test_the_demo_files_go_together(capsys: pytest.CaptureFixture[str]) -> None:
    book = DEMO / "logbooks" / "season.csv"
    asked = ["contest", str(CARD), "--aeroplane", "hallfinch-46", "--motors", str(MOTORS)]
    assert cli.main([*asked, "--logbook", str(book), "--json"]) == cli.NO
    told = json.loads(capsys.readouterr().out)
    states = [one["state"] for one in told["items"]]
    assert states.count("fail") == 1
    assert math.isclose(told["chance"], 0.97, abs_tol=0.02)
    assert told["make_motors"] == 5


@given(
    st.lists(
        st.dictionaries(
            st.sampled_from([*MOTOR_QUANTITIES, "number", "mass"]),
            st.one_of(
                st.floats(allow_nan=True),
                st.integers(-5, 3000),
                st.text(max_size=4),
                st.booleans(),
            ),
        ),
        max_size=3,
    )
)
def test_any_list_of_motors_is_read_or_refused_with_reasons(
    tmp_path_factory: pytest.TempPathFactory, rows: list[dict[str, object]]
) -> None:
    path = tmp_path_factory.mktemp("motors") / "motors.toml"
    path.write_text(tomlkit.dumps({"format": "trimkit motors 1", "motor": rows}), "utf-8")
    try:
        motors = rules.read_motors(path)
    except FileError:
        return
    for one in motors:
        loop = one.rubber()
        assert loop is None or loop.mass_g > 0
    again = path.with_name("again.toml")
    rules.write_motors(motors, again)
    assert rules.read_motors(again) == tuple(
        dataclasses.replace(one, **rounded(one)) for one in motors
    )


def rounded(one: Motor) -> dict[str, float]:
    values = dataclasses.asdict(one)
    return {name: round(value, 6) for name, value in values.items() if isinstance(value, float)}
