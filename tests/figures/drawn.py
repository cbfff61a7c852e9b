"""The pictures that the tests look at, and what makes words on them readable."""

from __future__ import annotations

import dataclasses
import itertools

from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from tests.aeroplanes import trainer
from tests.figures.flown import flights
from tests.flight.planes import NAMES as DEMO
from tests.flight.planes import demo
from trimkit import figures, trim
from trimkit.aeroplane import replace
from trimkit.figures import Edges, Picture, SessionRow, Step

GOOD = trim.glide(trainer())
NONE = dataclasses.replace(GOOD, found=False, verdict="dives")
RISES = dataclasses.replace(GOOD, found=False, verdict="stalls")
STALLS = dataclasses.replace(GOOD, verdict="stalls", stall_margin_deg=-0.5, sink_m_s=0.4)
DIVES = dataclasses.replace(GOOD, verdict="dives", speed_m_s=4.0, sink_m_s=0.9)
FAR = dataclasses.replace(GOOD, speed_m_s=3.0, sink_m_s=0.1)


BLADES = figures.Blades(34.0, 38.5, 4.5, 9.0, 46.0, 7.1, 2.3, 49.0)
DESIGN = figures.Blades(36.4, 36.4, 4.5, 9.3, 48.0, 7.0, 2.2, 52.0)
FLAT = figures.Blades(8.0, 12.0, 12.5, 101.4, -120.0, 88.8, 10.3, 0.0)
SIGNS = (("nose", "14° down"), ("bank", "23° right"), ("circle", "straight"), ("climb", "+0.6 m/s"))


def bench_pictures(projector: bool = False) -> dict[str, Picture]:
    large = {"projector": projector}
    plane = trainer()
    weak, strong = (flights()[name] for name in ("middle", "long"))
    return {
        "ruler": figures.ruler_view(31, 26, 90, "wing", **large),
        "ruler down": figures.ruler_view(20, 28, 75, "tailplane", **large),
        "ruler level": figures.ruler_view(25, 25, 75, "tailplane", **large),
        "ruler high": figures.ruler_view(120, 90, 140, "wing", **large),
        "ruler low": figures.ruler_view(4, 1, 90, "wing", **large),
        "bench": figures.bench_view(Edges(58, 51, 100), Edges(24, 20, 75), 0.0, 45, **large),
        "bench shim": figures.bench_view(Edges(58, 51, 100), Edges(24, 20, 75), 1.2, 45, **large),
        "bench low": figures.bench_view(Edges(58, 51, 100), Edges(12, 8, 75), -3.0, 45, **large),
        "readings": figures.readings(
            [1.5, 1.9, 1.1, 1.6, 1.7], "°", "One tailplane, five pupils", **large
        ),
        "side": figures.side_view(plane, **large),
        "side shim": figures.side_view(replace(plane, shim_mm=-1.2), **large),
        "side forward": figures.side_view(replace(plane, wing_station_mm=80.0), **large),
        "beam": figures.beam_view(plane, **large),
        "glide": figures.glide_path([GOOD], **large),
        "glides": figures.glide_path([GOOD, DIVES], ("before", "after"), **large),
        "stall": figures.glide_path([STALLS, GOOD], ("now", "design"), **large),
        "no glide": figures.glide_path([NONE, GOOD], ("now", "design"), **large),
        "nose rises": figures.glide_path([RISES, GOOD], ("now", "design"), **large),
        "wall": figures.glide_path([FAR, GOOD], ("now", "design"), **large),
        "blades": figures.blades_view(BLADES, DESIGN, **large),
        "blades flat": figures.blades_view(FLAT, DESIGN, **large),
        "steps": figures.steps_view(
            [Step("low", weak, SIGNS), Step("launch", strong, SIGNS)], 15.0, **large
        ),
        "one step": figures.steps_view([Step("in-between", weak, SIGNS)], 15.0, **large),
        "four": figures.glide_path([GOOD, DIVES, STALLS, NONE], **large),
    }


EVENING = (
    SessionRow(1, 400, 352, 7.9),
    SessionRow(2, 750, 705, 6.1, "shim +1.5 mm", "It stalls from the hand."),
    SessionRow(3, 750, 535, 31.4, "shim back, and wing 3 mm forward", "settled"),
    SessionRow(4, 1157, 467, 97.9, "1157 turns"),
)
FULL = tuple(
    SessionRow(row, 10000 + 500 * row, 9000, 600 + row, "x" * row + " aft wing")
    for row in range(1, 13)
)


def hall_pictures(projector: bool) -> dict[str, Picture]:
    """Every picture that has a page and a slide."""
    large = {"projector": projector}
    motor, flown = demo("hallfinch-46").setting.motor, flights()
    found = {
        "torque": figures.torque_curve(motor, 1250, 2.0, 20, 90, **large),
        "torque bare": figures.torque_curve(motor, **large),
        "torque weak": figures.torque_curve(motor, 400, 2.4, 5, **large),
        "evening": figures.session_view(EVENING, **large),
        "one flight": figures.session_view(EVENING[:1], **large),
        "full": figures.session_view(FULL, **large),
        "compare": figures.compare_view(flown["middle"], flown["long"], **large),
        "compare stall": figures.compare_view(
            flown["stall"], flown["middle"], ("shim 1.5 mm", "no shim"), **large
        ),
    }
    for name, flight in flown.items():
        found[f"flight {name}"] = figures.flight_view(flight, **large)
    for name in DEMO:
        plane = demo(name)
        found[f"{name} above"] = figures.plan_view(plane, **large)
        found[f"{name} front"] = figures.front_view(plane, **large)
        found[f"{name} glide"] = figures.force_view(plane, trim.glide(plane), **large)
        found[f"{name} level"] = figures.force_view(plane, trim.level(plane), **large)
    return found


def words_on(picture: Picture) -> list[Text]:
    """Every word that is drawn: labels, titles, names of axes and their figures."""
    found = list(picture.figure.texts)
    for axes in picture.figure.axes:
        found += axes.texts
        if axes.axison:
            found += [axes.title, axes._left_title, axes.xaxis.label, axes.yaxis.label]
            found += [*_figures_of(axes.xaxis), *_figures_of(axes.yaxis)]
    return [text for text in found if text.get_text() and text.get_visible()]


def _figures_of(axis: Axis) -> list[Text]:
    low, high = sorted(axis.get_view_interval())
    shown = axis.get_tick_params()["labelbottom" if axis.axis_name == "x" else "labelleft"]
    ticks = axis.get_major_ticks() if shown else []
    return [tick.label1 for tick in ticks if low <= tick.get_loc() <= high]


def check_words(picture: Picture, least_pt: float) -> None:
    """Words are large, on the page, and do not cover each other."""
    canvas = FigureCanvasAgg(picture.figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    words = words_on(picture)
    assert len(words) >= 3
    assert min(text.get_fontsize() for text in words) >= least_pt
    boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in words]
    page = picture.figure.bbox
    for said, box in boxes:
        assert page.x0 <= box.x0 < box.x1 <= page.x1, said
        assert page.y0 <= box.y0 < box.y1 <= page.y1, said
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        across = min(a.x1, b.x1) - max(a.x0, b.x0)
        up = min(a.y1, b.y1) - max(a.y0, b.y0)
        assert across < 2 or up < 2, f"{one!r} and {other!r} cover each other"
