"""A small library in memory: invented signs of deviations, so that no flight has to be flown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from trimkit.diagnosis import deviations, response
from trimkit.diagnosis.deviations import NAMES, Design
from trimkit.diagnosis.library import Library, Trial
from trimkit.diagnosis.response import DESCRIPTORS, FEATURES, Flown
from trimkit.flight import canon

NOISE = 0.25
SHARED = 0.6  # of the noise is the aeroplane's own
PAIRS = 900
# A flight as planned, in the order of the features; the last but two is a share of the turns
USUAL = (
    60.0, 5.0, 25.0, 0.3, 20.0, 15.0, 10.0, 45.0, 35.0, 30.0, 8.0, 15.0,
    3.0, 40.0, 4.0, 2.5, 0.3, 1.0, 8.0, 8.0, -5.0, 1.0, 9.0, 0.5,
)  # fmt: skip


def signs(rows: np.ndarray, ratios: np.ndarray) -> np.ndarray:
    """Signs of deviations as the small library has them, on the scales of the fit."""
    chance = np.random.default_rng(3)
    slopes = chance.normal(0, 0.35, (len(NAMES), len(FEATURES)))
    usual = response.to_scale(np.array(USUAL))
    return usual + np.tanh(rows @ slopes) + 0.3 * (ratios[:, None] - 1.7)


def flown() -> Flown:
    """Pairs of flights: deviations by ones and twos, noise in part the aeroplane's own."""
    chance = np.random.default_rng(4)
    rows = chance.normal(0, 1.3, (PAIRS, len(NAMES))) * (chance.random((PAIRS, len(NAMES))) < 0.06)
    deviating = np.repeat(rows, 2, axis=0)
    ratios = np.repeat(chance.uniform(0.8, 2.7, PAIRS), 2)
    own = np.repeat(chance.normal(0, NOISE * SHARED**0.5, (PAIRS, len(FEATURES))), 2, axis=0)
    each = chance.normal(0, NOISE * (1 - SHARED) ** 0.5, (2 * PAIRS, len(FEATURES)))
    known = np.array(
        [response.described(deviations.design(one)) for one in canon.demo_aeroplanes()]
    )
    return Flown(
        deviations=deviating,
        ratios=ratios,
        descriptors=known[np.repeat(np.arange(PAIRS) % len(known), 2)],
        features=signs(deviating, ratios) + own + each,
        pairs=np.repeat(np.arange(PAIRS), 2),
        repeats=np.tile([False, True], PAIRS),
        known=known,
    )


@pytest.fixture(scope="session")
def trainer() -> Design:
    """The demo trainer, with its level torque."""
    return deviations.design(canon.demo_aeroplanes()[0])


@pytest.fixture(scope="session")
def library() -> Library:
    """The small library, fitted once for all tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(response, "FEWEST_STEPS", 400)
        patch.setattr(response, "MOST_STEPS", 400)
        patch.setattr(response, "DECAYS", (0.2,))
        fitted = response.fit(flown(), seed=1)
    assert len(DESCRIPTORS) == fitted.known.shape[1]
    fitted = replace(fitted, temper=0.35)
    return Library(fitted, 2 * PAIRS, 1, canon.figures(), Trial(0, 0.0, 0.0, 0.0))
