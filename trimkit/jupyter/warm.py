"""Make slow things once, before a class waits for them."""

from __future__ import annotations

import compileall
import importlib
from collections.abc import Callable, Iterator

from trimkit import places


def steps() -> Iterator[tuple[str, Callable[[], object]]]:
    """List what is worth doing before the first lesson opens.

    Returns
    -------
    iterator of (str, callable)
        What it is, in plain words, and the thing to call [-].
    """
    yield "the course's own code", _compile
    yield "the letters in pictures", lambda: importlib.import_module("matplotlib.font_manager")
    yield "sliders and buttons", lambda: importlib.import_module("ipywidgets")
    yield "arithmetic", lambda: importlib.import_module("scipy.optimize")


def _compile() -> bool:
    package = places.package_folder()
    return bool(compileall.compile_dir(package, quiet=2))
