"""A case from the pupil's side: what can be done, what is refused, and going on later."""

from __future__ import annotations

import importlib
import json
import math
import pickle
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.test_referee import seed_with, speaking, trainer
from trimkit import lesson, places
from trimkit.diagnosis import skills, steps
from trimkit.diagnosis.readings import READINGS
from trimkit.faults import CATALOGUE, PLACES
from trimkit.lesson import mishap, referee
from trimkit.lesson.case import (
    AGAINST_BEFORE,
    FAMILIES,
    FLIGHT_MINUTES,
    KEPT_NOWHERE,
    LOOK_MINUTES,
    OF_ITSELF,
    OTHER_FIGURES,
    Case,
    Seen,
)
from trimkit.lesson.referee import TOOLS, Refused, Request
from trimkit.settings import SETTINGS

module = importlib.import_module("trimkit.lesson.case")  # `lesson.case` is its function
TURNS = 400.0  # a short flight
FIRST = ("no idea yet", "circles left", "guess")
LATER = ("nose", "longer", "leaning")


class Here:
    """The hall in this process, so that a test need not wait for another."""

    def __init__(self) -> None:
        self.asked: list[Request] = []

    def ask(self, request: Request) -> dict[str, Any]:
        self.asked.append(request)
        return referee.result(request)

    def wake(self) -> None:
        pass


@pytest.fixture
def hall(monkeypatch: pytest.MonkeyPatch) -> Here:
    here = Here()
    monkeypatch.setattr(module, "_hall", here)
    return here


@pytest.fixture
def work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hall: Here) -> Path:
    (tmp_path / "pupil.toml").write_text('number = 7\nclass_word = "otter"\n', "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def case(work: Path) -> Case:
    return lesson.case(7)


def flown(case: Case) -> Case:
    case.fly(TURNS, *FIRST)
    return case


# --- what can be done ----------------------------------------------------------------------


def test_a_flight_is_seen_drawn_and_written_down(case: Case) -> None:
    seen = case.fly(TURNS, *FIRST)
    (entry,) = case.log.entries
    assert (entry.action, entry.turns, entry.minutes) == ("fly", TURNS, FLIGHT_MINUTES)
    assert (entry.hypothesis, entry.prediction, entry.certainty) == FIRST
    assert seen.entry == entry
    assert seen.words in seen.text
    assert "You expected: circles left" in seen.text
    assert seen.flight().duration_s == pytest.approx(entry.result.features["duration_s"], abs=4)
    told = seen.picture().text.lower()
    assert all(part.rstrip(".").partition(" with ")[0] in told for part in seen.words.split("; "))
    assert "<img" in seen._repr_html_()
    assert not seen.from_log


def test_flying_again_means_the_same_turns(case: Case) -> None:
    flown(case)
    again = case.fly(None, *LATER)
    assert again.entry.turns == TURNS
    assert again.entry.result != case.log.entries[0].result  # another throw, another air
    with pytest.raises(Refused, match=r"Other turns are a change: change\(turns=500\)"):
        case.fly(500, *LATER)


def test_changes_add_up_and_cost_their_minutes(case: Case, hall: Here) -> None:
    flown(case)
    seen = case.change(*LATER, shim_mm=0.4)
    assert seen.entry.minutes == FLIGHT_MINUTES + SETTINGS["shim_mm"].minutes
    both = case.change(*LATER, shim_mm=-0.2, fin_deg=0.5, turns=500)
    assert hall.asked[-1].changes == {"shim_mm": 0.2, "fin_deg": 0.5}
    parts = ("shim_mm", "fin_deg", "turns")
    assert both.entry.minutes == FLIGHT_MINUTES + sum(SETTINGS[name].minutes for name in parts)
    assert SETTINGS["turns"].caution in both.text
    assert case.turns == 500
    assert case.minutes == math.fsum(entry.minutes for entry in case.log.entries)


def test_a_repair_flies_and_its_fault_is_the_hypothesis(case: Case, hall: Here) -> None:
    flown(case)
    seen = case.repair("Hook or washer binds", "longer", "guess")  # its title will do
    assert (seen.entry.what, seen.entry.hypothesis) == ("binding-hook", "binding-hook")
    assert seen.entry.minutes == FLIGHT_MINUTES + CATALOGUE["binding-hook"].minutes
    assert hall.asked[-1].repairs == ("binding-hook",)
    assert CATALOGUE["binding-hook"].caution in seen.text
    case.fly(None, *LATER)
    assert hall.asked[-1].repairs == ("binding-hook",)


def test_the_repair_of_what_is_wrong_cures_it(work: Path) -> None:
    known = seed_with("too-little-decalage")
    sick = Case(known, work / "logs")
    dive = sick.fly(750, *FIRST)
    cured = sick.repair("too-little-decalage", "longer", "fairly sure")
    assert cured.entry.result.features["duration_s"] > 2 * dive.entry.result.features["duration_s"]
    assert "You saw it coming." in cured.text


@pytest.mark.parametrize("place", PLACES)
def test_every_place_can_be_looked_at(case: Case, place: str) -> None:
    seen = case.look(place)
    assert seen.entry.minutes == LOOK_MINUTES
    assert set(seen.entry.result.readings) == {"found"}
    assert PLACES[place] in seen.words
    case.go_on()
    assert case.look(place).words == seen.words


@pytest.mark.parametrize("tool", TOOLS)
def test_every_tool_can_be_used(case: Case, tool: str) -> None:
    seen = case.measure(tool, turns=TURNS if tool == "torque meter" else None)
    assert seen.entry.minutes == sum(READINGS[name].minutes for name in TOOLS[tool])
    again = case.measure(tool, turns=TURNS if tool == "torque meter" else None)
    assert again.entry.result.readings != seen.entry.result.readings  # read a little otherwise
    assert seen.film is None


def test_a_reading_goes_by_its_name_too(case: Case) -> None:
    assert set(case.measure("left_twist_deg").entry.result.readings) == {"left_twist_deg"}


def test_saying_what_it_is_is_noted_and_tells_nothing(case: Case) -> None:
    words = {case.say(name, "guess").words.replace(name, "X") for name in CATALOGUE}
    assert len(words) == 1
    assert case.say("cannot tell yet").entry.certainty == ""
    assert case.say("cannot tell yet", "fairly sure").entry.certainty == "fairly sure"


def test_two_faults_are_named_together(work: Path) -> None:
    two = lesson.case("week 3", faults=2)
    two.say(["loose-tail", "overweight"], "leaning")
    assert [entry.what for entry in two.log.entries] == ["loose-tail", "overweight"]
    assert "two things are wrong" in repr(two)
    with pytest.raises(Refused, match="You name 3 faults; this case has 2"):
        two.say(["loose-tail", "overweight", "dry-motor"], "leaning")


def test_the_card_says_how_it_flew_when_all_was_well(case: Case, hall: Here) -> None:
    card = case.card()
    assert len(card.flown) == 2
    assert "decalage" in repr(card)
    flown(case)
    assert list(case.card().flown) == [TURNS]
    assert len(case.log.entries) == 1
    assert "<br>" in card._repr_html_()


def test_the_plan_s_words_agree_with_the_library_s() -> None:
    assert (AGAINST_BEFORE, OF_ITSELF) == (skills.AGAINST_BEFORE, skills.OF_ITSELF)
    assert {*skills.FAMILY, "no idea yet"} == set(FAMILIES)
    assert (FLIGHT_MINUTES, LOOK_MINUTES) == (steps.FLIGHT_MINUTES, steps.LOOK_MINUTES)


# --- hints ---------------------------------------------------------------------------------


def test_hints_come_in_three_rungs_after_a_first_try(case: Case) -> None:
    with pytest.raises(Refused, match="Try first"):
        case.hint()
    flown(case)
    taken = [case.hint() for _ in range(4)]
    assert [hint.rung for hint in taken] == [1, 2, 3, 3]
    assert [hint.minutes for hint in taken] == [1.0, 2.0, 3.0, 0.0]
    assert taken[3].words == taken[2].words
    assert case.minutes == FLIGHT_MINUTES + 6
    assert len(case.hints) == 3
    assert lesson.case(7).hints == case.hints
    case.fly(None, *LATER)
    assert case.hint().rung == 1


def test_a_hint_names_what_was_changed_together(case: Case) -> None:
    flown(case)
    case.change(*LATER, shim_mm=0.4, fin_deg=0.5)
    assert "Flights 1 and 2 differ in 2 things (tail shim, fin)" in case.hint().words


def test_no_hint_names_a_fault(work: Path) -> None:
    for name in ("fin-bent-right", "heavy-propeller"):
        ill = Case(seed_with(name), work / name)
        ill.fly(TURNS, *FIRST)
        words = " ".join(ill.hint().words for _ in range(3))
        assert name not in words
        assert CATALOGUE[name].title not in words


def test_the_next_test_is_the_reference_s_where_there_is_one(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    flown(case)

    class Step:
        def words(self) -> str:
            return "Look at the fin (2 min, about 0.31 bits)."

    monkeypatch.setattr("trimkit.diagnosis.next_steps", lambda *_: (Step(),), raising=False)
    assert [case.hint().words for _ in range(3)][-1] == "Look at the fin."


@pytest.mark.parametrize("stored", [None, "stale"])
def test_without_a_reference_a_rule_of_thumb_stands_in(
    case: Case, monkeypatch: pytest.MonkeyPatch, stored: str | None
) -> None:
    def refuse(*_: object) -> None:
        raise ValueError("stale")

    monkeypatch.setattr("trimkit.diagnosis.next_steps", refuse if stored else None, raising=False)
    flown(case)
    assert "Change nothing but the turns" in _third(case)
    case.change(*LATER, shim_mm=0.4, fin_deg=0.5)
    assert "Put the tail shim back" in _third(case)
    case.change(*LATER, turns=500)
    words = _third(case)
    assert words.startswith("Look at the ")
    for place in PLACES:
        case.look(place)
    assert _third(case).startswith("Repair what you think likeliest")


def _third(case: Case) -> str:
    return [case.hint().words for _ in range(3)][-1]


# --- what is refused -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("do", "words"),
    [
        (lambda c: c.fly(TURNS), "Before it flies: what may be wrong"),
        (lambda c: c.fly(TURNS, "nose", "longer"), "Before it flies"),
        (lambda c: c.fly(TURNS, "nose", "longer", "guess"), "first flight has none before it"),
        (lambda c: c.fly(TURNS, "nos", "dives", "guess"), "Did you mean nose"),
        (lambda c: c.fly(TURNS, "nose", "dive", "guess"), "Did you mean 'dives'"),
        (lambda c: c.fly(TURNS, "nose", "dives", "sure"), "not a certainty"),
        (lambda c: c.fly(None, *FIRST), "Say how many turns: 1 to 1480"),
        (lambda c: c.fly(1481, *FIRST), "allowed is 1 to 1480: the rubber would break"),
        (lambda c: c.fly(0, *FIRST), "it needs some to fly"),
        (lambda c: c.fly(-5, *FIRST), "allowed is 1 to 1480"),
        (lambda c: c.fly(400.5, *FIRST), "whole number"),
        (lambda c: c.fly("400", *FIRST), "whole number"),
        (lambda c: c.fly(True, *FIRST), "whole number"),
        (lambda c: c.fly(math.nan, *FIRST), "whole number"),
        (lambda c: c.change(*FIRST, shim=0.4), "Did you mean 'shim_mm'"),
        (lambda c: c.change(*FIRST, shim_mm=40, turns=400), "Tail shim would be 40 mm"),
        (lambda c: c.change(*FIRST, shim_mm="0.4", turns=400), "allowed is a number"),
        (lambda c: c.change(*FIRST, shim_mm=math.inf, turns=400), "allowed is a number"),
        (lambda c: c.change(*FIRST, turns=400), "Nothing is changed"),
        (lambda c: c.change(*FIRST, shim_mm=0.0, turns=400), "Nothing is changed"),
        (lambda c: c.repair("fin", "dives", "guess", turns=400), "Did you mean fin-bent"),
        (lambda c: c.repair(7, "dives", "guess", turns=400), "not a fault"),
        (lambda c: c.repair("loose-tail", "dives", "guess"), "Say how many turns"),
        (lambda c: c.look("wings"), "Did you mean 'wing'"),
        (lambda c: c.look(None), "not a place"),
        (lambda c: c.measure("rular"), "Did you mean 'ruler'"),
        (lambda c: c.measure("torque meter"), "Say how many turns"),
        (lambda c: c.say("loose-tail"), "not a certainty"),
        (lambda c: c.say("nothing", "guess"), "not a fault"),
        (lambda c: c.say([], "guess"), "You name 0 faults"),
        (lambda c: c.flight(1), "there is no flight 1"),
    ],
)
def test_nonsense_is_refused_in_words_and_costs_nothing(case: Case, do: Any, words: str) -> None:
    with pytest.raises(Refused) as told:
        do(case)
    assert words in str(told.value)
    assert "\n" not in str(told.value)
    assert case.minutes == 0
    assert case.log.entries == ()


def test_a_repair_and_other_turns_are_two_changes(case: Case) -> None:
    flown(case)
    with pytest.raises(Refused, match="two changes"):
        case.repair("loose-tail", "longer", "guess", turns=500)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ((7, "no-such"), "There is no aeroplane 'no-such'. There is"),
        ((7, "hallfinch-46", 3), "faults is 3; allowed is 1 or 2"),
        ((7, "hallfinch-46", True), "allowed is 1 or 2"),
        ((True,), "allowed is a whole number"),
        ((7.5,), "allowed is a whole number"),
        (("",), "allowed is a whole number"),
        (("x" * 41,), "allowed is a whole number"),
    ],
)
def test_a_case_that_cannot_be_is_refused(work: Path, given: Any, words: str) -> None:
    with pytest.raises(Refused) as told:
        lesson.case(*given)
    assert words in str(told.value)


def test_what_a_case_has_not_is_said_with_what_it_has(case: Case) -> None:
    with pytest.raises(AttributeError, match="a case has no undo; it has fly, change"):
        case.undo()  # type: ignore[attr-defined]
    assert not hasattr(case, "__dict__")


def test_a_surprise_in_a_notebook_is_one_plain_sentence(case: Case) -> None:
    with pytest.raises(Refused) as told:
        case.fly(TURNS)
    assert ".." not in mishap.words(told.value)


def test_a_hall_that_does_not_answer_leaves_no_trace(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    def lost(_: Request) -> dict[str, Any]:
        raise Refused(referee.LOST)

    monkeypatch.setattr(module._hall, "ask", lost)
    with pytest.raises(Refused, match="nothing is logged"):
        case.fly(TURNS, *FIRST)
    assert case.log.entries == ()


def test_a_film_that_is_gone_is_said(case: Case) -> None:
    seen = case.fly(TURNS, *FIRST)
    assert seen.film is not None
    seen.film.unlink()
    with pytest.raises(Refused, match="no film"):
        case.flight(1).flight()
    assert "<img" not in case.flight(1)._repr_html_()


# --- going on later ------------------------------------------------------------------------


def played(case: Case) -> list[Seen]:
    """A whole notebook."""
    return [
        case.fly(TURNS, *FIRST),
        case.look("tail"),
        case.fly(None, *LATER),
        case.measure("balance point"),
        case.change(*LATER, shim_mm=0.4),
        case.repair("loose-tail", "longer", "guess"),
        case.say("cannot tell yet"),
    ]


def test_a_notebook_run_again_shows_the_same_and_costs_nothing(work: Path, hall: Here) -> None:
    first = played(lesson.case(7))
    asked, minutes = len(hall.asked), lesson.case(7).minutes
    again = lesson.case(7)
    assert "7 actions, 4 flights" in repr(again)
    assert "go_on()" in repr(again)
    second = played(again)
    assert [one.entry for one in second] == [one.entry for one in first]
    assert all(one.from_log and "From your log" in one.text for one in second)
    assert len(hall.asked) == asked
    assert again.minutes == minutes
    assert not again.fly(None, *LATER).from_log  # past the end it goes on


def test_go_on_does_the_same_once_more(work: Path) -> None:
    flown(lesson.case(7)).fly(None, *LATER)
    later = lesson.case(7)
    assert later.fly(None, *LATER).from_log
    assert not later.fly(None, *LATER).from_log
    later = lesson.case(7)
    later.go_on()
    assert not later.fly(None, *LATER).from_log
    assert len(later.log.flights) == 4


def test_the_same_actions_give_the_same_log_elsewhere(
    work: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = played(lesson.case(7))
    other = tmp_path / "other"
    other.mkdir()
    (other / "pupil.toml").write_text('number = 9\nclass_word = "otter"\n', "utf-8")
    monkeypatch.chdir(other)
    there = played(lesson.case("7", trainer()))
    assert [one.entry for one in there] == [one.entry for one in here]


def test_another_class_word_is_another_case_with_another_log(work: Path) -> None:
    first = flown(lesson.case(7))
    (work / "pupil.toml").write_text('number = 7\nclass_word = "heron"\n', "utf-8")
    other = lesson.case(7)
    assert other.name != first.name
    assert other.log.entries == ()


def test_a_line_cut_short_is_said_and_the_case_goes_on(work: Path) -> None:
    case = flown(lesson.case(7))
    path = work / "logs" / f"{case.name}.jsonl"
    path.write_bytes(path.read_bytes() + b'{"schema": 1, "number": 2, "act')
    later = lesson.case(7)
    assert "Line 2 is kept in the file but not used" in repr(later)
    later.go_on()
    assert later.fly(None, *LATER).entry.number == 2


def test_a_lost_entry_is_said(work: Path) -> None:
    case = flown(lesson.case(7))
    case.change(*LATER, shim_mm=0.4)
    path = work / "logs" / f"{case.name}.jsonl"
    path.write_bytes(path.read_bytes().split(b"\n")[1] + b"\n")
    with pytest.raises(Refused, match="entry 1 is lost"):
        lesson.case(7).fly(
            None,
            *LATER,
        )


def test_other_figures_of_the_aeroplane_are_noticed(work: Path) -> None:
    flown(lesson.case(7))
    assert lesson.case(7).notes == ()
    changed = trimmed(trainer())
    assert lesson.case(7, changed).notes == (OTHER_FIGURES,)


def trimmed(aeroplane: Any) -> Any:
    from trimkit.aeroplane import replace

    return replace(aeroplane, shim_mm=aeroplane.setting.shim_mm + 0.5)


def test_outside_a_work_folder_it_is_kept_for_the_session(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hall: Here
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(module, "_shelf", [])
    monkeypatch.setattr("tempfile.mkdtemp", lambda prefix: str(tmp_path / prefix))
    case = lesson.case(7)
    assert KEPT_NOWHERE in repr(case)
    flown(case)
    assert len(lesson.case(7).log.entries) == 1
    assert list(tmp_path.glob("*/*.jsonl"))


def test_while_marking_everything_comes_from_the_log(
    work: Path, hall: Here, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = played(lesson.case(7))
    asked = len(hall.asked)
    monkeypatch.setenv("TRIMKIT_MARKING", "1")
    monkeypatch.setenv("TRIMKIT_CLASS_WORD", "otter")
    marked = lesson.case(7)
    assert [one.entry for one in played(marked)] == [one.entry for one in first]
    assert marked.look("tail").from_log  # cells out of order are found as well
    for do in (lambda: marked.look("fin"), lambda: marked.fly(500, *LATER), marked.hint):
        with pytest.raises(Refused, match="While marking no"):
            do()
    assert len(hall.asked) == asked


def test_a_case_can_be_pickled_and_goes_on(case: Case) -> None:
    flown(case)
    again = pickle.loads(pickle.dumps(case))
    assert again.log == case.log
    assert again.fly(TURNS, *FIRST).from_log


def test_the_log_is_a_table_to_read(case: Case) -> None:
    assert "Nothing done yet" in case._repr_html_()
    flown(case).look("fin")
    number, done, expected, came = case.table()[0]
    assert (number, done, expected) == ("1", "Fly, 400 turns", ", ".join(FIRST))
    assert came.endswith("(6 min so far)")
    assert '<th scope="col"' in case._repr_html_()


def test_a_notebook_killed_in_the_middle_goes_on_as_if_nothing_had_been(
    work: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = """
    from trimkit import lesson
    case = lesson.case(7)
    case.fly(400, "no idea yet", "circles left", "guess")
    case.look("tail")
    print("two done", flush=True)
    while True:
        case.fly(None, "nose", "longer", "leaning")
    """
    kernel = subprocess.Popen(speaking(code), stdout=subprocess.PIPE, text=True, cwd=work)
    assert kernel.stdout is not None
    assert kernel.stdout.readline() == "two done\n"
    kernel.kill()
    kernel.wait()
    kernel.stdout.close()
    later = lesson.case(7)
    assert len(later.log.entries) >= 2
    resumed = played(later)
    other = tmp_path / "other"
    other.mkdir()
    (other / "pupil.toml").write_text('number = 7\nclass_word = "otter"\n', "utf-8")
    monkeypatch.chdir(other)
    whole = played(lesson.case(7))
    done = len(later.log.entries)
    if done == 7:  # killed before a third flight was written down
        assert [one.entry for one in resumed] == [one.entry for one in whole]
    assert [one.entry for one in resumed[:3]] == [one.entry for one in whole[:3]]


def test_the_log_holds_no_clock_time_and_no_name_of_a_fault_not_said(case: Case) -> None:
    flown(case).look("wing")
    text = next(places.work_folder().glob("logs/case-*.jsonl")).read_text("utf-8")  # type: ignore[union-attr]
    assert set(json.loads(text.splitlines()[0])["date"]) <= set("0123456789-")
    assert not [name for name in CATALOGUE if name in text]
