"""Invented aeroplanes: their ranges, their trim and that they are the same for everyone."""

from __future__ import annotations

import contextlib
import multiprocessing
import pickle
import re
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache

import numpy as np
import pytest

from trimkit import balance, fleet, incidence
from trimkit.aeroplane import Aeroplane
from trimkit.fleet import RANGES, Rejected
from trimkit.flight import fly, turns_for

MEMBERS = range(8)
MOST_SEEDS = 14  # eight of these fly, or far too many are rejected


@lru_cache
def sample() -> tuple[Aeroplane, ...]:
    """The first eight that fly."""
    found: list[Aeroplane] = []
    for seed in range(MOST_SEEDS):
        with contextlib.suppress(Rejected):
            found.append(fleet.draw(seed))
        if len(found) == len(MEMBERS):
            break
    return tuple(found)


def drawn(member: int) -> Aeroplane:
    return sample()[member]


def figures(aeroplane: Aeroplane) -> dict[str, float]:
    """What a bench measures of everything that has a range."""
    build, setting = aeroplane.build, aeroplane.setting
    wing, tail = build.wing, build.tail
    whole = balance.aeroplane_cg(aeroplane).mass_g
    return {
        "span_mm": wing.span_mm,
        "chord_mm": wing.root_chord_mm,
        "taper": wing.tip_chord_mm / wing.root_chord_mm,
        "camber_percent": wing.camber_percent,
        "dihedral_deg": wing.dihedral_deg,
        "wing_height_mm": wing.height_mm,
        "wing_incidence_deg": wing.incidence_deg,
        "airframe_g": whole - setting.motor.mass_g,
        "motor_g": setting.motor.mass_g,
        "strip_mm": setting.motor.strip_width_mm,
        "loop_mm": setting.motor.loop_mm,
        "tail_percent": 100 * tail.area_mm2 / wing.area_mm2,
        "tail_aspect_ratio": tail.aspect_ratio,
        "tail_camber_percent": tail.camber_percent,
        "socket_mm": tail.socket_mm,
        "fin_percent": 100 * build.fin.area_mm2 / wing.area_mm2,
        "propeller_mm": setting.propeller.diameter_mm,
        "pitch_ratio": setting.propeller.pitch_ratio,
        "cg_percent": 100 * balance.cg_fraction(aeroplane),
        "wing_offset_percent": -100 * setting.wing_offset_mm / wing.span_mm,
        "wash_in_mm": incidence.wash_in_mm(setting.left_wash_in_deg, wing.tip_chord_mm),
        "tail_tilt_deg": setting.tail_tilt_deg,
        "side_thrust_deg": setting.side_thrust_deg,
        "down_thrust_deg": setting.down_thrust_deg,
        "fin_deg": setting.fin_deg,
    }


@pytest.mark.parametrize("member", MEMBERS)
def test_what_is_drawn_lies_in_its_range(member: int) -> None:
    found = figures(drawn(member))
    outside = {name: value for name, value in found.items() if not RANGES[name].holds(value)}
    assert outside == {}
    assert balance.aeroplane_cg(drawn(member)).mass_g <= 15.0 + 1e-9
    assert balance.static_margin(drawn(member)) > 0


def test_the_ranges_are_those_of_common_practice() -> None:
    # common practice, no source
    stated = {
        "span_mm": (300, 500), "chord_mm": (80, 130), "dihedral_deg": (5, 15),
        "motor_g": (0.5, 3), "strip_mm": (0.8, 3.2), "loop_mm": (150, 500),
        "tail_percent": (20, 40), "cg_percent": (40, 100), "propeller_mm": (120, 300),
        "pitch_ratio": (1.2, 2.2), "wash_in_mm": (1, 6), "tail_tilt_deg": (2, 12),
        "side_thrust_deg": (0, 5), "down_thrust_deg": (0, 3),
    }  # fmt: skip
    assert {name: (RANGES[name].low, RANGES[name].high) for name in stated} == stated


def test_ranges_say_what_they_are() -> None:
    for name, given in RANGES.items():
        assert given.low < given.high, name
        assert given.meaning, name
        assert not given.meaning.endswith("."), name
        assert given.holds(given.held(1e9))
        assert given.holds(given.held(-1e9))
        assert not given.holds(given.high + 0.01)


def test_the_fleet_is_spread_out() -> None:
    found = [figures(drawn(member)) for member in MEMBERS]
    for name in ("span_mm", "dihedral_deg", "tail_percent", "pitch_ratio", "tail_tilt_deg"):
        values = [row[name] for row in found]
        assert max(values) - min(values) > 0.4 * (RANGES[name].high - RANGES[name].low), name


@pytest.mark.parametrize("member", MEMBERS)
def test_it_climbs_in_a_calm_left_circle(member: int) -> None:
    flight = fly(drawn(member), turns_for(drawn(member), 2.0), longest_s=30.0)
    later = flight.time_s > 8
    turned = np.radians(flight.heading_deg[later][-1] - flight.heading_deg[later][0])
    rate = turned / (flight.time_s[-1] - 8)
    assert flight.duration_s >= 25
    assert flight.peak_height_m > 1.7 + 0.5
    assert rate < 0
    assert 2.5 <= float(flight.speed_m_s[later].mean()) / -rate <= 8.1
    assert flight.pitch_deg[later].std() < 6
    assert not [event for event in flight.events if event.what.startswith("hit")]


@pytest.mark.parametrize("member", MEMBERS)
def test_level_torque_comes_at_the_middle_of_the_winding(member: int) -> None:
    level = turns_for(drawn(member), 1.0)
    assert 0.39 <= level / drawn(member).setting.motor.max_turns(20.0) <= 0.65


def test_a_seed_gives_the_same_aeroplane_again() -> None:
    own = int(drawn(0).name.removeprefix("Drawn "))
    assert fleet.draw(own) == drawn(0)
    assert drawn(0) != drawn(1)


def test_a_rejected_seed_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fleet, "LEAST_CLIMB_M", 100.0)  # nothing indoors climbs so high
    with pytest.raises(Rejected) as caught:
        fleet.draw(int(drawn(0).name.removeprefix("Drawn ")))
    assert isinstance(caught.value, ValueError)
    assert caught.value.reason == "does not climb"
    assert re.fullmatch(r"does not climb: .*\d m above the launch", str(caught.value))
    again = pickle.loads(pickle.dumps(caught.value))
    assert (again.reason, str(again)) == (caught.value.reason, str(caught.value))


def test_a_fleet_is_the_same_on_any_number_of_workers() -> None:
    seen: list[tuple[int, int]] = []
    alone = fleet.draw_many(2, 1, progress=lambda done, whole: seen.append((done, whole)))
    with ProcessPoolExecutor(2, multiprocessing.get_context("spawn")) as workers:
        together = fleet.draw_many(2, 1, executor=workers)
    assert alone == together
    assert seen == [(1, 2), (2, 2)]
    assert len(alone.aeroplanes) + len(alone.rejected) == 2


def test_a_fleet_keeps_reasons_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    first, second, third = fleet.seeds_of(3, 7)

    def some(seed: int) -> Aeroplane:
        if seed == first:
            return drawn(0)
        raise Rejected("does not climb", f"seed {seed}")

    monkeypatch.setattr(fleet, "draw", some)
    found = fleet.draw_many(3, 7)
    assert found.aeroplanes == (drawn(0),)
    assert [seed for seed, _ in found.rejected] == [second, third]
    assert found.rejected[0][1] == f"does not climb: seed {second}"
    assert found.reasons == {"does not climb": 2}
    assert found.rejection_rate == pytest.approx(2 / 3)


def test_a_larger_fleet_begins_with_the_smaller_one() -> None:
    assert fleet.seeds_of(10, 3)[:4] == fleet.seeds_of(4, 3)
    assert len(set(fleet.seeds_of(1000, 3))) == 1000
    with pytest.raises(ValueError, match="count whole"):
        fleet.seeds_of(0, 3)


def test_masses_add_up_and_the_rubber_is_one_loop() -> None:
    aeroplane = drawn(0)
    assert aeroplane.setting.motor.strands == 2
    loading = balance.aeroplane_cg(aeroplane).mass_g / aeroplane.build.wing.area_mm2 * 1e6
    assert 0.9 * RANGES["loading_g_m2"].low < loading < 1.1 * RANGES["loading_g_m2"].high
