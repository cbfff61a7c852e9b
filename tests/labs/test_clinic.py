"""The clinic: taps do what the case does, and everybody can follow."""

from __future__ import annotations

import html
import importlib
import re
from pathlib import Path
from typing import Any

import pytest

from tests.test_case import Here
from trimkit import lesson
from trimkit.faults import CATALOGUE, PLACES
from trimkit.lesson.case import FAMILIES, OF_ITSELF, PREDICTIONS, Case
from trimkit.lesson.referee import TOOLS
from trimkit.log import CERTAINTY
from trimkit.settings import SETTINGS

clinic = importlib.import_module("trimkit.labs.clinic")
TURNS = 400


@pytest.fixture
def hall(monkeypatch: pytest.MonkeyPatch) -> Here:
    here = Here()
    monkeypatch.setattr(importlib.import_module("trimkit.lesson.case"), "_hall", here)
    return here


@pytest.fixture
def case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hall: Here) -> Case:
    (tmp_path / "pupil.toml").write_text("number = 7\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    return lesson.case(7)


@pytest.fixture
def form(case: Case) -> Any:
    made = clinic.Clinic(case)
    made.turns.value = TURNS
    return made


def said(form: Any) -> str:
    return html.unescape(re.sub("<[^>]+>", "\n", form.status.value)).strip()


def tap(form: Any, prediction: str = "circles left") -> None:
    form.hypothesis.value = "no idea yet"
    form.prediction.value = prediction
    form.certainty.value = "guess"


def fly(form: Any, prediction: str = "circles left") -> None:
    tap(form, prediction)
    form.fly.click()


def test_nothing_happens_until_it_is_asked_for(form: Any, hall: Here) -> None:
    assert hall.asked == []
    assert form.image.value == ""
    assert "one thing is wrong" in said(form)


def test_three_taps_come_before_a_flight(form: Any, hall: Here) -> None:
    form.fly.click()
    assert said(form) == ("Tap one for each first: What may be wrong? What will come? How sure?")
    assert hall.asked == []
    fly(form)
    assert "down after" in said(form)
    assert 'alt="' in form.image.value
    assert [form.hypothesis.value, form.prediction.value, form.certainty.value] == [None] * 3
    form.fly.click()  # a second press does nothing without new taps
    assert len(hall.asked) == 1


def test_a_first_flight_is_compared_with_none(form: Any) -> None:
    assert form.prediction.options == OF_ITSELF
    fly(form)
    assert form.prediction.options == PREDICTIONS
    assert form.prediction.value is None


def test_every_place_and_tool_has_a_button(form: Any, case: Case) -> None:
    assert list(form.looks) == list(PLACES)
    assert list(form.tools) == list(TOOLS)
    form.looks["wing"].click()
    assert "You look at wing" in said(form)
    for button in form.tools.values():
        button.click()
    assert len(case.log.entries) == 1 + len(TOOLS)


def test_a_setting_is_changed_by_its_step(form: Any, case: Case) -> None:
    fly(form)
    form.settings[0].value = "shim_mm"
    assert form.amounts[0].value == SETTINGS["shim_mm"].step
    fly(form, "longer")
    assert case.log.entries[-1].changes == {"shim_mm": SETTINGS["shim_mm"].step}
    assert form.settings[0].value == clinic.NOTHING
    form.turns.value = TURNS + 100
    fly(form, "longer")
    assert case.log.entries[-1].turns == TURNS + 100


def test_the_same_setting_twice_or_by_nothing_is_refused(form: Any, case: Case) -> None:
    form.settings[0].value = form.settings[1].value = "fin_deg"
    fly(form)
    assert "chosen twice" in said(form)
    form.settings[1].value = clinic.NOTHING
    form.amounts[0].value = 0.0
    fly(form)
    assert said(form) == "By how much shall the fin move?"
    assert case.log.entries == ()


def test_what_cannot_be_set_is_said(form: Any, case: Case) -> None:
    form.settings[0].value = "shim_mm"
    form.amounts[0].value = 40.0
    fly(form)
    assert "Tail shim would be 40 mm" in said(form)
    assert case.log.entries == ()


def test_a_repair_is_picked_by_place(form: Any, case: Case) -> None:
    place, fault, box = form.broken
    place.value = "fin"
    assert [name for _, name in fault.options] == ["fin-bent-left", "fin-bent-right"]
    assert CATALOGUE["fin-bent-left"].cure in html.unescape(box.children[1].value)
    form.prediction.value, form.certainty.value = "circles left", "guess"
    form.mend.click()
    assert case.log.entries[-1].what == "fin-bent-left"
    assert case.log.entries[-1].turns == TURNS


def test_a_diagnosis_and_cannot_tell_yet_can_be_said(form: Any, case: Case) -> None:
    form.tell.click()
    assert said(form) == "Tap one for each first: How sure?"
    form.faults[0][0].value = "stick"
    form.certainty.value = "leaning"
    form.tell.click()
    form.cannot_tell.click()
    assert [one.what for one in case.log.entries] == ["soft-stick", "cannot tell yet"]


def test_card_and_hint_are_at_hand(form: Any) -> None:
    form.card.click()
    assert "Card of" in said(form)
    form.hint.click()
    assert "Try first" in said(form)
    fly(form)
    form.hint.click()
    assert "Hint 1 of 3" in said(form)
    assert "7 min used" in form.used.value


def test_the_log_and_the_minutes_are_in_sight(form: Any) -> None:
    assert "Nothing done yet" in form.log.value
    form.looks["fin"].click()
    assert "<caption>The log so far</caption>" in form.log.value
    assert "2 min used, flights: 0" in form.used.value


def test_a_second_form_goes_on_where_the_log_ends(form: Any, case: Case) -> None:
    fly(form)
    later = clinic.Clinic(lesson.case(7))
    assert later.turns.value == TURNS
    assert later.prediction.options == PREDICTIONS
    fly(later, "longer")
    assert len(case.log.flights) == 2


def widgets(one: Any) -> list[Any]:
    found = [one]
    for child in getattr(one, "children", ()):
        found += widgets(child)
    return found


def test_every_control_has_a_name_and_no_undo_is_offered(form: Any) -> None:
    every = widgets(form.form)
    controls = [one for one in every if hasattr(one, "description") and hasattr(one, "tooltip")]
    named = [one for one in controls if not type(one).__name__.startswith("HTML")]
    assert len(named) > 30
    assert [one for one in named if not one.description] == []
    assert [one for one in named if "undo" in one.description.lower()] == []
    for row, count in ((form.hypothesis, FAMILIES), (form.certainty, CERTAINTY)):
        assert len(row.tooltips) == len(row.options) == len(count)
    assert [form.sections.get_title(n) for n in range(6)] == list(clinic.SECTIONS)
    assert 'role="status"' in form.status.value


def test_two_hidden_faults_have_two_lines(case: Case) -> None:
    form = clinic.Clinic(lesson.case("two", faults=2))
    assert len(form.faults) == 2
    form.faults[1][0].value = "scales"
    form.certainty.value = "guess"
    form.tell.click()
    assert "overweight" in form.log.value


@pytest.mark.parametrize("why", ["marking", "no widgets"])
def test_without_widgets_the_case_is_said(
    case: Case, monkeypatch: pytest.MonkeyPatch, why: str
) -> None:
    case.look("fin")
    if why == "marking":
        monkeypatch.setenv("TRIMKIT_MARKING", "1")
    else:
        monkeypatch.setattr("trimkit.labs.bench.find_spec", lambda _: None)
    shown: list[Any] = []
    monkeypatch.setattr(
        "trimkit.lesson.session.display", lambda what, **_: shown.append(what["text/plain"])
    )
    clinic.clinic(case)
    assert "The clinic" in shown[0]
    assert "Look (fin)" in shown[0]
    assert clinic.BY_CODE[0] in shown[1]


def test_with_widgets_the_form_is_shown(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[Any] = []
    monkeypatch.setattr(clinic, "display", shown.append)
    clinic.clinic(case)
    assert type(shown[0]).__name__ == "VBox"


@pytest.mark.parametrize("line", clinic.BY_CODE)
def test_what_can_be_done_in_code_is_said_as_it_is(case: Case, line: str) -> None:
    case.fly(TURNS, "nose", "dives", "guess")
    case.change("nose", "longer", "guess", turns=750)
    before = len(case.log.entries)
    eval(line.replace('750, "nose", "dives"', '750, "nose", "longer"'), {"case": case})
    assert len(case.log.entries) == before + 1
