"""What results say about tasks: by hand, by other formulas, and what is not said of too few."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trimkit.classroom import items
from trimkit.classroom.items import AGREEMENT_FROM, ALPHA_FROM, analyse

RANDOM = np.random.default_rng(5)


def a_class(pupils: int, tasks: int = 8, spread: float = 1.5, seed: int = 0) -> np.ndarray:
    random = np.random.default_rng(seed)
    able = random.normal(0, spread, (pupils, 1))
    return (random.random((pupils, tasks)) < 1 / (1 + np.exp(-able))).astype(float)


def names(table: np.ndarray) -> list[str]:
    return [f"02.{k + 1}" for k in range(table.shape[1])]


def test_the_share_counts_pupils() -> None:
    found = analyse(["a", "b"], np.array([[1, 0], [1, 1], [0, 0], [1, 0]])).items
    assert [(item.right, item.n, item.share) for item in found] == [(3, 4, 0.75), (1, 4, 0.25)]


def test_the_correlation_is_the_textbook_one_of_two_means() -> None:
    right, score = a_class(30, 1)[:, 0], RANDOM.normal(size=30)
    yes, no = score[right == 1], score[right == 0]
    share = right.mean()
    textbook = (yes.mean() - no.mean()) / score.std() * math.sqrt(share * (1 - share))
    assert items.point_biserial(right, score) == pytest.approx(textbook, abs=1e-12)
    assert items.point_biserial(1 - right, score) == pytest.approx(-textbook, abs=1e-12)
    assert items.point_biserial(right, 7 - 2 * score) == pytest.approx(-textbook, abs=1e-12)


@pytest.mark.parametrize(("right", "score"), [([1, 1, 1], [1, 2, 3]), ([0, 1, 0], [2, 2, 2])])
def test_no_correlation_where_all_are_the_same(right: list[int], score: list[int]) -> None:
    assert items.point_biserial(np.array(right), np.array(score)) is None


def test_a_task_of_pure_chance_agrees_with_itself_and_not_with_the_others() -> None:
    """The reason for taking the task out: with it, chance looks like agreement."""
    table = (np.random.default_rng(2).random((4000, 4)) < 0.5).astype(float)
    found = analyse(names(table), table).items[0]
    assert found.agreement == pytest.approx(0, abs=0.05)
    assert items.point_biserial(table[:, 0], table.sum(axis=1)) == pytest.approx(0.5, abs=0.05)


def test_kr_20_is_alpha() -> None:
    table = a_class(40)
    share = table.mean(axis=0)
    total = table.sum(axis=1).var()
    kr_20 = 8 / 7 * (1 - (share * (1 - share)).sum() / total)
    assert items.cronbach_alpha(table) == pytest.approx(kr_20, abs=1e-12)


def test_alpha_of_the_same_task_twice_is_one_and_of_opposites_has_no_meaning() -> None:
    column = a_class(20, 1)
    assert items.cronbach_alpha(np.hstack([column, column])) == pytest.approx(1)
    assert items.cronbach_alpha(np.hstack([column, 1 - column])) is None


def test_no_figure_from_too_few() -> None:
    few = a_class(AGREEMENT_FROM - 1)
    found = analyse(names(few), few)
    assert found.alpha is None
    assert {item.verdict for item in found.items} == {"no figure"}
    enough = a_class(AGREEMENT_FROM)
    assert any(item.agreement is not None for item in analyse(names(enough), enough).items)
    assert analyse(names(enough), a_class(ALPHA_FROM - 1)).alpha is None
    alpha = analyse(names(enough), a_class(ALPHA_FROM)).alpha
    assert alpha is not None
    assert (alpha.n, alpha.tasks) == (ALPHA_FROM, 8)
    assert alpha.low < alpha.value < alpha.high


def test_the_limits_are_where_the_comments_say() -> None:
    low, high = items.correlation_interval(0.0, AGREEMENT_FROM - 1)
    assert high - low == pytest.approx(1.33, abs=0.005)
    low, high = items.alpha_interval(0.7, ALPHA_FROM - 1, 8)
    assert high - low == pytest.approx(0.425, abs=0.0005)


def test_the_interval_of_alpha_holds_it_19_times_in_20() -> None:
    """Equal tasks with normal errors, alpha known: .8 of four tasks."""
    random = np.random.default_rng(3)
    inside = 0
    for _ in range(1000):
        table = random.normal(size=(24, 1)) + random.normal(size=(24, 4))
        low, high = items.alpha_interval(items.cronbach_alpha(table), 24, 4)
        inside += low <= 0.8 <= high
    assert 0.93 <= inside / 1000 <= 0.97


def test_the_verdict_needs_the_whole_range_on_one_side() -> None:
    def verdict(agreement: float | None, n: int = 24) -> str:
        return items.Item("02.1", 12, 24, agreement, n).verdict

    assert [verdict(0.5), verdict(0.3), verdict(-0.3), verdict(-0.5), verdict(None)] == [
        "yes", "cannot tell", "cannot tell", "no", "no figure",
    ]  # fmt: skip
    assert verdict(0.3, 200) == "yes"


def test_a_task_that_runs_against_the_others_is_noticed() -> None:
    table = a_class(60, spread=3.0)
    table[:, 3] = 1 - table[:, 3]
    found = analyse(names(table), table).items
    assert [item.verdict for item in found].count("no") == 1
    assert found[3].verdict == "no"


def test_a_sentence_not_read_for_all_has_a_share_and_stays_out_of_the_rest() -> None:
    table = a_class(24)
    alone = analyse(names(table)[:7], table[:, :7])
    table[:5, 7] = np.nan
    found = analyse(names(table), table)
    assert found.items[:7] == alone.items
    assert found.alpha == alone.alpha
    assert (found.items[7].n, found.items[7].agreement) == (19, None)


def test_nobody_and_nothing() -> None:
    empty = analyse(["02.1"], np.empty((0, 1)))
    assert (empty.items[0].share, empty.alpha, empty.n) == (None, None, 0)
    assert analyse([], np.empty((0, 0))).items == ()


@pytest.mark.parametrize("table", [[[1.0]], [[1.0, 0.5]], [1.0, 0.0]])
def test_a_table_that_does_not_fit_is_refused(table: list) -> None:
    with pytest.raises(ValueError, match=r"allowed is a row|1, 0 or NaN"):
        analyse(["a", "b"], np.array(table))


@pytest.mark.parametrize(("value", "n"), [(1.2, 20), (0.5, 3)])
def test_a_correlation_without_an_interval_is_refused(value: float, n: int) -> None:
    with pytest.raises(ValueError, match="allowed"):
        items.correlation_interval(value, n)
    assert items.correlation_interval(1.0, 20) == (1.0, 1.0)


@pytest.mark.parametrize(("value", "n", "tasks"), [(1.1, 20, 5), (0.5, 1, 5), (0.5, 20, 1)])
def test_an_alpha_without_an_interval_is_refused(value: float, n: int, tasks: int) -> None:
    with pytest.raises(ValueError, match="allowed"):
        items.alpha_interval(value, n, tasks)
