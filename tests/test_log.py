"""A log is only added to, loses nothing, and knows which flights may be compared."""

import copy
import dataclasses
import json
import os
import pickle
import re
import subprocess
import sys
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.aeroplanes import trainer
from trimkit.aeroplane import Setting, replace
from trimkit.log import (
    ACTIONS,
    CANNOT_TELL,
    CERTAINTY,
    Entry,
    Log,
    Result,
    append,
    confounded,
    differences,
    fingerprint,
    informative_pairs,
    pairs,
    read,
    repeats,
)
from trimkit.settings import SETTINGS, Change

DAY = "2026-03-14"


def entry(number=1, action="fly", **more):
    """An entry that may stand in a log."""
    if action in ("fly", "change", "repair"):
        more.setdefault("turns", 750)
    if action not in ("fly", "change"):
        more.setdefault("what", "tail joint")
    if action == "say":
        more.setdefault("certainty", "leaning")
    return Entry(number=number, action=action, date=DAY, **more)


def change(number, turns=750, **amounts):
    return entry(number, "change", turns=turns, changes=amounts)


FULL = entry(
    hypothesis="loose tail joint",
    prediction="it stalls again",
    certainty="fairly sure",
    result=Result({"time_s": 41.5, "stalls": 2}, "stalls twice, 1° left — fine", {"tip_mm": 1.5}),
    aeroplane_fingerprint="0123456789abcdef",
    minutes=6,
)
# Flights of a coach's exercise on fair comparison: the base; shim and wing back 5 mm; the shim
# alone; shim, wing and 100 turns more. Common practice, no source.
EXERCISE = Log(
    (
        entry(1),
        change(2, shim_mm=0.8, wing_station_mm=5),
        change(3, wing_station_mm=-5),
        change(4, 850, wing_station_mm=5),
    )
)


def filled(path, *entries):
    for one in entries:
        append(path, one)
    return path


@pytest.fixture
def path(tmp_path):
    return tmp_path / "cases" / "log.jsonl"


def test_what_was_added_is_read_back(path):
    entries = (
        FULL, entry(2, "look"), entry(3, "measure", result=Result(readings={"decalage_deg": 1.7})),
        change(4, 800, shim_mm=0.4), entry(5, "repair", turns=800), entry(6, "say"),
        entry(7, "say", what=CANNOT_TELL, certainty=""),
    )  # fmt: skip
    log = read(filled(path, *entries))
    assert log == Log(entries)
    assert {one.action for one in log.entries} == set(ACTIONS)
    assert [one.number for one in log.flights] == [1, 4, 5]
    assert log.minutes == 6
    assert log.next_number == 8
    assert log.entry(4).changes == {"shim_mm": 0.4}
    assert log.flight(3).what == "tail joint"


def test_no_file_is_an_empty_log(path):
    assert read(path) == Log()
    assert read(path).next_number == 1


def test_a_line_is_plain_json_with_a_schema_and_a_day_but_no_clock(path):
    (line,) = filled(path, FULL).read_text("utf-8").splitlines()
    plain = json.loads(line)
    assert plain["schema"] == 1
    assert plain["date"] == DAY
    assert plain.keys() == {"schema"} | {f.name for f in dataclasses.fields(Entry)}
    assert not re.search(r"\d\d:\d\d", line)
    assert "1° left" in line


def test_today_is_the_day_when_none_is_given():
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", Entry(number=1, action="fly", turns=0).date)


def test_adding_only_adds(path):
    lengths = []
    before = b""
    for number in range(1, 5):
        append(path, entry(number))
        now = path.read_bytes()
        assert now.startswith(before)
        before = now
        lengths.append(len(now))
    assert all(a < b for a, b in pairwise(lengths))


def test_one_write_and_it_reaches_the_disc(path, monkeypatch):
    calls = []
    write, fsync = os.write, os.fsync
    monkeypatch.setattr(os, "write", lambda f, raw: calls.append("write") or write(f, raw))
    monkeypatch.setattr(os, "fsync", lambda f: calls.append("fsync") or fsync(f))
    append(path, FULL)
    assert calls == ["write", "fsync"]


def test_a_full_disc_is_told_and_the_part_is_named(path, monkeypatch):
    append(path, entry(1))
    write = os.write
    with monkeypatch.context() as full:
        full.setattr(os, "write", lambda f, raw: write(f, raw[:40]))
        with pytest.raises(OSError, match="only part of entry 2"):
            append(path, entry(2))
    assert [line.number for line in read(path).bad_lines] == [2]
    append(path, entry(2))
    assert [one.number for one in read(path).entries] == [1, 2]


def test_a_line_cut_anywhere_is_named_and_kept_and_the_log_goes_on(path):
    whole = filled(path, entry(1), dataclasses.replace(FULL, number=2)).read_bytes()
    first = whole.index(b"\n") + 1
    for cut in range(first + 1, len(whole) - 1):
        torn = whole[first:cut]
        path.write_bytes(whole[:cut])
        log = read(path)
        assert log.entries == (entry(1),)
        (bad,) = log.bad_lines
        assert (bad.number, bad.raw) == (2, torn)
        assert "cut short" in bad.words()
        assert "Line 2" in bad.words()
        assert path.read_bytes() == whole[:cut]  # reading leaves the file alone
    append(path, entry(2))
    log = read(path)
    assert [one.number for one in log.entries] == [1, 2]
    assert [(bad.number, bad.raw) for bad in log.bad_lines] == [(2, torn)]
    assert path.read_bytes().startswith(whole[:cut])


def test_a_whole_line_that_lost_only_its_end_of_line_counts(path):
    filled(path, entry(1), entry(2))
    path.write_bytes(path.read_bytes()[:-1])
    assert read(path) == Log((entry(1), entry(2)))
    append(path, entry(3))
    assert read(path) == Log((entry(1), entry(2), entry(3)))


def test_a_killed_writer_loses_nothing_that_it_reported(path):
    code = (
        "import sys, pathlib; from trimkit.log import Entry, append\n"
        "for n in range(1, 10**6):\n"
        "    append(pathlib.Path(sys.argv[1]), Entry(number=n, action='fly', turns=750))\n"
        "    print(n, flush=True)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE, text=True
    ) as writer:
        told = [writer.stdout.readline() for _ in range(20)]
        writer.kill()
        told += writer.stdout.readlines()
    reported = max(int(line) for line in told if line.endswith("\n"))
    log = read(path)
    assert len(log.entries) >= reported >= 20
    append(path, Entry(number=log.next_number, action="fly", turns=750))
    assert len(read(path).entries) == len(log.entries) + 1


def good_line(**changes):
    plain = {
        "schema": 1, "number": 2, "action": "fly", "what": "", "hypothesis": "", "prediction": "",
        "certainty": "", "result": {"features": {}, "words": "", "readings": {}},
        "aeroplane_fingerprint": "", "changes": {}, "turns": 750, "minutes": 6, "date": DAY,
    }  # fmt: skip
    return json.dumps({**plain, **changes}).encode()


def test_the_good_line_of_these_tests_is_good(path):
    filled(path, entry(1))
    path.write_bytes(path.read_bytes() + b"\xef\xbb\xbf" + good_line() + b"\r\n\r\n")
    assert [one.number for one in read(path).entries] == [1, 2]
    assert read(path).bad_lines == ()


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (b"\xff\xfe", "no JSON"),
        (b"[" * 100_000, "no JSON"),
        (b"[1, 2]", "no JSON object"),
        (b"{}", "schema is None"),
        (good_line(schema=2), "schema is 2"),
        (good_line(schema="1"), "schema is 1"),
        (good_line(number=1), "does not come after 1"),
        (good_line(number=2.0), "whole number"),
        (good_line(number=True), "whole number"),
        (good_line(number=0), "from 1 up"),
        (good_line(action="nap"), "allowed is fly"),
        (good_line(action={}), "allowed is fly"),
        (good_line(certainty="certain"), "would bet my motor"),
        (good_line(certainty=["guess"]), "allowed is text"),
        (good_line(what="tail"), "allowed is nothing"),
        (good_line(action="look", turns=None), "a place"),
        (good_line(action="look", what="tail"), "it is no flight"),
        (good_line(turns=None), "turns of the flight"),
        (good_line(turns=-1), "0 to 6000"),
        (good_line(turns=10**400), "too large"),
        (good_line(turns=float("nan")), "turns is nan"),
        (good_line(minutes=601), "0 to 600"),
        (good_line(minutes=False), "minutes is False"),
        (good_line(changes={"shim_mm": 1}), 'is the action "change"'),
        (good_line(action="change", changes={"turns": 50}), "turns stand in turns"),
        (good_line(action="change", changes={"weight": 1}), "allowed is shim_mm"),
        (good_line(action="change", changes={"shim_mm": 0}), "a real change"),
        (good_line(action="change", changes=[1]), "numbers by name"),
        (good_line(date="2026-03-14T10:00"), "no clock time"),
        (good_line(date="20260314"), "no clock time"),
        (good_line(date=5), "no clock time"),
        (good_line(hypothesis="x" * 401), "400 letters"),
        (good_line(hypothesis="\ud800"), "half a letter"),
        (good_line(result=[]), "result is no table"),
        (good_line(result={"feature": {}}), "feature"),
        (good_line(result={"features": {"time_s": "long"}}), "features: time_s"),
        (good_line(result={"features": {"time_s": float("inf")}}), "features: time_s"),
        (good_line(mood="fine"), "mood is unknown"),
        (good_line(action="say", what="warp", turns=None), "said without certainty"),
        (json.dumps({"schema": 1, "number": 2}).encode(), "action is missing"),
    ],
)
def test_every_bad_line_is_named_and_kept(path, line, told):
    filled(path, entry(1))
    path.write_bytes(path.read_bytes() + line + b"\n" + good_line(number=3) + b"\n")
    log = read(path)
    assert [one.number for one in log.entries] == [1, 3]
    (bad,) = log.bad_lines
    assert (bad.number, bad.raw) == (2, line)
    assert told in bad.words()
    assert len(bad.words()) < 500


@settings(deadline=None, max_examples=200)
@given(st.binary(max_size=200))
def test_no_bytes_upset_the_reader(tmp_path_factory, raw):
    path = tmp_path_factory.mktemp("log") / "log.jsonl"
    path.write_bytes(raw)
    log = read(path)
    assert log.entries == ()
    lines = [line for line in raw.split(b"\n") if line.strip()]
    assert [bad.raw for bad in log.bad_lines] == lines


def test_a_log_of_a_newer_trimkit_is_not_added_to(path):
    filled(path, entry(1))
    path.write_bytes(path.read_bytes() + good_line(schema=2) + b"\n")
    before = path.read_bytes()
    with pytest.raises(ValueError, match="newer trimkit"):
        append(path, entry(2))
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("second", "told"),
    [
        (entry(1), "goes on with 2"),
        (entry(3), "goes on with 2"),
        (entry(2, turns=800), 'is the action "change"'),
        (entry(2, "change"), 'is the action "fly"'),
    ],
)
def test_what_does_not_follow_is_refused_and_nothing_written(path, second, told):
    before = filled(path, entry(1)).read_bytes()
    with pytest.raises(ValueError, match=told):
        append(path, second)
    assert path.read_bytes() == before


def test_a_change_of_turns_alone_is_a_change(path):
    log = read(filled(path, entry(1), entry(2, "look"), change(3, 850), entry(4, turns=850)))
    assert differences(log, 1, 2).amounts == {"turns": 100}
    assert differences(log, 2, 3).names == ()


def test_nothing_in_an_entry_can_be_changed():
    with pytest.raises(TypeError):
        change(1, shim_mm=1).changes["shim_mm"] = 2
    with pytest.raises(TypeError):
        FULL.result.features["time_s"] = 2
    given_mapping = {"shim_mm": 1.0}
    one = Entry(number=1, action="change", turns=1, changes=given_mapping)
    given_mapping["shim_mm"] = 9
    assert one.changes == {"shim_mm": 1}
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.number = 2


def test_a_log_travels_to_another_process():
    log = Log((FULL, change(2, shim_mm=1)))
    assert pickle.loads(pickle.dumps(log)) == log
    assert copy.deepcopy(log) == log


def test_entries_of_a_log_rise():
    with pytest.raises(ValueError, match="given twice"):
        Log((entry(1), entry(1)))


def test_an_unknown_entry_or_flight_is_refused():
    with pytest.raises(ValueError, match="entries are 1, 2, 3, 4"):
        EXERCISE.entry(9)
    for number in (0, 5):
        with pytest.raises(ValueError, match="the log has 4"):
            EXERCISE.flight(number)


def test_what_is_in_force_adds_up():
    log = Log(
        (
            change(1, shim_mm=0.8),
            entry(2, "look"),
            change(3, 900, shim_mm=-0.4, fin_deg=1),
            entry(4, "repair", what="loose tail", turns=900),
            change(5, 900, shim_mm=-0.4),
        )
    )
    assert log.in_force(2).changes == {"shim_mm": 0.8}
    assert log.in_force(2).turns == 750
    assert log.in_force(2).repairs == ()
    assert log.in_force(4).changes == {"shim_mm": 0.4, "fin_deg": 1}
    assert log.in_force(4).repairs == ("loose tail",)
    assert log.in_force(5).changes == {"fin_deg": 1}  # the shim is back where it was
    assert Log((entry(1, "look"),)).in_force(1).turns is None


@pytest.mark.parametrize(
    ("a", "b", "names"),
    [
        (1, 3, {"shim_mm": 0.8}),
        (2, 3, {"wing_station_mm": -5}),
        (2, 4, {"turns": 100}),
        (1, 2, {"shim_mm": 0.8, "wing_station_mm": 5}),
        (1, 4, {"shim_mm": 0.8, "wing_station_mm": 5, "turns": 100}),
        (3, 4, {"wing_station_mm": 5, "turns": 100}),
    ],
)
def test_differences_of_the_exercise(a, b, names):
    found = differences(EXERCISE, a, b)
    assert found.amounts == names
    assert found.alone == (next(iter(names)) if len(names) == 1 else "")
    back = differences(EXERCISE, b, a)
    assert back.amounts == {name: -amount for name, amount in names.items()}


def test_the_exercise_has_three_fair_comparisons():
    fair = {(p.first, p.second): p.difference.alone for p in informative_pairs(EXERCISE)}
    assert fair == {(1, 3): "shim_mm", (2, 3): "wing_station_mm", (2, 4): "turns"}
    assert len(pairs(EXERCISE)) == 6
    assert repeats(EXERCISE) == ()
    assert [(p.first, p.second) for p in confounded(EXERCISE)] == [(1, 2), (3, 4)]


def test_a_difference_can_be_said_as_a_change():
    assert Change(differences(EXERCISE, 1, 4).amounts).words() == (
        "lift the tail's trailing edge by 0.8 mm; slide the wing back by 5 mm; "
        "more turns by 100 turns"
    )


def test_the_same_flight_twice_is_a_repeat_whatever_was_looked_at_between():
    log = Log((entry(1), entry(2, "look"), entry(3), change(4, fin_deg=1)))
    assert [(p.first, p.second) for p in repeats(log)] == [(1, 2)]
    assert [(p.first, p.second) for p in informative_pairs(log)] == [(1, 3), (2, 3)]


def test_a_repair_is_a_difference_too():
    log = Log((entry(1), entry(2, "repair", what="loose tail", turns=750), change(3, fin_deg=1)))
    assert differences(log, 1, 2).alone == "loose tail"
    assert differences(log, 1, 3).names == ("fin_deg", "loose tail")
    assert differences(log, 1, 3).alone == ""
    assert confounded(log) == ()
    both = Log((entry(1), entry(2, "repair", turns=900)))
    assert [p.difference.names for p in confounded(both)] == [("turns", "tail joint")]


def test_a_lost_entry_hides_what_was_changed(path):
    filled(path, entry(1), entry(2), change(3, shim_mm=0.8), entry(4), entry(5))
    lines = path.read_bytes().splitlines(keepends=True)
    lines[2] = b"#" * 30 + b"\n"
    path.write_bytes(b"".join(lines))
    log = read(path)
    assert [p.second for p in pairs(log)] == [2]
    with pytest.raises(ValueError, match="entry 3 is lost"):
        differences(log, 1, 3)


@given(st.lists(st.tuples(st.sampled_from(sorted(SETTINGS)), st.sampled_from([-1, 1, 0.1])),
                max_size=8))  # fmt: skip
def test_steps_back_and_forth_leave_no_trace(steps):
    entries, turns = [entry(1)], 750
    for name, step in steps + [(name, -step) for name, step in reversed(steps)]:
        turns += step if name == "turns" else 0
        changes = {} if name == "turns" else {name: step}
        entries.append(change(len(entries) + 1, turns, **changes))
    assert differences(Log(tuple(entries)), 1, len(entries)).names == ()


def test_a_fingerprint_is_the_same_on_every_machine_and_day():
    assert fingerprint(trainer()) == fingerprint(trainer())
    assert re.fullmatch("[0-9a-f]{16}", fingerprint(trainer()))
    code = "from tests.aeroplanes import trainer; from trimkit.log import fingerprint; "
    done = subprocess.run(
        [sys.executable, "-c", code + "print(fingerprint(trainer()))"],
        capture_output=True, text=True, check=True, env={**os.environ, "PYTHONHASHSEED": "7"},
        cwd=os.path.dirname(os.path.dirname(__file__)),
    )  # fmt: skip
    assert done.stdout.strip() == fingerprint(trainer())


def test_a_fingerprint_knows_figures_but_not_names_or_rounding():
    plane = trainer()
    assert fingerprint(dataclasses.replace(plane, name="other", note="x")) == fingerprint(plane)
    near = replace(plane, shim_mm=0.1 + 0.2 - 0.3, fin_deg=plane.setting.fin_deg + 1e-9)
    assert fingerprint(near) == fingerprint(plane)
    assert fingerprint(replace(plane, shim_mm=-0.0)) == fingerprint(plane)


@pytest.mark.parametrize(
    "name", [f.name for f in dataclasses.fields(Setting) if f.name not in ("motor", "propeller")]
)
def test_a_fingerprint_sees_every_setting(name):
    plane = trainer()
    moved = replace(plane, **{name: getattr(plane.setting, name) + 0.01})
    assert fingerprint(moved) != fingerprint(plane)


def test_a_fingerprint_sees_the_build_the_motor_and_the_propeller():
    plane = trainer()
    wing = dataclasses.replace(plane.build.wing, left_warp_deg=0.5)
    motor = dataclasses.replace(plane.setting.motor, freshness=0.9)
    propeller = dataclasses.replace(plane.setting.propeller, second_blade_deg=1.0)
    others = (
        dataclasses.replace(plane, build=dataclasses.replace(plane.build, wing=wing)),
        dataclasses.replace(
            plane, build=dataclasses.replace(plane.build, parts=plane.build.parts[:-1])
        ),
        replace(plane, motor=motor),
        replace(plane, propeller=propeller),
    )
    assert len({fingerprint(one) for one in (plane, *others)}) == 5


def test_the_words_of_certainty_rise():
    assert list(CERTAINTY.values()) == sorted(CERTAINTY.values())
