"""The five scores: each one against logs written for it, with a small exact reference."""

from __future__ import annotations

import dataclasses
import re

import pytest

from tests.diagnosis.logs import entry
from tests.diagnosis.toy import NAMES, NOTHING, TRAINER, Toy
from trimkit.diagnosis import marks, reference
from trimkit.diagnosis.marks import FULL_PATH, NO_PATH, WEIGHTS, Marks, Score, mark
from trimkit.diagnosis.scoring import belief, quadratic_score
from trimkit.log import CANNOT_TELL, BadLine, Log

TOY = Toy()
TRUTH = "loose-tail"


def played(*drafts: tuple, truth: str = TRUTH) -> Log:
    """A log in which everything comes out as expected of the truth."""
    log = Log()
    for action, what, more in drafts:
        made = entry(log.next_number, action, what, **more)
        if action != "say":
            made = dataclasses.replace(made, result=TOY.expected(log, TRAINER, made, truth))
        log = Log((*log.entries, made))
    return log


def marked(*drafts: tuple, truth: str = TRUTH) -> Marks:
    return mark(played(*drafts, truth=truth), TRAINER, truth, TOY)


FLY = ("fly", "", {})
LOOK = ("look", "tail", {})
CURE = ("repair", TRUTH, {"hypothesis": TRUTH, "prediction": "longer", "certainty": "fairly sure"})
SAID = ("say", TRUTH, {"certainty": "would bet my motor"})


def test_the_weights_are_those_that_are_printed() -> None:
    assert sum(WEIGHTS.values()) == pytest.approx(1)
    table = dict(re.findall(r"^(\w+(?: \w+)?) +(\.\d\d) ", marks.__doc__ or "", re.MULTILINE))
    assert {name: float(weight) for name, weight in table.items()} == WEIGHTS


def test_a_good_log_has_good_marks() -> None:
    found = marked(FLY, LOOK, CURE, FLY, SAID)
    assert found.total > 0.95
    assert {one.name for one in found.scores} == set(WEIGHTS)
    assert found.total == pytest.approx(
        sum(WEIGHTS[one.name] * one.value for one in found.scores), abs=1e-3
    )


def test_the_same_log_has_the_same_marks() -> None:
    log = played(FLY, LOOK, CURE, FLY, SAID)
    assert mark(log, TRAINER, TRUTH, TOY) == mark(log, TRAINER, TRUTH, Toy())


def test_scores_are_rounded() -> None:
    for one in marked(FLY, LOOK, CURE, FLY, SAID).scores:
        assert one.value == round(one.value, 3)


def test_the_truth_touches_two_scores_alone() -> None:
    log = played(FLY, LOOK, CURE, FLY, SAID)
    one, other = mark(log, TRAINER, TRUTH, TOY), mark(log, TRAINER, "too-much-decalage", TOY)
    assert one["diagnosis"] > other["diagnosis"]
    assert one["cure"] > other["cure"]
    for name in ("one change", "certainty"):
        assert one[name] == other[name]


# --- diagnosis ---


@pytest.mark.parametrize("certainty", ["guess", "leaning", "fairly sure", "would bet my motor"])
@pytest.mark.parametrize("truth", [TRUTH, "fin-bent-left"])
def test_the_diagnosis_is_the_quadratic_score(certainty: str, truth: str) -> None:
    log = played(FLY, ("say", TRUTH, {"certainty": certainty}))
    heads = [min(group) for group in TOY.posterior(log, TRAINER).classes()]
    wanted = quadratic_score(belief(TRUTH, certainty, heads), truth)
    assert mark(log, TRAINER, truth, TOY)["diagnosis"] == pytest.approx(wanted, abs=6e-4)


def test_the_surer_the_more_is_won_and_lost() -> None:
    sure, shy = ({"certainty": word} for word in ("would bet my motor", "guess"))
    good = [marked(FLY, ("say", TRUTH, how))["diagnosis"] for how in (shy, sure)]
    bad = [marked(FLY, ("say", "tired-motor", how))["diagnosis"] for how in (shy, sure)]
    assert bad[1] < bad[0] < good[0] < good[1]


def test_causes_that_nothing_tells_apart_are_one() -> None:
    one, other = (
        marked(FLY, ("say", name, {}), truth="tired-motor")
        for name in ("tired-motor", "under-wound")
    )
    assert one["diagnosis"] == other["diagnosis"] > 0.9


def test_cannot_tell_is_good_while_nothing_is_decided() -> None:
    """A search that took the reference's time, and still nothing stands out."""
    dull = tuple(("look", place, {"minutes": 12.0}) for place in ("stick", "stick", "stick"))
    open_log = marked(*dull, ("say", CANNOT_TELL, {}))
    decided = marked(FLY, LOOK, FLY, FLY, ("say", CANNOT_TELL, {}))
    assert open_log["diagnosis"] > 0.8 > decided["diagnosis"]
    wrong = marked(*dull, ("say", "fin-bent-left", {"certainty": "would bet my motor"}))
    assert wrong["diagnosis"] < open_log["diagnosis"]


def test_cannot_tell_at_once_is_no_more_than_an_even_belief() -> None:
    found = marked(("say", CANNOT_TELL, {}))
    classes = len(TOY.posterior(Log(), TRAINER).classes())
    flat = quadratic_score({str(n): 1 / classes for n in range(classes)}, "0")
    assert found["diagnosis"] == pytest.approx(flat, abs=1e-3)
    assert found["path"] == 0


def test_nothing_said_is_nothing() -> None:
    found = marked(FLY)
    assert found["diagnosis"] == 0
    assert found["path"] == 0


def test_two_faults_want_two_words() -> None:
    log = played(FLY, SAID, ("say", "fin-bent-left", {"certainty": "would bet my motor"}))
    both = mark(log, TRAINER, (TRUTH, "fin-bent-left"), TOY)["diagnosis"]
    swapped = mark(log, TRAINER, ("fin-bent-left", TRUTH), TOY)["diagnosis"]
    half = mark(log, TRAINER, (TRUTH, "tired-motor"), TOY)["diagnosis"]
    only = mark(played(FLY, SAID), TRAINER, (TRUTH, "fin-bent-left"), TOY)["diagnosis"]
    assert both == swapped > 0.95
    assert half < 0.6
    assert only == pytest.approx(both / 2, abs=1e-3)


def test_the_last_word_counts() -> None:
    first = marked(FLY, ("say", "fin-bent-left", {}), LOOK, SAID)
    assert first["diagnosis"] > 0.95
    last = marked(FLY, SAID, LOOK, ("say", "fin-bent-left", {}))
    assert last["diagnosis"] < 0.5


def test_words_name_the_entry_that_speaks_against() -> None:
    found = marked(FLY, LOOK, ("say", "fin-bent-left", {"certainty": "fairly sure"}))
    words = found.scores[0].words
    assert "fin bent to the left, fairly sure" in words
    assert "loose tail joint" in words
    assert re.search(r"Look again at entry [12]\.", words)


# --- path ---


def spent(minutes: float) -> float:
    log = played(FLY, LOOK, CURE, FLY, SAID)
    last = log.entries[-2]
    rest = log.minutes - last.minutes
    more = entry(4, "fly", seen=last.result.features, minutes=minutes - rest)
    return mark(Log((*log.entries[:3], more, log.entries[4])), TRAINER, TRUTH, TOY)["path"]


def test_the_path_is_full_near_the_reference_and_then_falls() -> None:
    needs = reference.minutes(TRAINER, TRUTH, TOY)
    assert spent(FULL_PATH * needs) == 1
    assert spent((FULL_PATH + NO_PATH) / 2 * needs) == pytest.approx(0.5, abs=1e-3)
    assert spent(NO_PATH * needs) == 0
    assert spent(2 * NO_PATH * needs) == 0


def test_no_way_is_short_that_leads_nowhere() -> None:
    assert marked(FLY, ("say", "fin-bent-left", {}))["path"] < 0.2


def test_the_path_says_what_would_have_told_more() -> None:
    found = marked(FLY, ("look", "stick", {}), LOOK, CURE, FLY, SAID)
    words = next(one.words for one in found.scores if one.name == "path")
    assert "always taking the step that tells most" in words
    assert re.search(r"Entry 2 was irrelevant.*would have told", words)


# --- one change ---


def test_one_change_speaks_of_the_log() -> None:
    mixed = ("change", "", {"changes": {"shim_mm": 0.4, "wing_station_mm": -5}})
    found = marked(FLY, FLY, mixed, SAID, truth="too-much-decalage")
    assert found["one change"] == 0.5
    words = next(one.words for one in found.scores if one.name == "one change")
    assert words.startswith("Flights 2 and 3 differ in two things: tail shim and wing position")
    assert words.endswith("either could explain the stall. Which one flight would separate them?")


def test_going_back_is_a_fair_comparison() -> None:
    one = ("change", "", {"changes": {"shim_mm": 0.4}})
    swap = ("change", "", {"changes": {"shim_mm": -0.4, "wing_station_mm": -5}})
    assert marked(FLY, one, swap, SAID)["one change"] == 1


def test_one_flight_compares_nothing() -> None:
    assert marked(FLY, SAID)["one change"] == 0


# --- certainty ---


def test_certainty_is_kept_by_predictions_and_by_the_last_word() -> None:
    told = {"hypothesis": TRUTH, "prediction": "longer", "certainty": "would bet my motor"}
    good = marked(FLY, ("repair", TRUTH, told), FLY, SAID)
    failed = marked(FLY, ("repair", TRUTH, {**told, "prediction": "shorter"}), FLY, SAID)
    assert good["certainty"] > 0.9
    assert failed["certainty"] < good["certainty"] - 0.4
    words = next(one.words for one in failed.scores if one.name == "certainty")
    assert "0 of 1 predictions came true" in words
    assert "would bet my motor" in words


def test_a_bet_that_the_log_does_not_support_costs() -> None:
    weak = ("look", "stick", {})
    sure = marked(weak, ("say", "fin-bent-left", {"certainty": "would bet my motor"}))
    shy = marked(weak, ("say", "fin-bent-left", {"certainty": "guess"}))
    assert sure["certainty"] < 0.5 < shy["certainty"]


# --- cure ---


def test_a_cure_is_worth_half_and_its_confirmation_the_rest() -> None:
    assert marked(FLY, SAID)["cure"] == 0
    assert marked(FLY, CURE, SAID)["cure"] == 0.5
    assert marked(FLY, CURE, FLY, SAID)["cure"] == 1
    assert marked(FLY, ("repair", "fin-bent-left", {}), FLY, SAID)["cure"] == 0


def test_flying_again_before_the_cure_confirms_nothing() -> None:
    assert marked(FLY, FLY, CURE, SAID)["cure"] == 0.5


def test_a_setting_may_cure() -> None:
    shim = ("change", "", {"changes": {"shim_mm": 1.25}})
    assert marked(FLY, shim, FLY, SAID, truth="too-little-decalage")["cure"] == 1
    back = ("change", "", {"changes": {"shim_mm": -1.25}})
    assert marked(FLY, back, FLY, SAID, truth="too-little-decalage")["cure"] == 0


def test_what_is_well_is_left_alone() -> None:
    well = ("say", NOTHING, {})
    assert marked(FLY, well, truth=NOTHING)["cure"] == 0.5
    assert marked(FLY, FLY, well, truth=NOTHING)["cure"] == 1
    assert marked(FLY, CURE, FLY, well, truth=NOTHING)["cure"] == 0


# --- doors ---


def test_a_log_with_a_bad_line_is_refused() -> None:
    log = played(FLY, SAID)
    with pytest.raises(ValueError, match="Line 3"):
        mark(Log(log.entries, (BadLine(3, b"{", "it is no JSON"),)), TRAINER, TRUTH, TOY)


def test_a_log_with_a_lost_entry_is_refused() -> None:
    entries = played(FLY, FLY, CURE, SAID).entries
    with pytest.raises(ValueError, match="entry 2 is lost"):
        mark(Log((entries[0], *entries[2:])), TRAINER, TRUTH, TOY)


def test_an_unknown_truth_is_refused() -> None:
    with pytest.raises(ValueError, match="no fault 'gremlins'"):
        mark(played(FLY, SAID), TRAINER, "gremlins", TOY)
    with pytest.raises(ValueError, match="no truth"):
        mark(played(FLY, SAID), TRAINER, (), TOY)


def test_a_score_stays_within_its_range() -> None:
    with pytest.raises(ValueError, match="0 to 1"):
        Score("path", 1.2, "")
    with pytest.raises(ValueError, match="'luck'"):
        Score("luck", 0.5, "")


@pytest.mark.parametrize("truth", NAMES)
def test_the_reference_has_good_marks_itself(truth: str) -> None:
    log = reference.path(TRAINER, truth, TOY)
    said = entry(log.next_number, "say", truth, certainty="would bet my motor")
    found = mark(Log((*log.entries, said)), TRAINER, truth, TOY)
    assert found["path"] == 1
    assert found["diagnosis"] > 0.95
    if truth != NOTHING:
        assert found["cure"] == 1


def test_words_hold_every_score_and_count() -> None:
    words = marked(FLY, LOOK, CURE, FLY, SAID).words()
    for name in (*WEIGHTS, "plan", "identify", "interpret", "unfair decides nothing"):
        assert re.search(rf"^{name}\b", words, re.MULTILINE)
