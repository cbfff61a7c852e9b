"""The form every lab is made of, and the way a picture gets into a notebook.

A lab is a list of `Slider`s and a function from their values to a `Reading`: a picture and the
number that matters in words. `open_lab` puts it into the notebook. Where sliders make no sense
(while marking, or with no widgets installed) it shows the picture and the words instead.
"""

from __future__ import annotations

import asyncio
import base64
import gc
import html
import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from typing import Any

from IPython.display import display

from trimkit import places
from trimkit.aeroplane import Aeroplane, Setting
from trimkit.figures import Picture, Still
from trimkit.labs.handle import Handle, tidy
from trimkit.lesson.session import say
from trimkit.settings import SETTINGS
from trimkit.units import quantities

Values = Mapping[str, float]

WAIT_S = 0.005  # how long a drawing waits for a newer value of a slider
PAUSE_S = 1.0  # a slider that rests this long has finished one change
LONGEST_HISTORY = 100
LAB_DPI = 80  # 768 by 400 dots: fits beside the sliders on a 1366 by 768 screen


@dataclass(frozen=True, slots=True, kw_only=True)
class Slider:
    """One thing on the bench that can be set.

    Parameters
    ----------
    name : str
        Name of the value, with its unit, such as "shim_mm" [-].
    label : str
        What it is called on the bench [-].
    unit : str
        Unit as printed [-].
    low, high, step : float
        Range and step [in that unit].
    start : float
        The design setting [in that unit].
    meaning : str
        One sentence that says what more of it does [-].
    """

    name: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    start: float
    meaning: str

    def __post_init__(self) -> None:
        if not self.low <= self.start <= self.high or not 0 < self.step < self.high - self.low:
            raise ValueError(
                f"slider {self.name}: start {self.start:g} must lie in {self.low:g} to "
                f"{self.high:g} {self.unit}, and the step {self.step:g} must be smaller than that"
            )

    @property
    def ends(self) -> tuple[float, float]:
        """Lowest and highest position in whole steps from the start [in the slider's unit].

        A browser counts its steps from the lowest position, and would move a start off that grid.
        """
        down, up = (
            math.floor(room / self.step + 1e-9)
            for room in (self.start - self.low, self.high - self.start)
        )
        return tidy(self.start - down * self.step), tidy(self.start + up * self.step)


def setting_slider(
    aeroplane: Aeroplane,
    name: str,
    reach: float | None = None,
    step: float | None = None,
    label: str = "",
    meaning: str = "",
) -> Slider:
    """Make the slider of a setting, about its design value.

    Parameters
    ----------
    aeroplane : Aeroplane
        At its design setting [-].
    name : str
        A name of `settings.SETTINGS`, not the turns [-].
    reach : float or None
        How far it goes either way; None for twice a usual change [in the setting's unit].
    step : float or None
        Between two positions; None for the step of the bench [in the setting's unit].
    label, meaning : str
        In the lab's own words; "" for those of `settings.SETTINGS` [-].

    Returns
    -------
    Slider
        Within the range of the setting [-].
    """
    known, allowed = SETTINGS[name], quantities(Setting)[name]
    start = float(getattr(aeroplane.setting, name))
    far = 2 * known.usual if reach is None else reach
    return Slider(
        name=name,
        label=label or known.title[0].upper() + known.title[1:],
        unit=known.unit,
        low=max(allowed.low, start - far),
        high=min(allowed.high, start + far),
        step=known.step if step is None else step,
        start=start,
        meaning=meaning or f"More: {known.more}.",
    )


@dataclass(frozen=True, slots=True)
class Reading:
    """What a lab says at one setting.

    Parameters
    ----------
    still : Still
        The picture and what it shows [-].
    words : str
        The number that matters, in one or two sentences [-].
    """

    still: Still
    words: str


Read = Callable[[Values], Reading]
_NOT_SET = "That cannot be set on a bench, so the picture is still the last one."


def show(picture: Picture, dpi: float = 100) -> None:
    """Put a picture into the notebook's output, with its words as alternative text and below.

    Parameters
    ----------
    picture : Picture
        From `trimkit.figures` [-].
    dpi : float
        Dots per inch, 30 to 600 [1/in].
    """
    _put(picture.png(dpi), picture.text)


def drawn(picture: Picture) -> Still:
    """Draw a picture at the size of a lab.

    Parameters
    ----------
    picture : Picture
        From `trimkit.figures` [-].

    Returns
    -------
    Still
        For a `Reading` [-].
    """
    return picture.still(LAB_DPI)


def _put(png: bytes, text: str) -> None:
    caption = f'<p style="max-width:60em" aria-hidden="true">{html.escape(text)}</p>'
    bundle = {
        "text/plain": text,
        "text/html": f"<div>{image_tag(png, text)}{caption}</div>",
        "image/png": base64.b64encode(png).decode("ascii"),
    }
    display(bundle, metadata={"image/png": {"alt": text}}, raw=True)


def image_tag(png: bytes, text: str) -> str:
    """Write a picture as HTML that carries its words.

    Parameters
    ----------
    png : bytes
        The picture [-].
    text : str
        What it shows [-].

    Returns
    -------
    str
        An image element with alternative text [-].
    """
    data = base64.b64encode(png).decode("ascii")
    look = "max-width:100%;height:auto;background:white"
    alt = html.escape(text, quote=True)
    return f'<img src="data:image/png;base64,{data}" alt="{alt}" style="{look}">'


def widgets_work() -> bool:
    """Say whether sliders make sense here.

    Returns
    -------
    bool
        False while marking, and where ipywidgets is not installed [-].
    """
    return not places.marking() and find_spec("ipywidgets") is not None


def open_lab(title: str, make: Callable[[], tuple[Sequence[Slider], Read]]) -> None:
    """Put a lab into the notebook, or its picture and words where sliders make no sense.

    An aeroplane that the lab cannot work with, such as one without level flight, is told in words.

    Parameters
    ----------
    title : str
        A few words [-].
    make : callable
        Makes the sliders, and the function from their values to a `Reading` [-].
    """
    try:
        sliders, read = make()
        if widgets_work():
            display(Lab(title, sliders, read).form)
            return
        reading = read({slider.name: slider.start for slider in sliders})
    except ValueError as problem:
        say(f"This lab cannot open yet. {str(problem).rstrip('.')}.", strong=title)
        return
    _put(reading.still.png, reading.still.text)
    say(reading.words, strong=title)


class Lab:
    """Sliders, two buttons, a picture and words, bound to one `read` function.

    The sliders stand left of the picture where the window has room for both, else below it: who
    moves one sees what it does.

    Moving a slider only notes that the picture is old. The picture is drawn once, a moment
    later, from the values of that moment: however slow the drawing, the last position wins.

    Parameters
    ----------
    title : str
        A few words [-].
    sliders : sequence of Slider
        What can be set [-].
    read : callable
        From the values by name to a `Reading`; a `ValueError` is shown in words [-].
    clock : callable
        Returns seconds that never run backward [s].

    Attributes
    ----------
    form : ipywidgets.VBox
        Everything, ready to be shown or put into other widgets [-].
    handles : dict of str to Handle
        What can be moved, by name [-].
    drawn : int
        How many times the picture was drawn [-].
    """

    def __init__(
        self,
        title: str,
        sliders: Sequence[Slider],
        read: Read,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._read = read
        self._clock = clock
        self._sliders = {slider.name: slider for slider in sliders}
        self._kept = {slider.name: slider.start for slider in sliders}
        self._history: list[dict[str, float]] = []
        self._last_moved = ("", 0.0)
        self._quiet = False
        self._waiting = False
        self.drawn = 0
        self._make(title)
        self._draw()
        _set_aside()

    def _make(self, title: str) -> None:
        import ipywidgets  # here, so that the fallback works where it is not installed

        self.handles = {name: _handle(slider) for name, slider in self._sliders.items()}
        for handle in self.handles.values():
            handle.observe(self._moved, "value")
        self.image, self.words = ipywidgets.HTML(), ipywidgets.HTML()
        wide = ipywidgets.Layout(width="auto")
        self.back = ipywidgets.Button(description="Back to the design setting", layout=wide)
        self.undo = ipywidgets.Button(description="Undo my last change", layout=wide, disabled=True)
        self.back.on_click(lambda _: self.back_to_design())
        self.undo.on_click(lambda _: self.undo_last())
        head = ipywidgets.HTML(f"<strong>{html.escape(title)}</strong>")
        buttons = ipywidgets.HBox([self.back, self.undo], layout=wrapped(ipywidgets))
        hands = ipywidgets.VBox([*self.handles.values(), buttons])
        hands.add_class("trimkit-hands")
        seen = ipywidgets.VBox([self.words, self.image])
        seen.add_class("trimkit-seen")
        both = ipywidgets.HBox(
            [seen, hands], layout=ipywidgets.Layout(flex_flow="row-reverse wrap")
        )
        self.form = ipywidgets.VBox([head, both])
        self.form.add_class("trimkit-lab")

    @property
    def values(self) -> dict[str, float]:
        """The values now, by name [in the unit of each name]."""
        return {name: tidy(handle.value) for name, handle in self.handles.items()}

    def set(self, **values: float) -> None:
        """Set several values as one change, and draw once.

        Parameters
        ----------
        **values : float
            New values by name [in the unit of each name].
        """
        self._remember()
        self._put(values)

    def back_to_design(self) -> None:
        """Set every slider back to where it started; this too can be undone."""
        self.set(**{name: slider.start for name, slider in self._sliders.items()})

    def undo_last(self) -> None:
        """Take the last change back: a whole move of one slider, or one press of a button."""
        if self._history:
            self._put(self._history.pop())
        self.undo.disabled = not self._history

    def _put(self, values: Values) -> None:
        with self._silent():
            for name, value in values.items():
                self.handles[name].value = value
        self._kept = self.values
        self._last_moved = ("", 0.0)
        self._ask_to_draw()

    def _remember(self) -> None:
        self._history = [*self._history, dict(self._kept)][-LONGEST_HISTORY:]
        self.undo.disabled = False

    @contextmanager
    def _silent(self) -> Iterator[None]:
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False

    def _moved(self, change: Any) -> None:
        if self._quiet:
            return
        name = next(n for n, handle in self.handles.items() if handle is change["owner"])
        before, now = self._last_moved, self._clock()
        if name != before[0] or now - before[1] > PAUSE_S:
            self._remember()
        self._last_moved = (name, now)
        self._kept = self.values
        self._ask_to_draw()

    def _ask_to_draw(self) -> None:
        """Draw soon, once, from the values of that moment; at once where no loop runs."""
        if self._waiting:
            return
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._draw()
            return
        self._waiting = True
        loop.call_later(WAIT_S, self._draw)

    def _draw(self) -> None:
        self._waiting = False
        self.drawn += 1
        try:
            reading = self._read(self.values)
        except ValueError as error:
            self.words.value = _status(f"{_NOT_SET} {error}.")
            return
        self.image.value = image_tag(reading.still.png, reading.still.text)
        self.words.value = _status(reading.words)


@cache
def _set_aside() -> None:
    """Take what is loaded by now out of Python's search for rubbish, once.

    All of it stays as long as the kernel. To walk through it took a tenth of a second, and that
    in the middle of every thirtieth move of a slider.
    """
    gc.collect()
    gc.freeze()


def _status(words: str) -> str:
    look = "max-width:46em;padding:.3em .8em;border-left:4px solid currentColor;line-height:1.4"
    safe = html.escape(words).replace("\n", "<br>")
    return f'<div role="status" aria-live="polite" style="{look};font-size:1.15em">{safe}</div>'


def wrapped(ipywidgets: Any) -> Any:
    """Make the layout of a row that breaks where the window is narrow.

    Parameters
    ----------
    ipywidgets : module
        The library, where it is installed [-].

    Returns
    -------
    ipywidgets.Layout
        For a box [-].
    """
    return ipywidgets.Layout(flex_flow="row wrap")


def _handle(slider: Slider) -> Handle:
    low, high = slider.ends
    return Handle(
        min=low,
        max=high,
        step=slider.step,
        value=slider.start,
        label=slider.label,
        unit=slider.unit,
        meaning=slider.meaning,
    )
