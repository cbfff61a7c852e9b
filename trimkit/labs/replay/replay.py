"""The replay: a flight that can be watched, stopped, searched and compared with another.

The page gets all numbers at once and then draws by itself: nothing is asked of the kernel and
nothing leaves the page.
"""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any, Literal

import anywidget
import traitlets
from IPython.core.getipython import get_ipython
from IPython.display import display

from trimkit.aeroplane import Aeroplane
from trimkit.flight import Flight, Hall
from trimkit.labs.bench import widgets_work
from trimkit.labs.replay import parcel, printed
from trimkit.labs.replay.printed import Shown
from trimkit.labs.replay.scene import COLUMNS, GRAINS, Frame, frame_of, track_of
from trimkit.labs.replay.telling import telling_of

View = Literal["follow", "spectator", "plan"]
VIEWS: tuple[View, ...] = ("follow", "spectator", "plan")
OWN, OTHER = "this flight", "before"

SCRIPTS = ("flight.js", "replay.js")  # one after the other they are one module

_STATIC = Path(__file__).parent / "static"


class Replay(anywidget.AnyWidget):
    """A flight as seen in the hall, in a notebook.

    It starts paused. Space plays, the arrow keys step, N and P jump to the seconds that matter;
    the list under the controls has all keys.

    Parameters
    ----------
    flight : Flight
        The flight [-].
    aeroplane : Aeroplane
        The aeroplane that flew it [-].
    ghost : Flight or None
        A second flight, such as the one before a change [-].
    ghost_aeroplane : Aeroplane or None
        The aeroplane of the second flight; None for the same [-].
    hall : Hall or None
        The hall of both; None for the one that `fly` takes by itself [-].
    label, ghost_label : str
        What the two flights are called on the page [-].
    view : str
        "follow", "spectator" or "plan", to begin with [-].
    projector : bool
        Text of 28 pixels for the wall, to begin with [-].
    at_s : float
        Where to begin [s].
    """

    _esm = "".join((_STATIC / name).read_text("utf-8") for name in SCRIPTS)
    _css = _STATIC / "replay.css"
    scene = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        flight: Flight,
        aeroplane: Aeroplane,
        ghost: Flight | None = None,
        ghost_aeroplane: Aeroplane | None = None,
        *,
        hall: Hall | None = None,
        label: str = OWN,
        ghost_label: str = OTHER,
        view: View = "spectator",
        projector: bool = False,
        at_s: float = 0.0,
    ) -> None:
        _check(view, at_s)
        pairs = [(flight, aeroplane, label)]
        if ghost is not None:
            pairs.append((ghost, ghost_aeroplane or aeroplane, ghost_label))
        self._title = title_of(flight)
        self._shown = [_shown(one, name) for one, _, name in pairs]
        scene = {
            "title": self._title,
            "view": view,
            "projector": projector,
            "at_s": at_s,
            "hall": list((hall or Hall()).size_m),
            "columns": [list(column) for column in COLUMNS],
            "flights": [
                _flight(shown, flown)
                for shown, (_, flown, _) in zip(self._shown, pairs, strict=True)
            ],
        }
        super().__init__(scene=scene)

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict[str, Any], dict[str, Any]] | None:
        """Give the widget, and beside it the picture and tables for pages that do not move."""
        data, metadata = _as_json(*printed.bundle(self._title, self._shown))
        live = super()._repr_mimebundle_(**kwargs)
        if live is None or not somebody_is_there():
            return data, metadata
        return live[0] | data, metadata


def somebody_is_there() -> bool:
    """Say whether a page sent the cell that runs, and not a program that runs notebooks.

    Such programs say with each cell that nobody answers a question; then nobody can tap either.

    Returns
    -------
    bool
        False only when that was said [-].
    """
    shell: Any = get_ipython()
    kernel = getattr(shell, "kernel", None)
    asked = kernel.get_parent() if kernel is not None else {}
    return bool(asked.get("content", {}).get("allow_stdin", True))


def show(
    flight: Flight,
    aeroplane: Aeroplane,
    ghost: Flight | None = None,
    ghost_aeroplane: Aeroplane | None = None,
    *,
    hall: Hall | None = None,
    label: str = OWN,
    ghost_label: str = OTHER,
    view: View = "spectator",
    projector: bool = False,
    at_s: float = 0.0,
) -> None:
    """Put a replay into the notebook, or its picture and tables where nothing can move.

    Parameters
    ----------
    flight : Flight
        The flight [-].
    aeroplane : Aeroplane
        The aeroplane that flew it [-].
    ghost : Flight or None
        A second flight, such as the one before a change [-].
    ghost_aeroplane : Aeroplane or None
        The aeroplane of the second flight; None for the same [-].
    hall : Hall or None
        The hall of both; None for the one that `fly` takes by itself [-].
    label, ghost_label : str
        What the two flights are called on the page [-].
    view : str
        "follow", "spectator" or "plan", to begin with [-].
    projector : bool
        Text of 28 pixels for the wall, to begin with [-].
    at_s : float
        Where to begin [s].
    """
    if widgets_work() and somebody_is_there():
        display(
            Replay(
                flight,
                aeroplane,
                ghost,
                ghost_aeroplane,
                hall=hall,
                label=label,
                ghost_label=ghost_label,
                view=view,
                projector=projector,
                at_s=at_s,
            )
        )
        return
    flights = [(flight, label)] + ([(ghost, ghost_label)] if ghost is not None else [])
    made = printed.bundle(title_of(flight), [_shown(one, name) for one, name in flights])
    data, metadata = _as_json(*made)
    display(data, metadata=metadata, raw=True)


def title_of(flight: Flight) -> str:
    """Name a flight in a few words.

    Parameters
    ----------
    flight : Flight
        The flight [-].

    Returns
    -------
    str
        Such as "Replay of hallfinch-46, 1157 turns" [-].
    """
    return f"Replay of {flight.name}, {flight.turns_on:.0f} turns"


def _check(view: str, at_s: float) -> None:
    if view not in VIEWS:
        raise ValueError(f"view is {view!r}; allowed is {', '.join(VIEWS)}")
    if not 0 <= at_s < float("inf"):
        raise ValueError(f"at_s is {at_s:g}; allowed is 0 or more; is it counted from the end?")


def _shown(flight: Flight, label: str) -> Shown:
    return Shown(label, flight, telling_of(flight))


def _flight(shown: Shown, aeroplane: Aeroplane) -> dict[str, Any]:
    flight, telling = shown.flight, shown.telling
    track = track_of(flight, aeroplane)
    return {
        "label": shown.label,
        "duration_s": flight.duration_s,
        "step_s": track.step_s,
        "rows": parcel.rows(track.rows, GRAINS),
        "said": parcel.sentences(telling.sentences),
        "sentence_step_s": telling.step_s,
        "moments": [{"time_s": moment.time_s, "what": moment.what} for moment in telling.moments],
        "frame": _plain(frame_of(aeroplane, flight.turns_on)),
    }


def _plain(frame: Frame) -> dict[str, Any]:
    """The frame as lists, to a hundredth of a millimetre."""
    pieces = [
        {"name": p.name, "group": p.group, "sheet": p.sheet, "points": p.points.round(5).tolist()}
        for p in frame.pieces
    ]
    points = ("hub", "shaft", "joint", "saddle")
    numbers = ("radius", "wing_share", "span", "mass_g")
    return {
        "pieces": pieces,
        **{name: getattr(frame, name).tolist() for name in points},
        **{name: getattr(frame, name) for name in numbers},
    }


def _as_json(
    data: dict[str, Any], metadata: dict[str, Any]
) -> tuple[dict[str, Any], dict[str, Any]]:
    return data | {"image/png": base64.b64encode(data["image/png"]).decode("ascii")}, metadata
