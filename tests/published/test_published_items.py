"""Published figures on tasks of a test. Each source stands beside its number."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from trimkit.classroom import items

DATA = Path(__file__).parent / "data" / "lsat6_patterns.csv"


@pytest.fixture(scope="module")
def answers() -> np.ndarray:
    """Bock & Lieberman 1970: 1000 persons, five tasks."""
    lines = [line for line in DATA.read_text("utf-8").splitlines() if line[:1] in "01"]
    pairs = [line.split(",") for line in lines]
    return np.repeat(
        np.array([[int(digit) for digit in pattern] for pattern, _ in pairs], float),
        [int(count) for _, count in pairs],
        axis=0,
    )


@pytest.fixture(scope="module")
def found(answers: np.ndarray) -> items.Analysis:
    return items.analyse([f"task {k}" for k in range(1, 6)], answers)


def test_the_table_is_whole(answers: np.ndarray) -> None:
    assert answers.shape == (1000, 5)
    assert len(np.unique(answers, axis=0)) == 30  # two of the 32 patterns have no person


# Bock & Lieberman, Psychometrika 35 (1970) 179, counts by pattern; tolerance: rounding.
def test_share_right(found: items.Analysis, answers: np.ndarray) -> None:
    shares = [item.share for item in found.items]
    assert shares == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870], abs=1e-9)
    assert answers.sum(axis=1).mean() == pytest.approx(3.819, abs=1e-9)


# Reference figures, computed once from the same counts outside this project (the paper gives
# none); tolerance: their rounding.
def test_point_biserial_with_the_task_in_the_total(answers: np.ndarray) -> None:
    total = answers.sum(axis=1)
    with_it = [items.point_biserial(column, total) for column in answers.T]
    assert with_it == pytest.approx([0.3620, 0.5668, 0.6184, 0.5344, 0.4354], abs=5e-5)


def test_point_biserial_with_the_task_taken_out(found: items.Analysis) -> None:
    without = [item.agreement for item in found.items]
    assert without == pytest.approx([0.1128, 0.1532, 0.1728, 0.1444, 0.1216], abs=5e-5)
    assert {item.agreement_n for item in found.items} == {1000}


# The same.
def test_alpha(found: items.Analysis, answers: np.ndarray) -> None:
    assert items.cronbach_alpha(answers) == pytest.approx(0.294997, abs=1e-6)
    assert found.alpha is not None
    assert found.alpha.value == pytest.approx(0.294997, abs=1e-6)
