"""Two powers over each other: the drawn heights are those that are said."""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import figures
from trimkit.figures import Step
from trimkit.flight import Flight, Hall, fly
from trimkit.flight.canon import demo_aeroplanes

SIGNS = (("nose", "5° up"), ("bank", "11° left"))


@pytest.fixture(scope="module")
def flights() -> tuple[Flight, Flight]:
    hall = Hall(size_m=(40.0, 30.0, 4.0))
    weak, strong = (fly(demo_aeroplanes()[0], turns=turns, hall=hall) for turns in (600, 1000))
    return weak, strong


def test_the_drawn_heights_are_those_that_are_said(flights: tuple[Flight, Flight]) -> None:
    steps = [Step(name, one, SIGNS) for name, one in zip(("low", "middle"), flights, strict=True)]
    picture = figures.steps_view(steps, 4.0)
    lines = {line.get_gid(): line for line in picture.figure.axes[0].lines}
    for step in steps:
        top = float(np.max(lines[step.name].get_ydata()))
        assert f"{step.flight.duration_s:.0f} s, top {top:.1f} m" in picture.text
    assert lines["low"].get_linestyle() != lines["middle"].get_linestyle()
    assert lines["ceiling"].get_ydata()[0] == 4.0
    touched = float(lines["touches"].get_xdata()[0])
    assert f"touches the ceiling at {touched:.0f} s" in picture.text
    written = [text.get_text() for text in picture.figure.texts]
    assert written.count("5° up") == 2
    assert "nose 5° up, bank 11° left" in picture.text


def test_too_many_flights_and_a_ceiling_that_is_none_are_refused(
    flights: tuple[Flight, Flight],
) -> None:
    step = Step("low", flights[0], SIGNS)
    with pytest.raises(ValueError, match="3 flights are given; allowed is 1 or 2"):
        figures.steps_view([step] * 3, 4.0)
    with pytest.raises(ValueError, match="ceiling_m is 900"):
        figures.steps_view([step], 900.0)
