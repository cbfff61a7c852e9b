"""The replay: the numbers it sends, the words it says, and the page without a front end."""

from __future__ import annotations

import base64
import json
import math
import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import nbformat
import numpy as np
import pytest
from nbclient import NotebookClient
from nbconvert import HTMLExporter
from PIL import Image

from tests.flight.planes import demo
from trimkit import flight, incidence
from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Event, Flight, Hall, Launch, vacuum
from trimkit.flight.fly import attitude
from trimkit.flight.model import STRIPS, model_of
from trimkit.labs.replay import printed, replay, scene, telling
from trimkit.labs.replay.replay import Replay
from trimkit.units import STANDARD_GRAVITY_M_S2, Floats

STATIC = Path(replay.__file__).parent / "static"
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
LARGEST_BYTES = 60_000
MOST_BYTES = 190_000  # of 200,000: the kernel says a little more around it
LONG_TURNS, SHORT_TURNS = 1157.0, 400.0


@pytest.fixture(scope="module")
def trainer() -> Aeroplane:
    return demo("hallfinch-46")


@pytest.fixture(scope="module")
def long_flight(trainer: Aeroplane) -> Flight:
    return flight.fly(trainer, turns=LONG_TURNS)


@pytest.fixture(scope="module")
def two_minutes(trainer: Aeroplane) -> Flight:
    return flight.fly(trainer, turns=1300, longest_s=120)


@pytest.fixture(scope="module")
def short_flight(trainer: Aeroplane) -> Flight:
    return flight.fly(trainer, turns=SHORT_TURNS)


def made(
    position_m: Floats,
    time_s: Floats,
    *,
    pitch_deg: float = 0.0,
    roll_deg: float = 0.0,
    heading_rad: Floats | None = None,
    name: str = "Hallfinch 46",
    rates_rad_s: tuple[float, float, float] = (0.0, 0.0, 0.0),
    events: tuple[Event, ...] = (),
) -> Flight:
    """A flight along a given path, with the propeller still."""
    count = time_s.size
    headings = np.zeros(count) if heading_rad is None else heading_rad
    roll, pitch = math.radians(roll_deg), math.radians(pitch_deg)
    return Flight(
        name=name,
        turns_on=500.0,
        seed=0,
        step_s=0.005,
        time_s=time_s,
        position_m=position_m,
        quaternion=np.array([attitude(roll, pitch, float(one)) for one in headings]),
        velocity_m_s=np.tile([2.0, 0.0, 0.0], (count, 1)),
        rates_rad_s=np.tile(rates_rad_s, (count, 1)),
        turns_left=np.full(count, 500.0),
        shaft_rad_s=np.zeros(count),
        joints_rad=np.zeros((count, 3)),
        energy_J=np.zeros(count),
        ended="time over",
        landed_on="",
        events=events,
        notes=(),
    )


def circle(radius_m: float, speed_m_s: float, climb_m_s: float, side: int, **more: Any) -> Flight:
    """A circle to the left (-1) or right (1) at a steady climb."""
    time = np.arange(0.0, 20.0, 0.02)
    angle = speed_m_s / radius_m * time
    north, east = radius_m * np.sin(angle), side * radius_m * (1 - np.cos(angle))
    return made(
        np.stack([north, east, -2.0 - climb_m_s * time], 1), time, heading_rad=side * angle, **more
    )


# --- the aeroplane -----------------------------------------------------------------------------


def quarter_points(aeroplane: Aeroplane) -> Floats:
    """Quarter-chord points of the drawn ribs, left to right."""
    ribs = [
        piece.points
        for piece in scene.frame_of(aeroplane, 500).pieces
        if piece.group == "wing" and not piece.sheet
    ]
    return np.array([0.75 * rib[0] + 0.25 * rib[-1] for rib in ribs])


@pytest.mark.parametrize("name", ["hallfinch-46", "longreed-42", "stubwren-33"])
@pytest.mark.parametrize("wash_in_deg", [0.0, 5.0])
def test_the_drawn_wing_is_the_one_that_flies(name: str, wash_in_deg: float) -> None:
    aeroplane = replace(demo(name), left_wash_in_deg=wash_in_deg, wing_offset_mm=-12.0)
    drawn = quarter_points(aeroplane)
    model = model_of(aeroplane, 500, Hall())
    for flown in np.array(model["quarter"])[:STRIPS]:
        found = [np.interp(flown[1], drawn[:, 1], drawn[:, axis]) for axis in (0, 2)]
        assert found == pytest.approx([flown[0], flown[2]], abs=2e-4)
    assert drawn[[0, -1]] == pytest.approx(np.array(model["touch"])[1:3], abs=1e-9)


def test_twist_shows_as_a_lower_trailing_edge(trainer: Aeroplane) -> None:
    def tip_angle(aeroplane: Aeroplane) -> float:
        rib = next(p for p in scene.frame_of(aeroplane, 500).pieces if p.name == "left wing"
                   and not p.sheet).points  # fmt: skip
        chord = rib[0] - rib[-1]
        return math.degrees(math.asin(-chord[2] / np.linalg.norm(chord)))

    flat = tip_angle(replace(trainer, left_wash_in_deg=0.0))
    assert tip_angle(replace(trainer, left_wash_in_deg=4.0)) - flat == pytest.approx(4.0, abs=0.1)


def test_a_tilted_tail_has_its_left_tip_high(trainer: Aeroplane) -> None:
    frame = scene.frame_of(replace(trainer, tail_tilt_deg=10.0), 500)
    left, _, right = (p.points[0] for p in frame.pieces if p.name == "tailplane" and not p.sheet)
    span = trainer.build.tail.span_mm / 1000
    assert right[2] - left[2] == pytest.approx(span * math.sin(math.radians(10)), rel=0.01)


def test_a_shim_turns_the_drawn_tail(trainer: Aeroplane) -> None:
    def angle(aeroplane: Aeroplane) -> float:
        rib = [p for p in scene.frame_of(aeroplane, 500).pieces if p.name == "tailplane"][-2].points
        return math.degrees(math.atan2(-(rib[0] - rib[-1])[2], (rib[0] - rib[-1])[0]))

    for shim in (0.0, 1.5):
        aeroplane = replace(trainer, shim_mm=shim, tail_tilt_deg=0.0)
        assert angle(aeroplane) == pytest.approx(incidence.tail_incidence_deg(aeroplane), abs=0.01)


def test_a_fin_s_trailing_edge_goes_left(trainer: Aeroplane) -> None:
    fin = next(p for p in scene.frame_of(replace(trainer, fin_deg=8.0), 500).pieces
               if p.name == "fin").points  # fmt: skip
    assert fin[2][1] < fin[0][1]


def test_pieces_move_with_what_they_hang_on(trainer: Aeroplane) -> None:
    groups = {piece.name: piece.group for piece in scene.frame_of(trainer, 500).pieces}
    assert groups["left wing"] == groups["right wing"] == "wing"
    assert groups["tailplane"] == groups["fin"] == groups["boom"] == "tail"
    assert groups["stick"] == groups["rubber"] == "body"


# --- the flight --------------------------------------------------------------------------------


def test_rows_follow_the_flight(trainer: Aeroplane, short_flight: Flight) -> None:
    track = scene.track_of(short_flight, trainer)
    time = np.arange(len(track.rows)) * track.step_s
    assert time[-1] == pytest.approx(short_flight.duration_s)
    assert track.step_s <= scene.BEAT_S
    for axis in range(3):
        exact = np.interp(time, short_flight.time_s, short_flight.position_m[:, axis])
        assert track.column("position")[:, axis] == pytest.approx(exact, abs=1e-4)
    assert track.column("joints").any()


def test_neighbouring_quaternions_lie_on_one_side(trainer: Aeroplane, short_flight: Flight) -> None:
    quaternion = short_flight.quaternion.copy()
    quaternion[100::2] *= -1  # the same attitudes
    flipped = {name: getattr(short_flight, name) for name in short_flight.__slots__}
    track = scene.track_of(Flight(**{**flipped, "quaternion": quaternion}), trainer)
    sizes = np.linalg.norm(track.column("quaternion"), axis=1)
    assert sizes == pytest.approx(1, abs=1e-3)


def test_a_long_flight_gets_a_slower_beat(trainer: Aeroplane) -> None:
    time = np.arange(0.0, 500.0, 0.02)
    path = np.stack([0.01 * time, 0 * time, -2 + 0 * time], 1)
    track = scene.track_of(made(path, time), trainer)
    assert len(track.rows) == scene.MOST_ROWS


def test_nothing_but_weight_acts_in_a_vacuum(trainer: Aeroplane) -> None:
    thrown = Launch(turns=0, speed_m_s=3.0, pitch_deg=30.0, height_m=10.0, hold_s=0.0)
    fall = flight.fly(trainer, launch=thrown, hall=Hall(air=vacuum()), propeller=False)
    push = scene.track_of(fall, trainer).column("push")
    weight = scene.frame_of(trainer, 0).mass_g * STANDARD_GRAVITY_M_S2
    assert np.abs(push).max() < 0.01 * weight


def test_the_push_holds_the_aeroplane_up_and_in_its_circle(trainer: Aeroplane) -> None:
    radius, speed = 4.0, 2.0
    track = scene.track_of(circle(radius, speed, 0.0, -1), trainer)
    middle = slice(50, -50)
    north, east, down = track.column("push")[middle].T
    mass = scene.frame_of(trainer, 500).mass_g
    assert down == pytest.approx(-mass * STANDARD_GRAVITY_M_S2, rel=1e-3)
    assert np.hypot(north, east) == pytest.approx(mass * speed**2 / radius, rel=0.01)
    away = track.column("position")[middle, :2] - np.array([0.0, -radius])
    assert (north * away[:, 0] + east * away[:, 1] < 0).all()


def test_over_a_whole_flight_the_push_carries_the_weight(
    trainer: Aeroplane, long_flight: Flight
) -> None:
    push = scene.track_of(long_flight, trainer).column("push")
    weight = scene.frame_of(trainer, LONG_TURNS).mass_g * STANDARD_GRAVITY_M_S2
    assert -push[:, 2].mean() == pytest.approx(weight, rel=0.01)


def test_thrust_is_the_propeller_s_and_what_is_left_is_drag(
    trainer: Aeroplane, long_flight: Flight
) -> None:
    track = scene.track_of(long_flight, trainer)
    air, push = track.column("air"), track.column("push")
    thrust = track.column("thrust")[:, 0]
    some = slice(len(thrust) // 2, len(thrust) // 2 + 50)  # two seconds
    speed = float(np.linalg.norm(air[some], axis=1).mean())
    bench = trainer.setting.propeller.thrust_N(speed, float(track.column("revs")[some].mean()))
    assert thrust[some].mean() == pytest.approx(1000 * bench, rel=0.05)
    along = np.sum(push * air, axis=1) / np.linalg.norm(air, axis=1)
    drag = thrust - along
    weight = scene.frame_of(trainer, LONG_TURNS).mass_g * STANDARD_GRAVITY_M_S2
    assert (drag > 0).mean() > 0.99
    assert 0.08 < np.median(drag) / weight < 0.25  # a lift-drag ratio of 4 to 12


def test_a_steady_spin_about_a_slanted_axis_takes_a_turning_push(trainer: Aeroplane) -> None:
    time = np.arange(0.0, 4.0, 0.02)
    path = np.stack([2 * time, 0 * time, -2 + 0 * time], 1)
    spin = (1.0, 0.0, 2.0)
    moment = scene.track_of(made(path, time, rates_rad_s=spin), trainer).column("moment")
    inertia = np.array(model_of(trainer, 500, Hall())["inertia"])
    assert moment[50] == pytest.approx(1000 * np.cross(spin, inertia @ spin), rel=1e-4)


def test_means_near_an_end_use_a_shorter_window() -> None:
    time = np.arange(0.0, 2.0, 0.02)
    straight = np.stack([3 * time, -time], 1)
    assert scene.smooth(straight, time, 0.5) == pytest.approx(straight)


def test_another_aeroplane_s_flight_is_refused(short_flight: Flight) -> None:
    with pytest.raises(ValueError, match="give the aeroplane that flew"):
        scene.track_of(short_flight, demo("longreed-42"))


def test_a_flight_of_two_rows_is_refused(trainer: Aeroplane) -> None:
    with pytest.raises(ValueError, match="2 rows"):
        scene.track_of(made(np.zeros((2, 3)), np.array([0.0, 0.02])), trainer)


def test_an_unknown_column_is_refused_with_the_list(
    trainer: Aeroplane, short_flight: Flight
) -> None:
    with pytest.raises(ValueError, match="there are position, quaternion"):
        scene.track_of(short_flight, trainer).column("speed")


# --- words -------------------------------------------------------------------------------------


def test_a_circle_is_told_with_its_radius_nose_and_climb() -> None:
    told = telling.telling_of(circle(4.0, 2.0, 0.3, -1, pitch_deg=6.0, roll_deg=-16.0)).at(11)
    assert told.startswith(
        "11.0 s: circling left, 4 m radius, nose up 6°, climbing 0.3 m/s; left wing down 16°"
    )


def test_the_other_side_and_the_other_way_are_told_too() -> None:
    told = telling.telling_of(circle(6.0, 2.0, -0.2, 1, pitch_deg=-5.0, roll_deg=9.0)).at(7)
    assert "circling right, 6 m radius, nose down 5°, sinking 0.2 m/s; right wing down 9°" in told


def test_straight_and_level_is_told_as_such() -> None:
    time = np.arange(0.0, 8.0, 0.02)
    path = np.stack([2 * time, 0 * time, -2 + 0 * time], 1)
    told = telling.telling_of(made(path, time)).at(4)
    assert "flying straight, nose level, holding its height; wings level" in told


def test_hanging_in_one_place_is_no_circle() -> None:
    time = np.arange(0.0, 8.0, 0.02)
    told = telling.telling_of(made(np.zeros((time.size, 3)) - 2, time)).at(4)
    assert "hardly moving along" in told


def test_the_last_sentence_is_the_end(short_flight: Flight) -> None:
    told = telling.telling_of(short_flight)
    assert "landed (" in told.at(1e9)
    assert told.at(1e9).startswith(f"{short_flight.duration_s:.1f} s: ")
    assert "time over" in telling.telling_of(circle(4.0, 2.0, 0.1, 1)).at(1e9)


def kinds(told: telling.Telling) -> list[str]:
    return [moment.what.partition(" (")[0].partition(":")[0] for moment in told.moments]


def test_a_stall_is_found_where_the_nose_drops(trainer: Aeroplane) -> None:
    up = replace(trainer, shim_mm=2.0)
    flown = flight.fly(up, turns=LONG_TURNS)
    told = telling.telling_of(flown)
    assert {"stalls", "at its highest", "lands"} <= set(kinds(told))
    assert {"dives", "drops, nose still up"} & set(kinds(told))
    stall = next(m for m in told.moments if m.what.startswith("stalls"))
    row = int(np.searchsorted(flown.time_s, stall.time_s))
    after = flown.pitch_deg[row : row + 75]
    assert flown.pitch_deg[row] - after.min() > telling.STALL_DROP_DEG - 5
    assert "stalls: nose up" in told.at(stall.time_s)


def test_too_little_decalage_is_told_as_a_dive(trainer: Aeroplane) -> None:
    told = telling.telling_of(flight.fly(replace(trainer, shim_mm=-2.0), turns=LONG_TURNS))
    assert kinds(told) == ["leaves the hand", "dives", "lands"]


def test_a_steep_path_down_is_a_dive_and_a_glide_is_none() -> None:
    time = np.arange(0.0, 6.0, 0.02)
    steep = math.tan(math.radians(telling.DIVE_DEG + 3))
    for slope, nose, found in (
        (steep, -15.0, ["dives"]), (steep, 10.0, ["drops, nose still up"]), (0.2, -15.0, []),
    ):  # fmt: skip
        path = np.stack([2 * time, 0 * time, -20 + 2 * slope * time], 1)
        told = telling.telling_of(made(path, time, pitch_deg=nose))
        assert kinds(told)[1:-1] == found


def test_the_highest_point_is_where_the_heights_say(long_flight: Flight) -> None:
    (peak,) = (m for m in telling.telling_of(long_flight).moments if "highest" in m.what)
    assert peak.time_s == pytest.approx(long_flight.time_s[np.argmax(long_flight.height_m)])
    assert f"{long_flight.peak_height_m:.1f} m" in peak.what


def test_a_wall_is_told_with_the_part_that_touched_it(trainer: Aeroplane) -> None:
    flown = flight.fly(trainer, turns=LONG_TURNS, hall=Hall(size_m=(8.0, 8.0, 6.0)))
    first = next(event for event in flown.events if event.what == "hit a wall")
    moments = telling.telling_of(flown).moments
    assert (first.time_s, f"hits a wall ({first.part})") in [(m.time_s, m.what) for m in moments]


def test_the_same_again_within_a_second_is_one_moment() -> None:
    bumps = tuple(Event(when, "hit a wall", "fin") for when in (3.0, 3.4, 4.2, 8.0))
    told = telling.telling_of(circle(4.0, 2.0, 0.0, -1, events=bumps))
    walls = [m.time_s for m in told.moments if m.what.startswith("hits a wall")]
    assert walls == [3.0, 8.0]


def test_moments_come_in_order_and_begin_with_the_hand(long_flight: Flight) -> None:
    times = [moment.time_s for moment in telling.telling_of(long_flight).moments]
    assert times == sorted(times)
    assert times[0] == 0
    assert times[-1] == pytest.approx(long_flight.duration_s)


# --- the widget --------------------------------------------------------------------------------


def test_a_hundred_seconds_stay_small(trainer: Aeroplane, long_flight: Flight) -> None:
    sent = Replay(long_flight, trainer).scene
    (one,) = sent["flights"]
    rest = json.dumps(sent, default=lambda raw: "").encode()
    raw = len(one["rows"]) + len(one["said"]["told"])
    per_second = (raw + len(rest)) / long_flight.duration_s
    assert 100 * per_second < LARGEST_BYTES


def test_the_page_gets_both_flights(
    trainer: Aeroplane, short_flight: Flight, long_flight: Flight
) -> None:
    sent = Replay(short_flight, trainer, long_flight, label="now", ghost_label="last week").scene
    assert [one["label"] for one in sent["flights"]] == ["now", "last week"]
    assert [one["duration_s"] for one in sent["flights"]] == [
        short_flight.duration_s, long_flight.duration_s,
    ]  # fmt: skip
    assert sum(width for _, width, _ in sent["columns"]) == scene.WIDTH


def test_a_flight_of_two_minutes_reaches_the_page_in_few_bytes(
    trainer: Aeroplane, two_minutes: Flight
) -> None:
    shown = Replay(two_minutes, trainer)
    bundle = shown._repr_mimebundle_()
    assert bundle is not None
    rest = [json.dumps(shown.scene, default=lambda raw: ""), json.dumps(bundle[0])]
    code = str(shown._esm) + str(shown._css)
    (one,) = shown.scene["flights"]
    raw = len(one["rows"]) + len(one["said"]["told"])
    assert two_minutes.duration_s == 120
    assert raw + len("".join(rest).encode()) + len(code.encode()) < MOST_BYTES


def test_the_ghost_may_be_another_aeroplane(trainer: Aeroplane, short_flight: Flight) -> None:
    other = demo("longreed-42")
    ghost = flight.fly(other, turns=300)
    own, second = Replay(short_flight, trainer, ghost, other).scene["flights"]
    assert own["frame"]["span"] != second["frame"]["span"]


@pytest.mark.parametrize(
    ("given", "said"),
    [({"view": "above"}, "follow, spectator, plan"), ({"at_s": -1.0}, "0 or more"),
     ({"at_s": math.nan}, "0 or more")],
)  # fmt: skip
def test_what_cannot_be_shown_is_refused(
    trainer: Aeroplane, short_flight: Flight, given: dict[str, Any], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        Replay(short_flight, trainer, **given)


@pytest.fixture
def bundle(trainer: Aeroplane, short_flight: Flight) -> dict[str, Any]:
    made_for = Replay(short_flight, trainer, short_flight, label="a <b>bold</b> one")
    found = made_for._repr_mimebundle_()
    assert found is not None
    data, metadata = found
    assert metadata["image/png"]["alt"] == data["text/plain"]
    return data


def test_a_page_without_a_front_end_gets_a_picture_and_a_table(bundle: dict[str, Any]) -> None:
    assert WIDGET_VIEW in bundle
    raw = base64.b64decode(bundle["image/png"])
    assert raw.startswith(b"\x89PNG")
    html = bundle["text/html"]
    assert re.search(r'<img [^>]*alt="[^"]{40,}"', html)
    assert html.count("<table>") == 2
    assert html.count('<th scope="row"') == 2 * printed.INSTANTS
    assert "landed (" in html


def test_words_from_outside_stay_words(bundle: dict[str, Any]) -> None:
    assert "<b>" not in bundle["text/html"]
    assert "a &lt;b&gt;bold&lt;/b&gt; one" in bundle["text/html"]


def test_an_exported_notebook_shows_picture_and_table(bundle: dict[str, Any]) -> None:
    output = nbformat.v4.new_output("display_data", data=bundle)
    cell = nbformat.v4.new_code_cell("replay.show(flight, aeroplane)", outputs=[output])
    html, _ = HTMLExporter().from_notebook_node(nbformat.v4.new_notebook(cells=[cell]))
    assert f'<script type="{WIDGET_VIEW}"' not in html
    assert "Replay of Hallfinch 46, 400 turns. The path from above" in html
    assert re.search("<caption[^>]*>before</caption>", html)


RUN = """
from trimkit import flight, load_aeroplane
from trimkit.labs import replay
from trimkit.places import demo_folder

aeroplane = load_aeroplane(demo_folder() / "aeroplanes" / "hallfinch-46.toml")
flown = flight.fly(aeroplane, turns=400)
replay.show(flown, aeroplane)
replay.Replay(flown, aeroplane)
"""


@pytest.mark.notebooks
def test_a_notebook_that_a_program_ran_shows_picture_and_table_too() -> None:
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(RUN)])
    NotebookClient(notebook, kernel_name="python3").execute()
    html, _ = HTMLExporter().from_notebook_node(notebook)
    assert html.count('alt="Replay of Hallfinch 46') == 2
    assert f'<script type="{WIDGET_VIEW}"' not in html


@pytest.mark.parametrize(
    ("content", "there"),
    [({"allow_stdin": True}, True), ({"allow_stdin": False}, False), ({"comm_id": "x"}, True)],
)
def test_a_program_that_runs_notebooks_is_nobody(
    content: dict[str, Any], there: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    kernel = SimpleNamespace(get_parent=lambda: {"content": content})
    monkeypatch.setattr(replay, "get_ipython", lambda: SimpleNamespace(kernel=kernel))
    assert replay.somebody_is_there() is there
    monkeypatch.setattr(replay, "get_ipython", lambda: None)
    assert replay.somebody_is_there()


def test_while_marking_nothing_waits_for_a_tap(
    trainer: Aeroplane, short_flight: Flight, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []
    monkeypatch.setattr(replay, "display", lambda what, **options: seen.append((what, options)))
    replay.show(short_flight, trainer)
    assert isinstance(seen.pop()[0], Replay)
    monkeypatch.setattr(replay, "widgets_work", lambda: False)
    replay.show(short_flight, trainer, short_flight)
    data, options = seen.pop()
    assert options["raw"] is True
    assert set(data) == {"text/plain", "text/html", "image/png"}


def test_the_printed_picture_is_not_blank_and_says_the_ends(
    short_flight: Flight, tmp_path: Path
) -> None:
    shown = printed.Shown("this flight", short_flight, telling.telling_of(short_flight))
    drawn = printed.picture("A flight", [shown])
    assert f"{short_flight.duration_s:.1f} s, highest" in drawn.text
    path = tmp_path / "flight.png"
    path.write_bytes(drawn.png(60))
    grey = np.asarray(Image.open(path).convert("L"))
    assert 0.01 < (grey < 128).mean() < 0.3


def test_the_page_needs_nothing_from_outside_and_takes_no_markup() -> None:
    scripts = {path.name: path.read_text("utf-8") for path in STATIC.glob("*.js")}
    assert set(scripts) == set(replay.SCRIPTS)
    style = (STATIC / "replay.css").read_text("utf-8")
    outside = ("http:", "https:", "import ", "fetch(", "XMLHttp", "WebSocket", "localStorage")
    markup = ("innerHTML", "outerHTML", "insertAdjacent", "document.write", "eval(", "Function(")
    for script in scripts.values():
        for banned in outside + markup:
            assert banned not in script
        assert len(script.splitlines()) < 900
    assert "url(" not in style
    assert "@import" not in style
