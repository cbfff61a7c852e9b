"""What each action is called, given the log it stands in."""

from __future__ import annotations

import dataclasses

import pytest

from tests.diagnosis.logs import entry
from tests.diagnosis.toy import NAMES, TRAINER, Toy
from trimkit.diagnosis import labels
from trimkit.diagnosis.labels import MEANINGS, label, told_bits, trail, treats
from trimkit.log import CANNOT_TELL, Log

TOY = Toy()
TRUTH = "loose-tail"
FLY = ("fly", "", {})


def played(*drafts: tuple, truth: str = TRUTH) -> Log:
    """A log in which everything comes out as expected of the truth."""
    log = Log()
    for action, what, more in drafts:
        made = entry(log.next_number, action, what, **more)
        if action != "say":
            made = dataclasses.replace(made, result=TOY.expected(log, TRAINER, made, truth))
        log = Log((*log.entries, made))
    return log


def named(*drafts: tuple, truth: str = TRUTH) -> list[str]:
    log = played(*drafts, truth=truth)
    return [one.label for one in label(trail(log, TRAINER, TOY))]


def test_a_first_flight_splits_and_a_look_at_a_good_place_too() -> None:
    assert named(FLY, ("look", "tail", {})) == ["splitting", "splitting"]


def test_a_word_gets_no_label() -> None:
    assert named(FLY, ("say", TRUTH, {})) == ["splitting"]


def test_a_look_where_nothing_can_be_is_irrelevant_and_again_redundant() -> None:
    look = ("look", "stick", {})
    assert named(FLY, look, look)[1:] == ["irrelevant", "redundant"]


def test_looking_again_after_a_change_there_is_not_called_a_repeat() -> None:
    look, shim = ("look", "stick", {}), ("change", "", {"changes": {"shim_mm": 0.4}})
    assert named(FLY, look, shim, look)[-1] == "irrelevant"


def test_one_place_after_the_other_is_serial() -> None:
    """Before any flight a slow look tells about one place, a flight about all of them."""
    found = named(("look", "motor", {"minutes": 4.0}), FLY)
    assert found == ["serial", "splitting"]


def test_a_repair_in_the_dark_is_swap_and_hope() -> None:
    assert named(("repair", TRUTH, {})) == ["swap-and-hope"]
    assert named(FLY, ("repair", "fin-bent-left", {})) == ["splitting", "swap-and-hope"]


def test_a_repair_that_the_log_asks_for_is_a_cure_and_so_is_its_flight() -> None:
    found = named(FLY, ("look", "tail", {}), ("repair", TRUTH, {}), FLY)
    assert found[2:] == ["cure", "cure"]


def test_a_setting_against_a_likely_fault_is_a_cure() -> None:
    shim = ("change", "", {"changes": {"shim_mm": 1.25}})
    back = ("change", "", {"changes": {"shim_mm": -1.25}})
    low = ("fly", "", {}), ("look", "tail", {}), ("fly", "", {})
    assert named(*low, shim, truth="too-little-decalage")[-1] == "cure"
    assert named(*low, back, truth="too-little-decalage")[-1] != "cure"


def test_more_than_one_change_is_confounded() -> None:
    both = ("change", "", {"changes": {"shim_mm": 0.4, "fin_deg": -0.5}})
    turns = ("change", "", {"changes": {"shim_mm": 0.4}, "turns": 750})
    assert named(FLY, both)[-1] == named(FLY, turns)[-1] == "confounded"


def test_taking_one_of_two_back_is_a_fair_comparison() -> None:
    both = ("change", "", {"changes": {"shim_mm": 0.4, "fin_deg": -0.5}})
    one = ("change", "", {"changes": {"fin_deg": 0.5}})
    assert named(FLY, both, one)[1] == "confounded"
    assert named(FLY, both, one)[2] != "confounded"


def test_what_was_confounded_is_named() -> None:
    both = ("change", "", {"changes": {"shim_mm": 0.4, "fin_deg": -0.5}})
    log = played(FLY, both)
    assert labels.confounding(log, log.entries[1]) == ("tail shim", "fin")
    assert labels.confounding(log, log.entries[0]) == ()


def test_a_poor_step_is_told_the_better_one() -> None:
    log = played(FLY, ("look", "stick", {}))
    worth = label(trail(log, TRAINER, TOY))[1]
    best = TOY.next_steps(Log(log.entries[:1]), TRAINER)[0]
    assert worth.better == labels.step_words(best)
    assert worth.times > 1.5
    assert worth.better in worth.words()
    assert MEANINGS["irrelevant"] in worth.words()


def test_luck_does_not_change_a_label() -> None:
    """The same look, whether it finds something or not."""
    log = played(FLY, ("look", "tail", {}))
    last = log.entries[-1]
    found = []
    for value in (0.0, 1.0):
        result = dataclasses.replace(last.result, readings={"found": value})
        other = Log((log.entries[0], dataclasses.replace(last, result=result)))
        found.append(label(trail(other, TRAINER, TOY))[1])
    assert found[0] == found[1]


def test_without_a_list_what_was_told_counts() -> None:
    class Silent(Toy):
        def next_steps(self, log, aeroplane):
            return ()

    log = played(FLY, ("look", "stick", {}))
    worth = label(trail(log, TRAINER, Silent()))
    before, after = (TOY.posterior(Log(log.entries[:n]), TRAINER).probabilities for n in (0, 1))
    assert worth[0].bits == pytest.approx(told_bits(before, after), abs=1e-6)
    assert [one.label for one in worth] == ["splitting", "irrelevant"]


def test_told_bits_are_those_of_the_two_beliefs() -> None:
    assert told_bits({"a": 0.25, "b": 0.75}, {"a": 0.25, "b": 0.75}) == 0
    assert told_bits({"a": 0.25, "b": 0.75}, {"a": 1.0, "b": 0.0}) == pytest.approx(2)


@pytest.mark.parametrize(
    ("fault", "changes", "wanted"),
    [
        ("too-little-decalage", {"shim_mm": 1.25}, True),
        ("too-little-decalage", {"shim_mm": -1.25}, False),
        ("too-little-decalage", {"shim_mm": 0.2}, False),
        ("too-little-decalage", {"fin_deg": 1.0}, False),
        ("wing-too-far-back", {"wing_station_mm": -11.0}, True),
        ("loose-tail", {"shim_mm": 1.25}, False),
        ("nothing", {"shim_mm": 1.25}, False),
        ("too-little-decalage", {}, False),
    ],
)
def test_a_setting_treats_what_it_takes_away(
    fault: str, changes: dict[str, float], wanted: bool
) -> None:
    assert treats(TRAINER, fault, changes) is wanted


def test_a_change_that_cannot_be_made_treats_nothing() -> None:
    assert not treats(TRAINER, "wing-too-far-back", {"wing_station_mm": -5000.0})


def test_classes_have_each_name_once() -> None:
    along = trail(played(FLY), TRAINER, TOY)
    assert sorted(name for group in along.groups for name in group) == sorted(NAMES)
    assert along.group("under-wound") == along.group("tired-motor")
    assert along.chance("under-wound") == along.chance("tired-motor")
    with pytest.raises(ValueError, match="no fault 'gremlins'"):
        along.group("gremlins")


def test_the_likeliest_is_of_the_likeliest_class() -> None:
    along = trail(played(FLY, ("look", "tail", {})), TRAINER, TOY)
    name, p = along.likeliest()
    assert name == TRUTH
    assert p == max(along.chance(one) for one in NAMES)


def test_the_last_word_on_each_fault_is_the_conclusion() -> None:
    shy, sure = ({"certainty": word} for word in ("guess", "fairly sure"))
    log = played(FLY, ("say", TRUTH, shy), ("say", "fin-bent-left", sure), ("say", TRUTH, sure))
    assert [one.number for one in labels.conclusions(log)] == [4, 3]
    later = played(FLY, ("say", TRUTH, sure), ("say", CANNOT_TELL, {}))
    assert [one.what for one in labels.conclusions(later)] == [CANNOT_TELL]
    earlier = played(FLY, ("say", CANNOT_TELL, {}), ("say", TRUTH, sure))
    assert [one.what for one in labels.conclusions(earlier)] == [TRUTH]
    assert labels.conclusions(Log()) == ()
