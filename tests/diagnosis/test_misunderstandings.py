"""Every wrong idea is contradicted by flights that are really flown, and found in logs."""

from __future__ import annotations

import pytest

from tests.diagnosis.logs import log_of
from trimkit.diagnosis.misunderstandings import IDEAS, Trial, found
from trimkit.diagnosis.readings import READINGS
from trimkit.flight import fly_many
from trimkit.flight.canon import demo_aeroplanes
from trimkit.log import CANNOT_TELL
from trimkit.observe import Observation, watch
from trimkit.settings import SETTINGS

TRAINER = demo_aeroplanes()[0]
DIVE = {"lowest_nose_deg": -25, "duration_s": 3, "start_climb_m_s": -0.4}
STALL = {"highest_nose_deg": 30, "first_drop_s": 4, "duration_s": 28, "turns_left": 900}
CIRCLE = {"duration_s": 90, "early_turn_deg_s": 30, "hits": 2}

# What a pupil with the idea leaves in a log; the same log without the slip shows nothing
SHOWN = {
    "more-turns-cure-a-dive": (
        ("fly", "", {"seen": DIVE, "turns": 750}),
        ("change", "", {"seen": DIVE, "turns": 1100}),
    ),
    "nose-weight-cures-every-stall": (
        ("fly", "", {"seen": STALL}),
        ("change", "", {"seen": CIRCLE, "changes": {"ballast_g": 0.2}}),
    ),
    "nose-weight-for-a-power-stall": (
        ("fly", "", {"seen": CIRCLE}),
        ("change", "", {"changes": {"ballast_g": 0.2}, "hypothesis": "thrust-line-up"}),
    ),
    "wing-forward-is-nose-heavy": (
        ("fly", "", {"seen": STALL}),
        ("change", "", {"seen": STALL, "changes": {"wing_station_mm": -5}}),
    ),
    "wing-back-for-a-dive": (
        ("fly", "", {"seen": DIVE}),
        ("change", "", {"seen": DIVE, "changes": {"wing_station_mm": 5}}),
    ),
    "circles-because-of-the-fin": (
        ("fly", "", {"seen": CIRCLE}),
        (
            "change",
            "",
            {"seen": CIRCLE, "changes": {"fin_deg": -1.5}, "prediction": "flies straight"},
        ),
    ),
    "fin-for-a-warp": (
        ("fly", "", {"seen": CIRCLE}),
        ("change", "", {"changes": {"fin_deg": -1}, "hypothesis": "left-panel-washed-out"}),
    ),
    "more-fin-is-steadier": (
        ("fly", "", {"seen": CIRCLE}),
        (
            "change",
            "",
            {"seen": {"duration_s": 7}, "changes": {"fin_deg": 1}, "prediction": "longer"},
        ),
    ),
    "shim-goes-under-what-is-low": (
        ("fly", "", {"seen": DIVE}),
        ("change", "", {"seen": DIVE, "changes": {"shim_mm": -0.4}}),
    ),
    "shim-up-for-a-stall": (
        ("fly", "", {"seen": STALL}),
        ("change", "", {"seen": STALL, "changes": {"shim_mm": 0.4}}),
    ),
    "two-changes-save-time": (
        ("fly", "", {"seen": CIRCLE}),
        ("change", "", {"seen": CIRCLE, "changes": {"fin_deg": 0.5, "shim_mm": 0.4}}),
    ),
    "balance-and-shim-together": (
        ("fly", "", {"seen": CIRCLE}),
        ("change", "", {"seen": CIRCLE, "changes": {"wing_station_mm": -5, "shim_mm": 0.4}}),
    ),
    "one-good-flight-proves-it": (
        ("fly", "", {"seen": DIVE}),
        ("change", "", {"seen": CIRCLE, "changes": {"shim_mm": 0.8}}),
        ("say", "too-little-decalage"),
    ),
    "ruler-is-exact": (
        ("measure", "decalage_deg", {"read": {"decalage_deg": 0.4}}),
        ("say", "too-little-decalage", {"certainty": "would bet my motor"}),
    ),
    "stall-means-the-motor-stopped": (
        ("fly", "", {"seen": STALL}),
        ("repair", "tired-motor", {"hypothesis": "tired-motor"}),
    ),
    "a-glide-shows-the-power-trim": (
        ("fly", "", {"seen": CIRCLE, "turns": 400}),
        ("say", "nothing"),
    ),
    "torque-rolls-it-with-the-propeller": (
        ("fly", "", {"seen": CIRCLE, "turns": 750}),
        ("change", "", {"seen": CIRCLE, "turns": 1157, "prediction": "circles right"}),
    ),
    "slow-is-about-to-fall": (
        ("fly", "", {"seen": CIRCLE}),
        (
            "change",
            "",
            {"seen": {"duration_s": 40}, "changes": {"shim_mm": -0.4}, "prediction": "longer"},
        ),
    ),
    "always-fly-to-the-ceiling": (
        ("fly", "", {"seen": CIRCLE, "turns": 1157}),
        ("change", "", {"seen": CIRCLE, "turns": 1326}),
    ),
    "the-first-answer-is-the-fault": (
        ("fly", "", {"seen": DIVE}),
        ("say", "too-little-decalage"),
    ),
}
CAREFUL = (
    ("fly", "", {"seen": STALL, "turns": 1157, "prediction": "stalls", "certainty": "leaning"}),
    ("look", "tail", {"read": {"found": 1.0}}),
    ("measure", "decalage_deg", {"read": {"decalage_deg": 2.9}}),
    (
        "change",
        "",
        {
            "seen": {"duration_s": 95, "early_turn_deg_s": 28},
            "changes": {"shim_mm": -0.8},
            "hypothesis": "too-much-decalage",
            "prediction": "longer",
            "certainty": "fairly sure",
        },
    ),
    ("fly", "", {"seen": {"duration_s": 99, "early_turn_deg_s": 28}}),
    ("say", "too-much-decalage", {"certainty": "would bet my motor"}),
)


def test_there_are_enough_and_each_is_told() -> None:
    assert len(IDEAS) >= 18
    for name, one in IDEAS.items():
        assert name == one.name
        assert one.idea.endswith(".")
        assert one.overturned.endswith(".")
        assert one.trials or one.measured
        assert (one.reading == "") == (one.measured is None)
        assert one.reading in ("", *READINGS)


@pytest.mark.parametrize("name", IDEAS)
def test_an_idea_is_contradicted_on_the_trainer(name: str) -> None:
    assert IDEAS[name].contradicts(TRAINER)


def _dull(name: str) -> dict[str, Trial]:
    """Flights that contradict nothing: the same one each time, where that does not suffice."""
    special = {
        "hard-throw-helps": {"walk": Trial(share=0.5), "thrown": Trial()},
        "stall-means-the-motor-stopped": {"stall": Trial(power=0.0)},
        "circles-because-of-the-fin": {"centred": Trial(power=0.0)},
    }
    return special.get(name, {one: Trial() for one in IDEAS[name].trials})


@pytest.mark.parametrize("name", [name for name, one in IDEAS.items() if one.trials])
def test_what_contradicts_can_fail(name: str) -> None:
    seen = {short: watch_once(trial) for short, trial in _dull(name).items()}
    assert not IDEAS[name].holds(seen)


_SEEN: dict[str, Observation] = {}


def watch_once(trial: Trial) -> Observation:
    if repr(trial) not in _SEEN:
        (flight,) = fly_many([trial.job(TRAINER)])
        _SEEN[repr(trial)] = watch(flight)  # type: ignore[arg-type]
    return _SEEN[repr(trial)]


def test_a_reading_can_fail_to_contradict(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not IDEAS["ruler-is-exact"].trials
    seen = IDEAS["ruler-is-exact"]
    monkeypatch.setattr("trimkit.diagnosis.misunderstandings.PUPILS", 1)
    assert not seen.contradicts(TRAINER), "one pupil alone differs from nobody"


@pytest.mark.parametrize("name", SHOWN)
def test_a_log_shows_an_idea(name: str) -> None:
    log = log_of(*SHOWN[name])
    evidence = found(log)[name]
    assert evidence.words
    assert set(evidence.entries) <= {entry.number for entry in log.entries}


def test_every_detector_is_tried() -> None:
    assert set(SHOWN) == {name for name, one in IDEAS.items() if one.shows_in_log}


def test_a_careful_log_shows_none() -> None:
    assert found(log_of(*CAREFUL)) == {}


def test_saying_that_nobody_can_tell_yet_is_no_idea() -> None:
    log = log_of(("fly", "", {"seen": DIVE}), ("say", CANNOT_TELL))
    assert found(log) == {}


def test_turning_back_the_slip_turns_the_evidence_off() -> None:
    """The same logs with the setting moved the other way."""
    for name in ("shim-goes-under-what-is-low", "shim-up-for-a-stall", "wing-back-for-a-dive"):
        first, (action, what, more) = SHOWN[name]
        turned = {one: -amount for one, amount in more["changes"].items()}
        log = log_of(first, (action, what, {**more, "changes": turned}))
        assert name not in found(log)


def test_evidence_speaks_of_the_log() -> None:
    words = found(log_of(*SHOWN["two-changes-save-time"]))["two-changes-save-time"].words
    assert SETTINGS["fin_deg"].title in words
    assert SETTINGS["shim_mm"].title in words
