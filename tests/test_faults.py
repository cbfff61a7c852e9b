"""The catalogue of faults: whole, physical, and refused with reasons."""

from __future__ import annotations

import pickle

import pytest

from tests.flight.planes import NAMES, demo
from trimkit import balance, faults, incidence
from trimkit.faults import CATALOGUE, PLACES, afflict, apply
from trimkit.flight import Hall, Job, Launch
from trimkit.flight.model import check_possible

ALL = list(CATALOGUE)
ON_AEROPLANE = [name for name, fault in CATALOGUE.items() if fault.on_aeroplane]


def job(name: str = NAMES[0]) -> Job:
    return Job(aeroplane=demo(name), launch=Launch(turns=700.0), hall=Hall())


def test_there_are_enough_faults_and_every_place_has_one() -> None:
    assert len(CATALOGUE) >= 24
    assert {fault.place for fault in CATALOGUE.values()} == set(PLACES)


@pytest.mark.parametrize("name", ALL)
def test_every_fault_is_described(name: str) -> None:
    fault = CATALOGUE[name]
    assert fault.name == name
    assert fault.low <= fault.middle <= fault.high
    assert all((fault.title, fault.unit, fault.what, fault.shows, fault.cure))
    assert fault.minutes > 0
    assert fault.often > 0


@pytest.mark.parametrize("plane", NAMES)
@pytest.mark.parametrize("name", ALL)
def test_every_size_changes_the_flight_and_leaves_an_aeroplane_that_can_be_built(
    name: str, plane: str
) -> None:
    before = job(plane)
    for size in (CATALOGUE[name].low, CATALOGUE[name].high):
        after = afflict(before, name, size)
        assert after != before
        assert before == job(plane)
        check_possible(after.aeroplane)
        assert (after.aeroplane != before.aeroplane) is CATALOGUE[name].on_aeroplane


@pytest.mark.parametrize("name", ON_AEROPLANE)
def test_apply_is_the_aeroplane_of_afflict(name: str) -> None:
    assert apply(demo(NAMES[0]), name) == afflict(job(), name).aeroplane


def test_a_job_with_a_fault_travels_to_another_process() -> None:
    for name in ALL:
        found = afflict(job(), name)
        assert pickle.loads(pickle.dumps(found)) == found


def test_decalage_faults_change_the_decalage_by_their_size() -> None:
    trainer = demo(NAMES[0])
    before = incidence.decalage_deg(trainer)
    less, more = (apply(trainer, f"too-{way}-decalage", 1.3) for way in ("little", "much"))
    assert incidence.decalage_deg(less) == pytest.approx(before - 1.3)
    assert incidence.decalage_deg(more) == pytest.approx(before + 1.3)


def test_a_wing_too_far_back_makes_the_aeroplane_heavy_in_the_nose() -> None:
    trainer = demo(NAMES[0])
    before = balance.cg_fraction(trainer)
    assert balance.cg_fraction(apply(trainer, "wing-too-far-back", 10)) < before
    assert balance.cg_fraction(apply(trainer, "wing-too-far-forward", 10)) > before


def test_weight_is_added_where_it_does_not_move_the_balance() -> None:
    trainer = demo(NAMES[0])
    before, after = (balance.aeroplane_cg(one) for one in (trainer, apply(trainer, "overweight")))
    assert after.mass_g == pytest.approx(before.mass_g + CATALOGUE["overweight"].middle)
    assert after.station_mm == pytest.approx(before.station_mm, abs=1e-9)


def test_a_wing_turned_twice_is_as_it_was() -> None:
    trainer = demo(NAMES[0])
    once = apply(trainer, "wing-back-to-front")
    assert once.build.wing.incidence_deg == -trainer.build.wing.incidence_deg
    assert apply(once, "wing-back-to-front") == trainer


def test_unequal_blades_keep_their_mean_pitch() -> None:
    before = demo(NAMES[0]).setting.propeller
    after = apply(demo(NAMES[0]), "unequal-blades", 6).setting.propeller
    for was, one in zip(before.blade_angles_deg, after.blade_angles_deg, strict=True):
        assert one == pytest.approx(was - 3)
        assert one + after.second_blade_deg == pytest.approx(was + 3)


def test_another_loop_is_wound_to_the_same_share_of_its_turns() -> None:
    for name, size in (("loop-too-thick", 0.2), ("loop-too-thin", 0.2)):
        before, after = job(), afflict(job(), name, size)
        was = before.launch.turns / before.aeroplane.setting.motor.max_turns()
        now = after.launch.turns / after.aeroplane.setting.motor.max_turns()
        assert now == pytest.approx(was, abs=0.002)


def test_what_is_typed_wrong_is_answered_with_what_is_allowed() -> None:
    with pytest.raises(ValueError, match="did you mean loose-tail"):
        apply(demo(NAMES[0]), "loose tale")
    with pytest.raises(ValueError, match=r"size is 15 °; allowed is .* usual is 0.8 to 2.4"):
        apply(demo(NAMES[0]), "too-little-decalage", 15)
    with pytest.raises(ValueError, match=r"use faults\.afflict"):
        apply(demo(NAMES[0]), "cold-hall")


def test_what_can_hurt_somebody_carries_its_caution() -> None:
    for fault in CATALOGUE.values():
        if fault.place == "motor" and "wind" in fault.cure.lower():
            assert "Eyes" in fault.caution
        if any(word in fault.cure.lower() for word in ("glue", "steam")):
            assert fault.caution
    assert "shield" in faults.CATALOGUE["soft-stick"].caution
