"""JSBSim's rigid body: the tumbling that was written down, and that of the demo aeroplanes."""

from __future__ import annotations

import importlib.metadata
from pathlib import Path

import numpy as np
import pytest

from tests.flight.planes import NAMES, demo
from tests.published.test_published_flight_models import BODY, TUMBLED
from tests.reference.tumbling import (
    EARTH_M,
    SECONDS,
    SPEED_M_S,
    Tumble,
    jsbsim_tumble,
    our_tumble,
    tumbling_body,
    tumbling_model,
)

pytestmark = pytest.mark.reference

STEPS_S = (1 / 1920, 1 / 3840)


def apart(one: Tumble, other: Tumble) -> tuple[float, float]:
    return (
        float(np.abs(one.rates - other.rates).max()),
        float(np.abs(one.attitude - other.attitude).max()),
    )


def test_the_figures_written_down_are_jsbsims(tmp_path: Path) -> None:
    assert importlib.metadata.version("jsbsim") == "1.3.3"
    found = jsbsim_tumble(BODY, tmp_path, STEPS_S[1])
    np.testing.assert_allclose(found.rates, TUMBLED.rates, atol=1e-7)
    np.testing.assert_allclose(found.attitude, TUMBLED.attitude, atol=1e-7)


@pytest.mark.parametrize("name", NAMES)
def test_demo_aeroplanes_tumble_as_in_jsbsim(name: str, tmp_path: Path) -> None:
    """Its own error at the finer step is a third of what halving the step changed."""
    model = tumbling_model(demo(name))
    coarse, fine = (jsbsim_tumble(tumbling_body(model), tmp_path, step) for step in STEPS_S)
    in_rates, in_attitude = apart(coarse, fine)
    assert 0 < in_rates < 1e-5
    off_rates, off_attitude = apart(our_tumble(model), fine)
    assert off_rates < 0.5 * in_rates
    assert off_attitude < 0.5 * in_attitude + 1.5 * SPEED_M_S * SECONDS / EARTH_M
