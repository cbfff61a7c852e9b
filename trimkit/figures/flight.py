"""A flight on one page: from the side, from above, and against time.

The view from above and the one from the side have one scale and lie over each other, so that
a place in one is straight above its place in the other. On the right height, nose and bank
share one line of time. `compare_view` draws two flights that way, before and after a change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator

from trimkit.figures.room import Room
from trimkit.figures.style import (
    GREY,
    INK,
    LOOKS,
    ORANGE,
    PALE,
    Look,
    Page,
    Picture,
    page,
    plain,
    sentence,
    signed,
    style,
)
from trimkit.units import Floats

if TYPE_CHECKING:  # a picture of a ruler must not wait for the flight engine
    from trimkit.flight import Flight
    from trimkit.observe import Observation

LEAST_PLAN_M, LEAST_HEIGHT_M = 4.0, 2.5  # a short flight is not blown up further
LEAST_ANGLES_DEG = {"nose": (-10.0, 20.0), "bank": (-10.0, 20.0)}
STEPS_S = (1.0, 2.0, 5.0, 10.0, 20.0, 60.0, 120.0, 300.0)
MOST_STEPS = 10  # dots on a path
LONGEST_NAME = 24  # letters of an aeroplane's name in a title
CLIMB_SEEN_M = 0.05  # less is not called a climb
ROUND_SEEN = 0.75  # less of a circle is not called one


@dataclass(frozen=True, slots=True)
class Track:
    """A flight as it is drawn.

    Parameters
    ----------
    time_s, height_m, nose_deg, bank_deg : numpy.ndarray
        Time, height, nose above the level, bank with + left wing low [s, m, deg, deg].
    across_m, up_m : numpy.ndarray
        Place over the floor as it lies on the page, to the right and up the page [m].
    hits : tuple of float
        When it hit a wall or the ceiling [s].
    landed : bool
        Whether it ended on the floor [-].
    rounds : float
        Times round, + to the left [-].
    """

    time_s: Floats
    height_m: Floats
    nose_deg: Floats
    bank_deg: Floats
    across_m: Floats
    up_m: Floats
    hits: tuple[float, ...]
    landed: bool
    rounds: float

    def at(self, rows: Floats, time_s: float) -> float:
        """Return one of the rows at a time.

        Parameters
        ----------
        rows : numpy.ndarray
            One of the track's arrays [in its unit].
        time_s : float
            Time [s].

        Returns
        -------
        float
            Value at that time [in the rows' unit].
        """
        return float(np.interp(time_s, self.time_s, rows))

    @property
    def apart_m(self) -> float:
        """Distance over the floor between the hand and the end of the flight [m]."""
        return float(np.hypot(self.across_m[-1] - self.across_m[0], self.up_m[-1] - self.up_m[0]))


def flight_view(
    flight: Flight, observation: Observation | None = None, projector: bool = False
) -> Picture:
    """Draw one flight from the side, from above and against time, on one page.

    Parameters
    ----------
    flight : Flight
        What the aeroplane did [-].
    observation : Observation or None
        What a coach saw of it, for the words; None for a coach who makes no errors [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    track = _track(flight, _turned([flight]))
    misread = observation is not None and observation["duration_s"] != flight.duration_s
    drawn = f"as drawn, {_summary(track)}" if misread else _summary(track)
    words = f"{_short(flight.name)}, {flight.turns_on:.0f} turns: {drawn}"
    figure = _drawn([track], [""], words, projector)
    return Picture(figure, " ".join([_told(flight, track, observation), _how_drawn([track])]))


def compare_view(
    first: Flight,
    second: Flight,
    names: tuple[str, str] = ("before", "after"),
    projector: bool = False,
) -> Picture:
    """Draw two flights over each other, such as before and after one change.

    Parameters
    ----------
    first, second : Flight
        The flights [-].
    names : (str, str)
        What they are called; up to 12 letters each [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there are not two different names of 1 to 12 letters.
    """
    if len(set(names)) != 2 or not all(1 <= len(name) <= 12 for name in names):
        raise ValueError(f"names is {names!r}; allowed is two different names of 1 to 12 letters")
    north_right = _turned([first, second])
    tracks = [_track(flight, north_right) for flight in (first, second)]
    figure = _drawn(tracks, names, "", projector)
    told = (
        f"{sentence(name)}: {_told(flight, track, None)}"
        for name, flight, track in zip(names, (first, second), tracks, strict=True)
    )
    text = " ".join([*told, _compared(tracks, names), _how_drawn(tracks)])
    return Picture(figure, text)


# --- what is drawn ---------------------------------------------------------------------------


def _turned(flights: Sequence[Flight]) -> bool:
    """Whether north lies to the right: the longer side of the paths goes across the page."""
    places = np.concatenate([flight.position_m[:, :2] for flight in flights])
    north, east = np.ptp(places, axis=0)
    return bool(north > east)


def _track(flight: Flight, north_right: bool) -> Track:
    north, east = flight.position_m[:, 0], flight.position_m[:, 1]
    across, up = (north, -east) if north_right else (east, north)
    heading = flight.heading_deg
    return Track(
        flight.time_s,
        flight.height_m,
        flight.pitch_deg,
        -flight.roll_deg,
        across,
        up,
        tuple(event.time_s for event in flight.events if event.what.startswith("hit")),
        flight.ended == "landed",
        float(heading[0] - heading[-1]) / 360,
    )


def _step_s(tracks: Sequence[Track]) -> float:
    """Time between two dots on the path."""
    longest = max(float(track.time_s[-1]) for track in tracks)
    return next((step for step in STEPS_S if longest / step <= MOST_STEPS), STEPS_S[-1])


def _marks_s(track: Track, step: float) -> Floats:
    return np.arange(step, float(track.time_s[-1]), step)


# --- the page --------------------------------------------------------------------------------


def _drawn(tracks: Sequence[Track], names: Sequence[str], title: str, projector: bool) -> Figure:
    sheet = page(projector)
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        side, above = _places(figure, sheet, tracks)
        panels = _panels(figure, sheet)
        for track, look in zip(tracks, LOOKS, strict=False):
            _paths(side, above, track, look, sheet, _step_s(tracks))
            _against_time(panels, track, look, sheet)
        _limits(panels, tracks)
        _names_of_panels(side, above, panels, sheet)
        heads = [f"{name}: {t.time_s[-1]:.0f} s" for name, t in zip(names, tracks, strict=True)]
        _head(figure, sheet, title, heads)
        _words_on_paths(figure, side, above, sheet, tracks, names)
    return figure


def _axes(figure: Figure, sheet: Page, box: tuple[float, float, float, float]) -> Axes:
    """Axes at a place in inches from the lower left corner."""
    left, low, width, height = box
    wide, tall = sheet.width_in, sheet.height_in
    axes = figure.add_axes((left / wide, low / tall, width / wide, height / tall))
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelsize=sheet.type_pt, length=0.25 * sheet.type_pt, width=1.5)
    axes.grid(color=PALE, linewidth=0.4 * sheet.line_pt)
    axes.set_axisbelow(True)
    return axes


def _places(figure: Figure, sheet: Page, tracks: Sequence[Track]) -> tuple[Axes, Axes]:
    """Side view over the view from above, both with the same metres."""
    em = sheet.em_in
    left, width = 2.3 * em, 0.47 * sheet.width_in - 2.3 * em
    bottom, top = 2.9 * em, sheet.height_in - 1.9 * em
    free = top - bottom - 3.9 * em  # two names and a gap
    (x0, x1), (y0, y1), high = _spans(tracks)
    per_m = min(width / (x1 - x0), free / (y1 - y0 + high))
    tall = per_m * high
    side = _axes(figure, sheet, (left, top - 1.6 * em - tall, width, tall))
    above = _axes(figure, sheet, (left, bottom, width, free - tall))
    for axes in (side, above):
        middle, half = (x0 + x1) / 2, width / per_m / 2
        axes.set_xlim(middle - half, middle + half)
    middle, half = (y0 + y1) / 2, (free - tall) / per_m / 2
    above.set_ylim(middle - half, middle + half)
    side.set_ylim(0, high)
    side.tick_params(labelbottom=False)
    _metres(side, above, sheet, per_m)
    return side, above


def _spans(
    tracks: Sequence[Track],
) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Least that must be seen: across, up the page, and height."""
    across = np.concatenate([track.across_m for track in tracks])
    up = np.concatenate([track.up_m for track in tracks])
    high = max(float(np.max(track.height_m)) for track in tracks)
    return _wide(across), _wide(up), max(1.15 * high, LEAST_HEIGHT_M)


def _wide(rows: Floats) -> tuple[float, float]:
    low, high = float(np.min(rows)), float(np.max(rows))
    half = max(0.56 * (high - low), LEAST_PLAN_M / 2)
    return (low + high) / 2 - half, (low + high) / 2 + half


def _metres(side: Axes, above: Axes, sheet: Page, per_m: float) -> None:
    """Metres along all lines of the two views, as close as the type allows."""
    for axis, limits, ems in (
        (side.xaxis, side.get_xlim(), 2.2),
        (side.yaxis, side.get_ylim(), 1.3),
        (above.xaxis, above.get_xlim(), 2.2),
        (above.yaxis, above.get_ylim(), 1.3),
    ):
        least = ems * sheet.em_in / per_m
        step = next((s for s in (1, 2, 5, 10, 20, 50) if s >= least), 100)
        first = step * np.ceil(limits[0] / step)
        axis.set_ticks(np.arange(first, limits[1] + 1e-9, step))
        axis.set_major_formatter(lambda value, _: plain(value, 0))


def _panels(figure: Figure, sheet: Page) -> list[Axes]:
    """Height, nose and bank under each other, with one line of time."""
    em = sheet.em_in
    left, right = 0.5 * sheet.width_in + 2.9 * em, sheet.width_in - 1.0 * em
    bottom, top = 2.9 * em, sheet.height_in - 1.9 * em
    name, gap = 1.6 * em, 0.6 * em
    tall = (top - bottom - 3 * name - 2 * gap) / 3
    lows = [top - row * (name + tall + gap) - name - tall for row in range(3)]
    made = [_axes(figure, sheet, (left, low, right - left, tall)) for low in lows]
    for axes in made:
        axes.tick_params(labelbottom=axes is made[-1])
    for axes in made[1:]:
        axes.sharex(made[0])
    return made


def _limits(panels: Sequence[Axes], tracks: Sequence[Track]) -> None:
    longest = max(float(track.time_s[-1]) for track in tracks)
    panels[0].set_xlim(0, 1.02 * longest)
    high = max(float(np.max(track.height_m)) for track in tracks)
    panels[0].set_ylim(0, max(1.12 * high, LEAST_HEIGHT_M))
    rows = {"nose": [t.nose_deg for t in tracks], "bank": [t.bank_deg for t in tracks]}
    for axes, (name, values) in zip(panels[1:], rows.items(), strict=True):
        low, high = LEAST_ANGLES_DEG[name]
        low = min(low, *(float(np.min(one)) for one in values))
        high = max(high, *(float(np.max(one)) for one in values))
        axes.set_ylim(low - 0.06 * (high - low), high + 0.06 * (high - low))
        axes.axhline(0, color=GREY, linewidth=1.5, zorder=1)
    for axes in panels:
        axes.yaxis.set_major_locator(MaxNLocator(3, steps=[1, 2, 3, 5, 10], integer=True))
        axes.yaxis.set_major_formatter(lambda value, _: plain(value, 0))
        axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10], integer=True))


def _names_of_panels(side: Axes, above: Axes, panels: Sequence[Axes], sheet: Page) -> None:
    names = ("height in m", "nose above level in °", "bank in °, + left wing low")
    for axes, words in (
        (side, "from the side, in m"),
        (above, "from above, in m"),
        *zip(panels, names, strict=True),
    ):
        axes.set_title(words, fontsize=sheet.type_pt, pad=0.35 * sheet.type_pt, x=0.0)
    panels[-1].set_xlabel("time in s", fontsize=sheet.type_pt, labelpad=0.1 * sheet.type_pt)


# --- lines and marks -------------------------------------------------------------------------


def _paths(side: Axes, above: Axes, track: Track, look: Look, sheet: Page, step: float) -> None:
    marks = _marks_s(track, step)
    size = 0.36 * sheet.type_pt
    for axes, rows in ((side, track.height_m), (above, track.up_m)):
        line: dict[str, Any] = {"color": look.colour, "linewidth": 0.8 * sheet.line_pt}
        axes.plot(track.across_m, rows, look.dash, zorder=3, gid="path", **line)
        dots = [[track.at(part, when) for when in marks] for part in (track.across_m, rows)]
        axes.plot(*dots, "o", color=look.colour, ms=size, zorder=5, gid="dots")
        _ends(axes, track, rows, look, sheet)
    _arrows(above, track, look, sheet)


def _ends(axes: Axes, track: Track, rows: Floats, look: Look, sheet: Page) -> None:
    """An open circle at the hand, a full mark at the end, a cross at every wall."""
    size = 0.62 * sheet.type_pt
    edge: dict[str, Any] = {"mec": INK, "mew": 0.8 * sheet.line_pt, "ms": size, "zorder": 7}
    edge["clip_on"] = False
    axes.plot(track.across_m[0], rows[0], "o", color="white", gid="start", **edge)
    axes.plot(track.across_m[-1], rows[-1], look.marker, color=look.colour, gid="end", **edge)
    for when in track.hits:
        place = track.at(track.across_m, when), track.at(rows, when)
        axes.plot(*place, "X", color=ORANGE, gid="hit", **{**edge, "mew": 1.0})


def _arrows(axes: Axes, track: Track, look: Look, sheet: Page) -> None:
    """Heads on the path, more of them on a long one, which way it went."""
    moved = np.hypot(np.diff(track.across_m), np.diff(track.up_m))
    gone = np.concatenate([[0.0], np.cumsum(moved)])
    if gone[-1] <= 0:
        return
    count = int(np.clip(gone[-1] / np.ptp(axes.get_xlim()) * 3, 2, 8))
    head = 0.06 * np.ptp(axes.get_xlim())
    for end in gone[-1] * (np.arange(count) + 0.6) / count:
        tail, tip = (
            tuple(np.interp(at, gone, part) for part in (track.across_m, track.up_m))
            for at in (max(end - head, 0.0), end)
        )
        arrow = {
            "arrowstyle": "-|>",
            "color": look.colour,
            "linewidth": 0,
            "mutation_scale": 1.4 * sheet.type_pt,
            "shrinkA": 0,
            "shrinkB": 0,
        }
        axes.annotate("", tip, tail, arrowprops=arrow, zorder=4)


def _against_time(panels: Sequence[Axes], track: Track, look: Look, sheet: Page) -> None:
    rows = (track.height_m, _whole(track.nose_deg), _whole(track.bank_deg))
    line: dict[str, Any] = {"color": look.colour, "linewidth": 0.8 * sheet.line_pt, "zorder": 3}
    for axes, values in zip(panels, rows, strict=True):
        axes.plot(track.time_s, values, look.dash, gid="path", **line)
    for when in track.hits:
        place = (when, track.at(track.height_m, when))
        size = 0.62 * sheet.type_pt
        panels[0].plot(*place, "X", color=ORANGE, mec=INK, ms=size, zorder=6, gid="hit")


def _whole(angles_deg: Floats) -> Floats:
    """Break the line where an angle goes past 180 degrees and comes back on the other side."""
    jumps = np.flatnonzero(np.abs(np.diff(angles_deg)) > 180)
    whole = angles_deg.copy()
    whole[jumps] = np.nan
    return whole


# --- words on the page -----------------------------------------------------------------------


def _head(figure: Figure, sheet: Page, title: str, heads: Sequence[str]) -> None:
    """Title, or for two flights a sample of each line with its name."""
    height = 1 - 0.95 * sheet.em_in / sheet.height_in
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "fontweight": "bold", "va": "center"}
    if title:
        figure.text(0.5 * sheet.em_in / sheet.width_in, height, title, **look)
        return
    em = sheet.em_in / sheet.width_in
    for start, head, line in zip((0.5 * em, 0.5), heads, LOOKS, strict=False):
        sample = Line2D(
            [start, start + 3 * em],
            [height, height],
            linestyle=cast(Any, line.dash),
            color=line.colour,
            linewidth=sheet.line_pt,
            transform=figure.transFigure,
        )
        figure.add_artist(sample)
        figure.text(start + 3.6 * em, height, head, color=line.colour, **look)


def _words_on_paths(
    figure: Figure,
    side: Axes,
    above: Axes,
    sheet: Page,
    tracks: Sequence[Track],
    names: Sequence[str],
) -> None:
    room = Room(figure, sheet.type_pt)
    for axes in (side, above):
        for track in tracks:
            rows = track.height_m if axes is side else track.up_m
            room.keep_free(axes, track.across_m, rows)
    first = tracks[0]
    room.put(above, "start", (float(first.across_m[0]), float(first.up_m[0])), fontweight="bold")
    for track, name in zip(tracks, names, strict=True):
        words = name or ("down" if track.landed else "end")
        room.put(
            above, words, (float(track.across_m[-1]), float(track.up_m[-1])), fontweight="bold"
        )
    for track in tracks:
        _times(room, above, track, () if len(tracks) > 1 else _marks_s(track, _step_s(tracks)))


def _times(room: Room, above: Axes, track: Track, marks: Iterable[float]) -> None:
    """Name the first hit, and the dots beside which there is room."""
    for words, when in (
        *(("hit", when) for when in track.hits[:1]),
        *((f"{when:.0f} s", when) for when in marks),
    ):
        place = (track.at(track.across_m, when), track.at(track.up_m, when))
        room.put(above, words, place, needed=words == "hit")


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"


# --- the same in words -----------------------------------------------------------------------


def _summary(track: Track) -> str:
    end = "down after" if track.landed else "flown for"
    highest = plain(float(np.max(track.height_m)))
    return f"{end} {track.time_s[-1]:.0f} s, highest {highest} m"


def _told(flight: Flight, track: Track, observation: Observation | None) -> str:
    from trimkit import observe

    seen = observation or observe.watch(flight)
    said = " ".join(dict.fromkeys(_said(moment.words) for moment in seen.moments()))
    return " ".join([f"{flight.name} with {flight.turns_on:.0f} turns. {said}", *_figures(track)])


def _said(words: str) -> str:
    """Make a sentence of a thing seen; a verb at its start tells of the aeroplane."""
    verb = words.partition(" ")[0].endswith("s")
    return f"It {words}." if verb else f"{sentence(words)}."


def _figures(track: Track) -> list[str]:
    highest = int(np.argmax(track.height_m))
    climb = (
        f"is highest after {track.time_s[highest]:.0f} s at "
        f"{plain(float(track.height_m[highest]))} m"
    )
    if track.height_m[highest] - track.height_m[0] < CLIMB_SEEN_M:
        climb = "comes no higher"
    return [
        f"It starts {plain(float(track.height_m[0]))} m above the floor and {climb}.",
        f"{_rounds(track)} and {'lands' if track.landed else 'is at the end'} "
        f"{plain(track.apart_m)} m from where it started.",
        f"The nose is between {signed(float(np.min(track.nose_deg)), 0)}° and "
        f"{signed(float(np.max(track.nose_deg)), 0)}°; in the middle of the flight the "
        f"{_bank(float(np.median(_middle(track.bank_deg))))}.",
    ]


def _middle(rows: Floats) -> Floats:
    return rows[int(0.4 * rows.size) : int(0.6 * rows.size) + 1]


def _rounds(track: Track) -> str:
    side = "left" if track.rounds > 0 else "right"
    if abs(track.rounds) < ROUND_SEEN:
        return "It does not come round a whole circle"
    return f"It comes round {plain(abs(track.rounds))} times to the {side}"


def _bank(bank_deg: float) -> str:
    if abs(bank_deg) < 0.5:
        return "wings are level"
    return f"{'left' if bank_deg > 0 else 'right'} wing is low by {abs(bank_deg):.0f}°"


def _compared(tracks: Sequence[Track], names: Sequence[str]) -> str:
    first, second = tracks
    longer = float(second.time_s[-1] - first.time_s[-1])
    higher = float(np.max(second.height_m) - np.max(first.height_m))
    return (
        f"{sentence(names[1])} against {names[0]}: it flies {plain(abs(longer), 0)} s "
        f"{'longer' if longer >= 0 else 'less long'} and comes {plain(abs(higher))} m "
        f"{'higher' if higher >= 0 else 'less high'}."
    )


def _how_drawn(tracks: Sequence[Track]) -> str:
    return (
        "The picture shows the path from the side and from above with one scale, a dot every "
        f"{_step_s(tracks):.0f} s and arrows the way it flies, and beside them height, nose and "
        "bank against time."
    )
