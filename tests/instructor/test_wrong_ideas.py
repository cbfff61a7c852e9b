"""The wrong ideas that pupils bring: each stands in a lesson's plan, with what overturns it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trimkit import faults, flight, trim
from trimkit.aeroplane import replace
from trimkit.flight.fly import launch_speed_m_s
from trimkit.lesson.tasks.models import trainer
from trimkit.lesson.tasks.start import flyer

PLANS = Path(__file__).parents[2] / "instructor" / "plans"
ROWS = re.findall(
    r"^\| ([^|]+) \| (\d\d) \| ([^|]+) \|$", (PLANS / "wrong-ideas.md").read_text("utf-8"), re.M
)


def test_there_are_twenty_two() -> None:
    assert len(ROWS) == len({idea for idea, _, _ in ROWS}) == 22


@pytest.mark.parametrize(("idea", "lesson", "answer"), ROWS, ids=[row[0] for row in ROWS])
def test_the_lessons_plan_answers_the_idea(idea: str, lesson: str, answer: str) -> None:
    plan = (PLANS / f"{lesson}.md").read_text("utf-8")
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|$", plan, re.M)
    wanted = set(re.findall(r"[a-z]{4,}", idea))
    near = [said for said, _ in rows if len(wanted & set(re.findall(r"[a-z]{4,}", said))) >= 2]
    assert near, f"{lesson} answers nothing like {idea!r}"
    assert answer


@pytest.mark.parametrize(("faster_m_s", "time_s"), [(0.0, 32), (1.0, 33), (2.0, 34)])
def test_a_harder_throw_gives_a_second_or_two(faster_m_s: float, time_s: int) -> None:
    speed = launch_speed_m_s(flyer()) + faster_m_s
    flown = flight.fly(flyer(), launch=flight.Launch(turns=784, speed_m_s=speed))
    assert round(flown.duration_s) == time_s


@pytest.mark.parametrize(
    ("shim_mm", "speed_m_s", "sink_m_s", "margin_deg"),
    [(-0.8, 3.3, 0.37, 7.4), (0.0, 2.6, 0.27, 4.3), (0.8, 2.3, 0.27, 1.7)],
)
def test_slow_is_not_about_to_fall(
    shim_mm: float, speed_m_s: float, sink_m_s: float, margin_deg: float
) -> None:
    plane = trainer()
    glide = trim.glide(replace(plane, shim_mm=plane.setting.shim_mm + shim_mm))
    assert glide.verdict == "good"
    assert glide.speed_m_s == pytest.approx(speed_m_s, abs=0.05)
    assert glide.sink_m_s == pytest.approx(sink_m_s, abs=0.006)
    assert glide.stall_margin_deg == pytest.approx(margin_deg, abs=0.06)


def test_a_soft_stick_glides_like_a_good_one() -> None:
    soft = faults.apply(flyer(), "soft-stick", 0.08)
    by_hand = [flight.fly(one, turns=20).duration_s for one in (flyer(), soft)]
    assert by_hand == pytest.approx([1.9, 1.9], abs=0.06)
