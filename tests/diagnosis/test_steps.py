"""What to do next follows from what is believed, and is the same each time."""

import numpy as np
import pytest

from tests.diagnosis.logs import log_of
from tests.diagnosis.test_causes import HIGH, LOW, MIDDLE, features, flown
from trimkit.diagnosis import causes, samples, steps
from trimkit.diagnosis.readings import READINGS
from trimkit.diagnosis.steps import advise, next_steps
from trimkit.faults import PLACES
from trimkit.log import Log
from trimkit.settings import SETTINGS


@pytest.fixture(scope="module")
def torn(trainer, library):
    """Believed after one flight of a wing whose tail is loose."""
    return causes.posterior(flown(trainer, ("loose-tail", MIDDLE)), trainer.aeroplane, library)


@pytest.fixture(scope="module")
def choices(torn):
    return steps.ranked(torn)


def test_everything_that_can_be_done_is_weighed(choices, trainer):
    looks = {one.what for one in choices if one.action == "look"}
    measured = {one.what for one in choices if one.action == "measure"}
    moved = {name for one in choices for name in one.changes.amounts}
    powers = {one.turns for one in choices if one.turns and not one.changes.amounts}
    assert looks == set(PLACES)
    assert measured == set(READINGS)
    assert moved == set(SETTINGS) - {"turns"}
    assert len(powers) == 3
    assert sorted(powers) == pytest.approx([LOW, MIDDLE, HIGH], rel=0.02)
    assert [one.action for one in choices].count("fly") == 1


def test_the_best_for_its_minutes_comes_first(choices):
    rates = [one.bits_per_minute for one in choices]
    assert rates == pytest.approx(sorted(rates, reverse=True), abs=2e-6)
    assert all(one.bits >= 0 for one in choices)
    assert rates[0] > 20 * np.median(rates)  # most of what can be done teaches next to nothing


def test_no_step_teaches_more_than_there_is_to_know(choices, torn):
    assert max(one.bits for one in choices) <= torn.entropy_bits() + 0.05


def test_it_is_the_same_each_time(choices, trainer, library):
    log = flown(trainer, ("loose-tail", MIDDLE))
    assert next_steps(log, trainer.aeroplane, library) == choices


def test_a_look_teaches_what_its_reliabilities_allow(trainer, library):
    known = causes.posterior(Log(), trainer.aeroplane, library)
    look = next(one for one in steps.looks(known) if one.what == "hall")
    p = known["restless-air"]
    found = p * 0.8 + (1 - p) * 0.05

    def surprise(x):
        return -x * np.log2(x) - (1 - x) * np.log2(1 - x)

    right = surprise(found) - p * surprise(0.8) - (1 - p) * surprise(0.05)
    assert look.bits == pytest.approx(right, rel=1e-6)


def test_the_thermometer_is_worth_it_only_until_it_was_read(trainer, library):
    read = log_of(("measure", "temperature_c", {"read": {"temperature_c": 20.0}}))
    beliefs = (causes.posterior(log, trainer.aeroplane, library) for log in (Log(), read))
    one, other = (
        next(step.bits for step in steps.measurements(known) if step.what == "temperature_c")
        for known in beliefs
    )
    assert one > 0.05
    assert other < 0.1 * one


def test_other_turns_teach_more_than_the_same_again(torn):
    again = steps.flight_bits(torn, torn.setup)
    low = causes.Setup({}, frozenset(), samples.wound(torn.plan, 1.25))
    first = causes.posterior(Log(), torn.plan.aeroplane, _only(torn))
    assert again < steps.flight_bits(torn, low) + 0.02
    assert again < 0.5 * steps.flight_bits(first, first.setup)


def _only(known):
    from trimkit.diagnosis.library import Library, Trial

    return Library(known.fitted, 0, 0, np.zeros(1), Trial(0, 0.0, 0.0, 0.0))


def test_nothing_is_left_to_learn_when_it_is_certain(torn):
    weights = np.zeros(len(causes.CAUSES))
    weights[causes.rows_of("loose-tail")[2]] = 1.0
    sure = steps.replace(torn, weights=weights)
    assert all(one.bits < 1e-9 for one in steps.ranked(sure))


def test_steps_can_be_said(choices):
    for one in choices:
        words = one.words()
        assert words[0].isupper()
        assert "bits" in words
        assert words.endswith(".")


@pytest.mark.parametrize(
    ("fault", "size", "setting", "way"),
    [("fin-bent-left", 2.0, "fin_deg", -1), ("thrust-line-right", 3.0, "side_thrust_deg", 1)],
)
def test_it_moves_what_is_wrong_the_other_way(trainer, library, fault, size, setting, way):
    seen = [features(trainer, fault, size, turns) for turns in (LOW, MIDDLE, HIGH)]
    log = log_of(
        ("fly", "", {"seen": seen[0], "turns": LOW}),
        ("change", "", {"seen": seen[1], "turns": MIDDLE}),
        ("change", "", {"seen": seen[2], "turns": HIGH}),
    )
    told = advise(log, trainer.aeroplane, library)
    assert told.setting == setting
    assert np.sign(told.amount) == way
    assert abs(told.amount) <= SETTINGS[setting].usual
    assert told.uncertainty < SETTINGS[setting].usual
    assert 0.1 < told.nearer <= 1
    assert all(one.low <= one.value <= one.high for one in told.expected)
    said = SETTINGS[setting].more if way > 0 else SETTINGS[setting].less
    assert said in told.words().lower()
    assert "likely" in told.words()


def test_a_good_aeroplane_is_left_alone(trainer, library):
    seen = [features(trainer, turns=turns) for turns in (LOW, MIDDLE)]
    log = log_of(
        ("fly", "", {"seen": seen[0], "turns": LOW}),
        ("change", "", {"seen": seen[1], "turns": MIDDLE}),
        ("look", "launch", {"read": {"found": 0}}),
    )
    known = causes.posterior(log, trainer.aeroplane, library)
    sure = steps.replace(known, weights=np.eye(len(causes.CAUSES))[0])
    told = steps.advice(sure)
    assert told.setting == ""
    assert "Change nothing" in told.words()
    duration = next(one for one in told.expected if one.name == "duration_s")
    assert duration.low < seen[1]["duration_s"] < duration.high
