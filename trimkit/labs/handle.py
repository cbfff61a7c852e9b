"""One value that a hand can move: its label, a number box and a slider."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

_STATIC = Path(__file__).parent / "static"


def tidy(value: float) -> float:
    """Take off the dust of binary fractions: a browser's slider says 0.7999999999999998.

    Parameters
    ----------
    value : float
        Any [in any unit].

    Returns
    -------
    float
        To four decimals [in that unit].

    Examples
    --------
    >>> tidy(0.7999999999999998)
    0.8
    """
    return round(float(value), 4)


class Handle(anywidget.AnyWidget):
    """A row with a label, a number box and a slider, all of the browser's own kind.

    A value outside the range is set to the nearer end, as a slider would.

    Attributes
    ----------
    value, min, max, step : float
        Where it stands, its range, and the way between two positions [in its unit].
    label, unit, meaning : str
        What it is called, its unit, and what more of it does [-].
    """

    _esm = _STATIC / "handle.js"
    _css = _STATIC / "handle.css"
    value = traitlets.Float().tag(sync=True)
    min = traitlets.Float().tag(sync=True)
    max = traitlets.Float().tag(sync=True)
    step = traitlets.Float().tag(sync=True)
    label = traitlets.Unicode().tag(sync=True)
    unit = traitlets.Unicode().tag(sync=True)
    meaning = traitlets.Unicode().tag(sync=True)

    @traitlets.validate("value")
    def _kept_in_range(self, proposal: Any) -> float:
        return tidy(min(max(proposal["value"], self.min), self.max))
