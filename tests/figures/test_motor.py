"""The torque curve is the motor's, and its words give the figures that are drawn."""

from __future__ import annotations

import numpy as np
import pytest

from tests.figures.artists import lines, points, words
from tests.flight.planes import NAMES, demo
from trimkit import figures, trim

MOTOR = demo("hallfinch-46").setting.motor


@pytest.mark.parametrize("name", NAMES)
def test_lines_are_the_motor_s_own(name: str) -> None:
    motor = demo(name).setting.motor
    wound, cold = 0.8 * motor.max_turns(12), 12.0
    axes = figures.torque_curve(motor, wound, temperature_c=cold).figure.axes[0]
    turns, torque = points(axes, "winding")
    assert turns[-1] == pytest.approx(wound)
    assert torque == pytest.approx(motor.winding_torque_mNm(turns, cold))
    turns, lower = points(axes, "unwinding")
    assert lower == pytest.approx(motor.unwinding_torque_mNm(turns, wound, cold))
    assert np.all(lower[1:-1] < np.interp(turns[1:-1], *points(axes, "winding")))
    breaks = points(axes, "breaks")
    assert breaks[0][0] == pytest.approx(motor.max_turns(cold))


def test_words_and_marks_agree() -> None:
    plane = demo("hallfinch-46")
    level = trim.level(plane).torque_mNm
    picture = figures.torque_curve(MOTOR, 1250, level, 20, 90)
    axes = picture.figure.axes[0]
    turns, torque = (part[0] for part in points(axes, "launch"))
    assert turns == 1160
    assert torque == pytest.approx(MOTOR.unwinding_torque_mNm(1160, 1250, 20))
    assert f"At the launch there are 1160 turns and {torque:.1f} mN m" in picture.text
    assert "90 turns are taken off before the launch" in picture.text
    end, at = (part[0] for part in points(axes, "level turns"))
    assert at == level
    assert MOTOR.unwinding_torque_mNm(end, 1250, 20) == pytest.approx(level, rel=2e-3)
    assert f"more than that down to {end:.0f} turns" in picture.text
    assert f"launch: 1160 turns,\n{torque:.1f} mN m" in words(picture)
    off = points(axes, "backed off")[0]
    assert (off[0], off[-1]) == (1160, 1250)


def test_too_little_torque_is_said() -> None:
    picture = figures.torque_curve(MOTOR, 400, 5.0)
    assert "the aeroplane sinks all the way" in picture.text
    assert not lines(picture.figure.axes[0], "level turns")
    assert lines(picture.figure.axes[0], "level")


def test_nothing_is_said_of_what_is_not_given() -> None:
    picture = figures.torque_curve(MOTOR)
    assert "evel flight" not in picture.text
    assert "taken off" not in picture.text
    turns = points(picture.figure.axes[0], "winding")[0]
    assert turns[-1] == pytest.approx(0.85 * MOTOR.max_turns(20))
    assert not lines(picture.figure.axes[0], "level")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"wound": 5000}, "allowed is more than 0 up to"),
        ({"wound": 0}, "allowed is more than 0 up to"),
        ({"wound": 800, "backed_off": 800}, "allowed is 0 to less than"),
        ({"wound": 800, "backed_off": -1}, "allowed is 0 to less than"),
        ({"level_torque_mNm": 0.0}, "allowed is more than 0 mN m"),
        ({"temperature_c": 80}, "allowed"),
    ],
)
def test_figures_out_of_range_are_refused(given: dict[str, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        figures.torque_curve(MOTOR, **given)
