"""Saying what one believes pays best, and the four words are counted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trimkit.diagnosis.scoring import (
    Calibration,
    belief,
    calibration,
    certainty_score,
    merged,
    quadratic_score,
)
from trimkit.log import CERTAINTY

CLASSES = ("warp", "skew", "slack", "balance")


def beliefs():
    weights = st.lists(st.floats(0, 1), min_size=4, max_size=4).filter(lambda w: sum(w) > 0.01)
    return weights.map(lambda w: {c: one / sum(w) for c, one in zip(CLASSES, w, strict=True)})


def expected_score(stated, believed):
    return sum(p * quadratic_score(stated, name) for name, p in believed.items())


@given(beliefs(), beliefs())
def test_the_score_is_proper(believed, stated):
    lost = expected_score(believed, believed) - expected_score(stated, believed)
    apart = sum((believed[name] - stated[name]) ** 2 for name in CLASSES)
    assert lost == pytest.approx(apart / 2, abs=1e-12)  # 0 only when the two are the same


@given(beliefs(), st.sampled_from(CLASSES))
def test_a_mark_lies_between_0_and_1(stated, truth):
    assert -1e-12 <= quadratic_score(stated, truth) <= 1 + 1e-12


@pytest.mark.parametrize(
    ("stated", "mark"),
    [((1, 0, 0, 0), 1), ((0, 1, 0, 0), 0), ((0.25,) * 4, 0.625), ((0.5, 0.5, 0, 0), 0.75)],
)
def test_marks_by_hand(stated, mark):
    assert quadratic_score(dict(zip(CLASSES, stated, strict=True)), "warp") == mark


@given(st.floats(0, 1))
def test_the_word_nearest_to_the_belief_pays_best(chance):
    def expected(word):
        true, false = certainty_score(word, True), certainty_score(word, False)
        return chance * true + (1 - chance) * false

    best = max(CERTAINTY, key=expected)
    nearest = min(abs(chance - p) for p in CERTAINTY.values())
    assert abs(chance - CERTAINTY[best]) == pytest.approx(nearest, abs=1e-7)


def test_the_four_words():
    assert dict(CERTAINTY) == {
        "guess": 0.3, "leaning": 0.5, "fairly sure": 0.75, "would bet my motor": 0.95,
    }  # fmt: skip


def test_a_named_class_and_a_word_make_a_belief():
    found = belief("skew", "fairly sure", CLASSES)
    assert found["skew"] == 0.75
    assert found["warp"] == found["slack"] == found["balance"] == pytest.approx(0.25 / 3)


def test_bolder_words_win_more_and_lose_more():
    won = [quadratic_score(belief("warp", word, CLASSES), "warp") for word in CERTAINTY]
    lost = [quadratic_score(belief("warp", word, CLASSES), "skew") for word in CERTAINTY]
    assert won == sorted(won)
    assert lost == sorted(lost, reverse=True)


def test_classes_that_nothing_tells_apart_count_as_one():
    stated = {"warp": 0.4, "skew": 0.1, "slack": 0.5}
    found = merged(stated, [("warp", "skew")])
    assert found == {"warp": 0.5, "slack": 0.5}
    assert merged(stated, []) == stated


@pytest.mark.parametrize("groups", [[("warp", "tail")], [("warp", "skew"), ("skew", "slack")]])
def test_a_group_holds_each_class_once(groups):
    with pytest.raises(ValueError, match="each class once: warp"):
        merged({"warp": 0.4, "skew": 0.1, "slack": 0.5}, groups)


def test_words_are_counted_and_never_averaged():
    said = [("guess", True), ("guess", False), ("would bet my motor", True)]
    assert [(c.certainty, c.true, c.said) for c in calibration(said)] == [
        ("guess", 1, 2), ("leaning", 0, 0), ("fairly sure", 0, 0), ("would bet my motor", 1, 1),
    ]  # fmt: skip


# Binomial tails by hand: .05² = .0025; .05 alone is not below .05; 3 of 3 guesses: .027;
# 2 of 2: .09; 0 of 4 leanings: .0625; 0 of 5: .03125.
@pytest.mark.parametrize(
    ("word", "true", "said", "verdict"),
    [
        ("would bet my motor", 0, 2, "too sure"),
        ("would bet my motor", 9, 10, ""),
        ("guess", 3, 3, "too shy"),
        ("guess", 2, 2, ""),
        ("leaning", 0, 4, ""),
        ("leaning", 0, 5, "too sure"),
        ("fairly sure", 0, 0, ""),
    ],
)
def test_only_a_surprising_count_is_called_too_sure_or_too_shy(word, true, said, verdict):
    assert Calibration(word, true, said).verdict == verdict


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: quadratic_score({"warp": 50, "skew": 50}, "warp"), "percent"),
        (lambda: quadratic_score({"warp": 1.5, "skew": -0.5}, "warp"), "from 0 up"),
        (lambda: quadratic_score({"warp": float("nan")}, "warp"), "sum to 1"),
        (lambda: quadratic_score({}, "warp"), "sum to 1"),
        (lambda: quadratic_score({"warp": 1.0}, "tail"), "classes stated are: warp"),
        (lambda: belief("tail", "guess", CLASSES), "allowed is one of"),
        (lambda: belief("warp", "guess", ("warp",)), "two or more"),
        (lambda: belief("warp", "certain", CLASSES), "would bet my motor"),
        (lambda: certainty_score("certain", True), "would bet my motor"),
        (lambda: calibration([("certain", True)]), "would bet my motor"),
        (lambda: Calibration("guess", 3, 2), "how often it was said"),
    ],
)
def test_what_is_no_belief_is_refused(make, told):
    with pytest.raises(ValueError, match=told):
        make()
