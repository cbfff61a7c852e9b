"""The library is built the same anywhere, goes on after a stop, and is refused when it is stale."""

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from trimkit import cli, faults
from trimkit.diagnosis import build, deviations, response, samples
from trimkit.diagnosis import library as libraries
from trimkit.diagnosis.library import StaleLibrary
from trimkit.flight import canon
from trimkit.settings import SETTINGS

FLIGHTS, BLOCK = 120, 80  # flights in all, and between two writes
LARGEST_BYTES = 400_000


@pytest.fixture(scope="module")
def planes():
    return tuple(deviations.design(one) for one in canon.demo_aeroplanes())


@pytest.fixture(scope="module")
def quick():
    """Flights are cut off after a second, the fit after a few steps, the canon is not flown."""
    drawn = samples.draw
    still = SimpleNamespace(
        figures=lambda: np.ones((3, 5)), demo_aeroplanes=canon.demo_aeroplanes, NAMES=canon.NAMES
    )

    def cut(planes, pair, seed):
        return tuple(
            replace(one, job=replace(one.job, longest_s=1.0)) for one in drawn(planes, pair, seed)
        )

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(samples, "draw", cut)
        patch.setattr(build, "canon", still)
        patch.setattr(build, "BLOCK", BLOCK // 2)
        patch.setattr(response, "FEWEST_STEPS", 30)
        patch.setattr(response, "MOST_STEPS", 30)
        yield


@pytest.fixture(scope="module")
def whole(quick):
    """One small library, built without a stop by the threads of this machine."""
    return build.build(FLIGHTS, seed=2)


def same(one, other):
    a, b = one.response.as_arrays(), other.response.as_arrays()
    return a.keys() == b.keys() and all(np.array_equal(a[name], b[name]) for name in a)


def test_pairs_are_drawn_from_the_seed_alone(planes):
    one, other = samples.draw(planes, 7, 1), samples.draw(planes, 7, 1)
    assert one == other
    assert one != samples.draw(planes, 7, 2)
    assert one[0].job.aeroplane != samples.draw(planes, 8, 1)[0].job.aeroplane


def test_the_draws_are_as_they_are_meant(planes):
    drawn = [one for pair in range(150) for one in samples.draw(planes, pair, 3)]
    counts = np.bincount([len(one.faults) for one in drawn], minlength=3) / len(drawn)
    assert counts == pytest.approx([0.1, 0.8, 0.1], abs=0.08)
    assert len({name for one in drawn for name in one.faults}) > 0.9 * len(faults.CATALOGUE)
    assert 0.2 < np.mean([one.repeat for one in drawn]) * 2 < 0.47
    assert min(one.ratio for one in drawn) > 0.7
    assert max(one.ratio for one in drawn) < 2.8
    moved = {name for one in drawn for name in one.change.amounts}
    assert moved == set(SETTINGS) - {"turns"}
    assert np.isfinite([one.deviations for one in drawn]).all()


def test_changes_are_often_cures(planes):
    before, after = [], []
    for pair in range(150):
        for one in samples.draw(planes, pair, 3):
            if one.faults and one.change.amounts:
                ill = sum(deviations.of_fault(planes[one.plane], *each)
                          for each in one.faults.items())  # fmt: skip
                before.append(np.linalg.norm(ill))
                after.append(np.linalg.norm(one.deviations))
    better = np.array(after) < 0.95 * np.array(before)
    assert len(better) > 50
    assert better.mean() > 0.3


def test_careful_building_misses_by_little(planes):
    plan = planes[0]
    built = [samples.scattered(plan.aeroplane, seed) for seed in range(60)]
    rows = np.array([plan.deviations(replace(plan.job(), aeroplane=one)) for one in built])
    assert 0.02 < rows.std(axis=0).max() < 0.3
    assert samples.scattered(plan.aeroplane, 3) == built[3]


def test_any_workers_give_the_same(whole):
    with ThreadPoolExecutor(3) as threads:
        shared = build.build(FLIGHTS, seed=2, executor=threads)
    assert same(whole, shared)
    assert whole.flights == FLIGHTS


class Stopped(Exception):  # noqa: N818
    """Somebody pulled the plug."""


def stop_after(flights):
    def stop(what, done, of_all):
        if what == "flights" and done > flights:
            raise Stopped

    return stop


def test_a_build_that_was_stopped_goes_on(whole, tmp_path):
    work = tmp_path / "work.jsonl"
    with pytest.raises(Stopped):
        build.build(FLIGHTS, seed=2, progress=stop_after(BLOCK), resume=work)
    with work.open("a", encoding="utf-8") as file:
        file.write('[[1, true, "cut sho')
    told = []
    again = build.build(FLIGHTS, seed=2, progress=lambda *one: told.append(one), resume=work)
    assert same(whole, again)
    assert min(done for what, done, _ in told if what == "flights") > BLOCK
    assert ("flights", FLIGHTS, FLIGHTS) in told
    lines = work.read_text("utf-8").splitlines()
    assert [len(json.loads(line)) for line in lines[2:]] == [BLOCK, FLIGHTS - BLOCK]


def test_a_working_file_of_another_build_is_refused(quick, tmp_path):
    work = tmp_path / "work.jsonl"
    with pytest.raises(Stopped):
        build.build(FLIGHTS, seed=2, progress=stop_after(0), resume=work)
    with pytest.raises(ValueError, match="belongs to another build"):
        build.build(FLIGHTS, seed=3, resume=work)


@pytest.mark.parametrize("flights", [0, 119, 2_000_000])
def test_a_library_of_no_size_is_refused(flights):
    with pytest.raises(ValueError, match="flights is"):
        build.build(flights)


def test_what_is_stored_is_read_again(library, tmp_path):
    path = tmp_path / "library.npz"
    library.save(path)
    again = libraries.load(path)
    assert same(library, again)
    assert (again.flights, again.seed, again.trial) == (
        library.flights, library.seed, library.trial,
    )  # fmt: skip
    assert libraries.fresh(path).flights == library.flights
    assert path.stat().st_size < LARGEST_BYTES
    assert path.stat().st_mode & 0o444 == 0o444


def test_a_stale_library_is_refused_with_the_command_that_mends_it(library, tmp_path):
    path = tmp_path / "library.npz"
    replace(library, canon=library.canon + 0.5).save(path)
    assert libraries.load(path).flights == library.flights
    with pytest.raises(StaleLibrary, match="Next: trimkit library build"):
        libraries.fresh(path)


def test_a_missing_or_broken_library_is_refused(library, tmp_path, monkeypatch):
    path = tmp_path / "library.npz"
    with pytest.raises(StaleLibrary, match=r"there is no library\.npz"):
        libraries.fresh(path)
    path.write_bytes(b"no library")
    with pytest.raises(StaleLibrary, match="Next: trimkit library build"):
        libraries.load(path)
    library.save(path)
    monkeypatch.setattr(deviations, "NAMES", deviations.NAMES[1:])
    with pytest.raises(StaleLibrary, match="another deviations"):
        libraries.load(path)


def test_the_canon_is_flown_once_in_a_run(library, tmp_path, monkeypatch):
    path = tmp_path / "library.npz"
    library.save(path)
    flown = []
    monkeypatch.setattr(libraries.canon, "agree", lambda stored: flown.append(1) or True)
    libraries.fresh(path)
    libraries.fresh(path)
    assert flown == [1]


def test_the_command_builds_and_clears_up(quick, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("trimkit.cli.library.ProcessPoolExecutor", ThreadPoolExecutor)
    output = tmp_path / "small.npz"
    status = cli.main(["library", "build", "--flights", str(FLIGHTS), "--output", str(output)])
    assert status == cli.DONE
    assert [one.name for one in tmp_path.iterdir()] == ["small.npz"]
    assert f"{FLIGHTS} flights" in capsys.readouterr().out
    assert libraries.load(output).seed == 1


def test_the_stored_library_is_fresh_small_and_good():
    stored = libraries.fresh()
    assert libraries.STORED.stat().st_size < LARGEST_BYTES
    assert stored.trial.aeroplanes >= 100
    assert stored.trial.first > 0.4
    assert stored.trial.among_three > 0.6  # .65 when it was built, two flights each
    assert abs(stored.trial.stated - stored.trial.first) < 0.15
