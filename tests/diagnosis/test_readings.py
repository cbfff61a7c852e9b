"""What an eye may say of a place, and what tools read."""

from __future__ import annotations

import numpy as np
import pytest

from tests.diagnosis.logs import log_of
from trimkit.diagnosis import causes, readings
from trimkit.diagnosis.deviations import Design
from trimkit.diagnosis.library import Library
from trimkit.diagnosis.readings import FALSE_ALARM, FOUND, SOMETHING
from trimkit.faults import CATALOGUE, PLACES
from trimkit.log import Log


@pytest.mark.parametrize("place", PLACES)
def test_what_an_eye_says_adds_up_to_the_reliabilities_of_a_look(place: str) -> None:
    for name, fault in CATALOGUE.items():
        chances = readings.sight_chances(place, name)
        assert chances.min() >= 0
        assert chances.sum() == pytest.approx(1)
        found = FOUND if fault.place == place else FALSE_ALARM
        assert 1 - chances[0] == pytest.approx(found)


def test_an_eye_says_what_its_chances_say() -> None:
    chance, said = np.random.default_rng(5), readings.sights("tail")
    drawn = [readings.sight("tail", ["bowed-boom"], chance) for _ in range(3000)]
    shares = np.array([drawn.count(one) for one in said]) / len(drawn)
    assert shares == pytest.approx(readings.sight_chances("tail", "bowed-boom"), abs=0.03)
    assert readings.sight("tail", [], np.random.default_rng(1)) == ""


def test_a_named_fault_leads_and_a_bare_yes_says_less(trainer: Design, library: Library) -> None:
    def after(named: str) -> float:
        log = log_of(("look", "tail", {"read": {"found": 1}, "named": named}))
        return causes.posterior(log, trainer.aeroplane, library)["loose-tail"]

    before = causes.posterior(Log(), trainer.aeroplane, library)["loose-tail"]
    assert after("loose-tail") > after("") > before > after(SOMETHING)
