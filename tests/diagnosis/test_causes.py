"""What was seen moves the belief the right way, and no further than it may."""

import math

import numpy as np
import pytest

from tests.diagnosis import conftest as small
from tests.diagnosis.logs import log_of
from trimkit import faults, observe
from trimkit.diagnosis import causes, deviations, response
from trimkit.diagnosis.causes import CAUSES, NAMES, NOTHING, posterior
from trimkit.diagnosis.deviations import of_change
from trimkit.diagnosis.readings import READINGS
from trimkit.faults import CATALOGUE
from trimkit.log import Log
from trimkit.settings import Change

LOW, MIDDLE, HIGH = 780.0, 1170.0, 1330.0


def features(plan, fault=NOTHING, size=None, turns=MIDDLE, change=None, off=0.0):
    """What the small library's world shows of a flight, each feature off by so many spreads."""
    ill = np.zeros(len(deviations.NAMES))
    if fault != NOTHING:
        ill = deviations.of_fault(plan, fault, size)
    moved = of_change(plan, Change(change or {}))
    ratio = np.array([plan.torque_ratio(turns)])
    rows = small.signs((ill + moved)[None, :], ratio)[0] + off * small.NOISE
    raw = dict(zip(response.FEATURES, response.from_scale(rows).tolist(), strict=True))
    on = raw["turns_left"] * turns
    raw["turns_left"] = on - raw["turns_per_s"] * raw["duration_s"]
    return raw


def flown(plan, *flights):
    """A log of flights of (fault, turns)."""
    drafts = [
        ("change" if number else "fly", "", {"seen": features(plan, fault, turns=turns),
                                             "turns": turns})
        for number, (fault, turns) in enumerate(flights)
    ]  # fmt: skip
    return log_of(*drafts)


def test_without_a_log_it_is_what_is_often_wrong(trainer, library):
    known = posterior(Log(), trainer.aeroplane, library)
    chances = known.probabilities
    assert sum(chances.values()) == pytest.approx(1.0)
    assert set(chances) == {*CATALOGUE, NOTHING}
    assert chances[NOTHING] == pytest.approx(causes.NO_FAULT)
    often = {name: chances[name] / CATALOGUE[name].often for name in CATALOGUE}
    assert max(often.values()) == pytest.approx(min(often.values()))
    assert known.signs() == ()


def test_every_fault_stands_in_five_sizes_inside_its_range():
    for name, one in CATALOGUE.items():
        sizes = [cause.size for cause in CAUSES if cause.fault == name]
        assert len(sizes) == (1 if one.low == one.high else 5)
        assert one.low <= min(sizes) <= max(sizes) <= one.high
    assert causes.prior().sum() == pytest.approx(1.0)


def test_flights_find_most_faults(trainer, library):
    ranks = {}
    for name in NAMES:
        known = posterior(flown(trainer, (name, LOW), (name, HIGH)), trainer.aeroplane, library)
        ranks[name] = list(known.probabilities).index(name)
    assert np.mean([rank == 0 for rank in ranks.values()]) > 0.6, ranks
    assert np.mean([rank < 3 for rank in ranks.values()]) > 0.85, ranks


def test_the_belief_is_in_the_right_size(trainer, library):
    known_fault = faults.fault("skewed-wing")
    seen = features(trainer, "skewed-wing", known_fault.high)
    known = posterior(
        log_of(("fly", "", {"seen": seen, "turns": MIDDLE})), trainer.aeroplane, library
    )
    sizes = known.sizes("skewed-wing")
    assert max(sizes, key=sizes.get) > known_fault.middle
    assert sum(sizes.values()) == pytest.approx(1.0)
    with pytest.raises(ValueError, match="there is no fault"):
        known.sizes("gremlins")


def test_a_flight_again_teaches_less_than_the_first(trainer, library):
    fault = "fin-bent-left"

    def odds(times):
        log = log_of(*[("fly", "", {"seen": features(trainer, fault, 1.2, off=0.3),
                                    "turns": MIDDLE})] * times)  # fmt: skip
        known = posterior(log, trainer.aeroplane, library)
        other = sum(p for name, p in known.probabilities.items() if name != fault)
        return math.log(known[fault] / other)

    start = math.log(
        posterior(Log(), trainer.aeroplane, library)[fault]
        / (1 - posterior(Log(), trainer.aeroplane, library)[fault])
    )
    first = odds(1) - start
    assert first > 0
    assert odds(2) - odds(1) < 0.6 * first
    assert odds(4) - start < 2 * first  # four times as much if they were taken one by one


def test_missing_features_are_left_out(trainer, library):
    seen = features(trainer, "loose-tail")
    few = {name: seen[name] for name in ("duration_s", "peak_height_m", "swing_deg")}
    whole, part = (
        posterior(log_of(("fly", "", {"seen": s, "turns": MIDDLE})), trainer.aeroplane, library)
        for s in (seen, few)
    )
    assert part.entropy_bits() > whole.entropy_bits()
    assert np.isfinite(part.seen).sum() == 3


def test_a_change_of_settings_is_taken_into_account(trainer, library):
    cure = {"shim_mm": -0.8}
    ill = ("fly", "", {"seen": features(trainer, "too-much-decalage", 1.3), "turns": MIDDLE})
    cured = features(trainer, "too-much-decalage", 1.3, change=cure)
    log = log_of(ill, ("change", "", {"seen": cured, "changes": cure, "turns": MIDDLE}))
    known = posterior(log, trainer.aeroplane, library)
    assert known.ranked(2)[0] in {"too-much-decalage", "wing-too-far-forward"}
    unsaid = log_of(ill, ("fly", "", {"seen": cured, "turns": MIDDLE}))
    assert (
        posterior(unsaid, trainer.aeroplane, library)["too-much-decalage"]
        < known["too-much-decalage"]
    )


def test_a_look_moves_only_the_faults_of_its_place(trainer, library):
    found = posterior(log_of(("look", "fin", {"read": {"found": 1}})), trainer.aeroplane, library)
    none = posterior(log_of(("look", "fin", {"read": {"found": 0}})), trainer.aeroplane, library)
    before = posterior(Log(), trainer.aeroplane, library)
    name, other = "fin-bent-left", "loose-tail"

    def ratio(known):
        return known[name] / known[other] / (before[name] / before[other])

    assert ratio(found) == pytest.approx(0.8 / 0.05)
    assert ratio(none) == pytest.approx(0.2 / 0.95)
    assert found[other] / found[NOTHING] == pytest.approx(before[other] / before[NOTHING])


def test_a_ruler_finds_the_tail(trainer, library):
    ill = faults.afflict(trainer.job(), "too-little-decalage", 1.6)
    value = READINGS["decalage_deg"].of(ill)
    log = log_of(("measure", "decalage_deg", {"read": {"decalage_deg": value}}))
    known = posterior(log, trainer.aeroplane, library)
    assert known.ranked(1) == ("too-little-decalage",)
    assert {"too-little-decalage", "bowed-boom"} == set(known.ranked(2))


def test_a_thermometer_finds_the_cold(trainer, library):
    log = log_of(("measure", "temperature_c", {"read": {"temperature_c": 10.0}}))
    known = posterior(log, trainer.aeroplane, library)
    assert known["cold-hall"] > 0.99


def test_reading_errors_are_as_fixed(trainer):
    job = trainer.job()
    for name, error in (("balance_point_mm", 1.0), ("temperature_c", 0.5), ("mass_g", 0.05)):
        reads = np.array([READINGS[name].read(job, seed) for seed in range(400)])
        assert reads.std() == pytest.approx(error, rel=0.15)
        assert reads.mean() == pytest.approx(READINGS[name].of(job), abs=0.2 * error)
    true = READINGS["torque_mNm"].of(job)
    reads = np.array([READINGS["torque_mNm"].read(job, seed) for seed in range(400)])
    assert reads.std() / true == pytest.approx(0.05, rel=0.15)


def test_after_a_repair_the_fault_is_gone(trainer, library):
    ill = ("fly", "", {"seen": features(trainer, "loose-tail"), "turns": MIDDLE})
    well = ("repair", "loose-tail", {"seen": features(trainer), "turns": MIDDLE})
    still = ("repair", "loose-tail", {"seen": features(trainer, "loose-tail"), "turns": MIDDLE})
    cured = posterior(log_of(ill, well), trainer.aeroplane, library)
    vain = posterior(log_of(ill, still), trainer.aeroplane, library)
    assert cured.ranked(1) == ("loose-tail",)
    assert vain["loose-tail"] < cured["loose-tail"]


def test_signs_speak_for_the_first_against_the_second(trainer, library):
    known = posterior(flown(trainer, ("loose-tail", MIDDLE)), trainer.aeroplane, library)
    first, second = known.ranked(2)
    signs = known.signs(3)
    assert 1 <= len(signs) <= 3
    assert all((one.fault, one.other) == (first, second) for one in signs)
    assert [one.times for one in signs] == sorted((one.times for one in signs), reverse=True)
    assert f"likelier under {CATALOGUE[first].title} than under" in str(signs[0])
    assert CATALOGUE[first].title in known.words()


@pytest.mark.parametrize("name", observe.NAMES)
def test_every_feature_can_be_said(name):
    up, down = (causes.feature_words(name, value) for value in (12.0, -12.0))
    assert "12" in up
    assert up != down
    assert not up.endswith(".")


def test_faults_that_only_decalage_tells_are_one_class(trainer, library):
    classes = posterior(Log(), trainer.aeroplane, library).classes()
    assert sorted(name for one in classes for name in one) == sorted(NAMES)
    of = {name: one for one in classes for name in one}
    assert of["too-little-decalage"] == of["bowed-boom"]
    assert of["too-little-decalage"] != of["too-much-decalage"]
    assert of[NOTHING] == {NOTHING}
    assert all(len({CATALOGUE[n].place for n in one - {NOTHING}}) <= 1 for one in classes)
