"""Faults and settings come down to the same list, they add up, and a right change cancels."""

import numpy as np
import pytest

from trimkit import faults, incidence, settings
from trimkit.diagnosis import deviations
from trimkit.diagnosis.deviations import DEVIATIONS, NAMES, of_change, of_fault
from trimkit.settings import SETTINGS, Change

CANCELS = 0.02  # of a usual size: a shim's angle is not quite in proportion to it


def where(row, name):
    return float(row[NAMES.index(name)])


def test_an_aeroplane_as_planned_has_no_deviations(trainer):
    assert np.all(trainer.deviations(trainer.job(777.0)) != 0.0) == np.False_
    assert np.allclose(trainer.deviations(trainer.job()), 0.0)


@pytest.mark.parametrize("name", faults.CATALOGUE)
def test_every_fault_deviates_by_about_one(trainer, name):
    row = of_fault(trainer, name)
    assert 0.5 < np.abs(row).max() < 9.0
    assert np.abs(row).max() == pytest.approx(np.linalg.norm(row), rel=0.4)  # it is mostly one


@pytest.mark.parametrize("name", faults.CATALOGUE)
def test_a_larger_fault_deviates_more(trainer, name):
    known = faults.fault(name)
    if known.low == known.high:
        assert name == "wing-back-to-front"
        return
    small, large = (of_fault(trainer, name, size) for size in (known.low, known.high))
    assert np.linalg.norm(large) > 1.3 * np.linalg.norm(small)
    assert np.argmax(np.abs(small)) == np.argmax(np.abs(large))


def test_every_deviation_is_reached_by_a_fault_or_a_setting(trainer):
    rows = [of_fault(trainer, name) for name in faults.CATALOGUE]
    rows += [of_change(trainer, Change({n: s.step})) for n, s in SETTINGS.items() if n != "turns"]
    reached = np.abs(np.array(rows)).max(axis=0) > 0.1
    assert [one.name for one, found in zip(DEVIATIONS, reached, strict=True) if not found] == []


def test_settings_deviate_only_where_they_act(trainer):
    row = of_change(trainer, Change({"fin_deg": 1.0}))
    assert where(row, "fin") == pytest.approx(1.0)
    assert np.count_nonzero(np.abs(row) > 1e-9) == 1
    assert np.allclose(of_change(trainer, Change({})), 0.0)


@pytest.mark.parametrize("fault", ["too-little-decalage", "bowed-boom"])
def test_the_right_shim_cancels_a_tail_that_is_wrong(trainer, fault):
    ill = of_fault(trainer, fault)
    socket = trainer.aeroplane.build.tail.socket_mm
    shim = incidence.shim_for_angle_mm(-where(ill, "decalage"), socket)
    cured = ill + of_change(trainer, Change({"shim_mm": shim}))
    assert np.abs(cured).max() < CANCELS


def test_sliding_the_wing_back_cancels_a_wing_that_slid_forward(trainer):
    cured = of_fault(trainer, "wing-too-far-forward", 8.0) + of_change(
        trainer, Change({"wing_station_mm": 8.0})
    )
    assert np.abs(cured).max() < CANCELS


def test_a_fault_and_a_change_add_up(trainer):
    change = Change({"shim_mm": 0.8, "fin_deg": -0.5, "wing_station_mm": -5.0})
    both = faults.afflict(trainer.job(), "too-little-decalage", 1.2)
    moved = settings.changed(both.aeroplane, change)
    together = trainer.deviations(deviations.replace(both, aeroplane=moved))
    apart = of_fault(trainer, "too-little-decalage", 1.2) + of_change(trainer, change)
    assert np.allclose(together, apart, atol=CANCELS)


def test_a_miscount_is_seen_but_a_thicker_loop_wound_to_its_share_is_none(trainer):
    assert where(of_fault(trainer, "under-wound", 0.3), "winding") < -1.5
    thick = of_fault(trainer, "loop-too-thick", 0.2)
    assert abs(where(thick, "winding")) < CANCELS
    assert where(thick, "section") == pytest.approx(np.log(1.2) / 0.2, rel=1e-6)


def test_turns_and_torque_are_each_others_inverse(trainer):
    assert trainer.torque_ratio(trainer.turns(2.0)) == pytest.approx(2.0, rel=1e-6)
    with pytest.raises(ValueError, match="torque"):
        trainer.turns(50.0)
