"""The reference: its own way through a case, and the stored library behind the same doors."""

from __future__ import annotations

import dataclasses

import pytest

from tests.diagnosis.logs import entry
from tests.diagnosis.toy import NAMES, NOTHING, TRAINER, Toy
from tests.studies.halls import LibraryHall
from trimkit.diagnosis import causes, reference
from trimkit.diagnosis.deviations import Design
from trimkit.diagnosis.library import Library
from trimkit.diagnosis.marks import mark
from trimkit.diagnosis.reference import MOST_STEPS, Stored, entry_of, middle
from trimkit.faults import CATALOGUE
from trimkit.log import Log

TOY = Toy()


@pytest.mark.parametrize("fault", NAMES)
def test_the_reference_finds_cures_and_confirms(fault: str) -> None:
    log = reference.path(TRAINER, fault, TOY)
    assert len(log.entries) <= MOST_STEPS
    assert log.minutes == reference.minutes(TRAINER, fault, TOY)
    if fault == NOTHING:
        assert not reference.log_repairs(log)
    else:
        assert [one.action for one in log.entries[-2:]] == ["repair", "fly"]
        assert reference.log_repairs(log)[-1] == fault


def test_the_reference_is_the_same_each_time() -> None:
    assert reference.path(TRAINER, "loose-tail", TOY) == reference.path(
        TRAINER, "loose-tail", Toy()
    )


def test_a_first_flight_is_no_change() -> None:
    step = next(one for one in TOY.next_steps(Log(), TRAINER) if one.turns == 750)
    assert entry_of(dataclasses.replace(step, action="change"), Log()).action == "fly"
    with pytest.raises(ValueError, match="'dance'"):
        entry_of(dataclasses.replace(step, action="dance"), Log())


def test_the_middle_size_is_the_middle() -> None:
    for name, fault in CATALOGUE.items():
        assert causes.CAUSES[middle(name)].fault == name
        assert causes.CAUSES[middle(name)].size == pytest.approx(fault.middle)
    with pytest.raises(ValueError, match="no fault 'gremlins'"):
        middle("gremlins")


def test_what_is_expected_is_what_the_library_believes(trainer: Design, library: Library) -> None:
    """A flight as expected of a fault makes that fault likelier than it was."""
    stored = Stored(library)
    for fault in ("too-much-decalage", "left-panel-washed-out", "tired-motor"):
        made = entry(1, "fly", turns=1150)
        seen = stored.expected(Log(), trainer.aeroplane, made, fault)
        log = Log((dataclasses.replace(made, result=seen),))
        before = stored.posterior(Log(), trainer.aeroplane).probabilities[fault]
        after = stored.posterior(log, trainer.aeroplane).probabilities[fault]
        assert after > 2 * before
        assert 0 <= seen.features["turns_left"] <= 1150


def test_a_look_and_a_reading_as_expected(trainer: Design, library: Library) -> None:
    stored, plane = Stored(library), trainer.aeroplane
    look = entry(1, "look", "tail")
    assert stored.expected(Log(), plane, look, "loose-tail").readings == {"found": 1.0}
    assert stored.expected(Log(), plane, look, "fin-bent-left").readings == {"found": 0.0}
    ruler = entry(1, "measure", "decalage_deg")
    read = [
        stored.expected(Log(), plane, ruler, fault).readings["decalage_deg"]
        for fault in ("too-little-decalage", NOTHING, "too-much-decalage")
    ]
    assert read[0] < read[1] - 0.5 < read[1] + 0.5 < read[2]


def test_a_repair_takes_the_sign_away(trainer: Design, library: Library) -> None:
    stored, plane = Stored(library), trainer.aeroplane
    repair = entry(1, "repair", "loose-tail", turns=1150)
    well = stored.expected(Log(), plane, entry(1, "fly", turns=1150), NOTHING)
    assert stored.expected(Log(), plane, repair, "loose-tail").features == pytest.approx(
        well.features
    )
    log = Log((dataclasses.replace(repair, result=well),))
    look = entry(2, "look", "tail")
    assert stored.expected(log, plane, look, "loose-tail").readings == {"found": 0.0}


def test_a_log_is_marked_by_a_library(trainer: Design, library: Library) -> None:
    """Marks on a small library that is kept in memory, with the steps of the study's hall."""
    stored, fault, log = LibraryHall(library, trainer.aeroplane), "too-much-decalage", Log()
    for draft in (
        entry(1, "fly", turns=1150),
        entry(2, "repair", fault, turns=1150),
        entry(3, "fly", turns=1150),
    ):
        seen = stored.expected(log, trainer.aeroplane, draft, fault)
        log = Log((*log.entries, dataclasses.replace(draft, result=seen)))
    log = Log((*log.entries, entry(4, "say", fault)))
    found = mark(log, trainer.aeroplane, fault, stored)
    assert found["diagnosis"] > 0.9
    assert found["cure"] == 1
    assert found["one change"] == 1
    assert found == mark(log, trainer.aeroplane, fault, LibraryHall(library, trainer.aeroplane))


def test_steps_of_the_library_become_entries(trainer: Design, library: Library) -> None:
    """The stored reference's own first step, written down and foretold."""
    stored, plane = Stored(library), trainer.aeroplane
    best = stored.next_steps(Log(), plane)[0]
    made = entry_of(best, Log())
    seen = stored.expected(Log(), plane, made, "loose-tail")
    assert made.minutes == best.minutes
    assert seen.features or seen.readings


def test_the_hall_of_the_study_draws_the_same_again(trainer: Design, library: Library) -> None:
    hall = LibraryHall(library, trainer.aeroplane)
    made = entry(1, "fly", turns=1150)
    first, again, other = (hall.result(Log(), made, "loose-tail", seed) for seed in (1, 1, 2))
    assert first == again != other
    looks = [
        hall.result(Log(), entry(1, "look", "tail"), "loose-tail", seed).readings["found"]
        for seed in range(100)
    ]
    assert 0.65 < sum(looks) / 100 < 0.95, "a look finds a fault with .8"
