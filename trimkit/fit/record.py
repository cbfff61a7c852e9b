"""The file of a fit: how well each figure of an aeroplane is known, beside the aeroplane's file."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from trimkit.files import FileError, Problem, as_float, parsed, text_of, write_whole
from trimkit.fit.flights import FittedAeroplane
from trimkit.fit.unknowns import NAMES
from trimkit.units import Floats

FORMAT = "trimkit fit 1"
LARGEST_BYTES = 20_000
MOST_ERROR = 10.0  # standard deviations of what was measured
_KEYS = ("format", "aeroplane", "flights", "scatter", "errors", "correlations")


@dataclass(frozen=True, slots=True)
class FitRecord:
    """How well an aeroplane's figures are known.

    Parameters
    ----------
    aeroplane : str
        Name of the aeroplane [-].
    flights : int
        Flights behind it [-].
    scatter : float
        Scatter of the flights over the usual [-].
    covariance : numpy.ndarray
        Of the five figures, in standard deviations of what was measured [-].
    """

    aeroplane: str
    flights: int
    scatter: float
    covariance: Floats


def fit_path(aeroplane: Path) -> Path:
    """Where the fit of an aeroplane file lies.

    Parameters
    ----------
    aeroplane : pathlib.Path
        The aeroplane file [-].

    Returns
    -------
    pathlib.Path
        The same name with .fit.toml, there or not [-].
    """
    return aeroplane.with_name(f"{aeroplane.stem}.fit.toml")


def write_fit(fitted: FittedAeroplane, path: Path) -> None:
    """Write how well the figures are known.

    Parameters
    ----------
    fitted : FittedAeroplane
        The result [-].
    path : pathlib.Path
        Where to; the file is whole or as it was [-].
    """
    import tomlkit

    covariance = np.array(fitted.covariance)
    error = np.sqrt(np.diag(covariance))
    out = tomlkit.document()
    out["format"] = FORMAT
    out["aeroplane"] = fitted.before.name
    out["flights"] = len(fitted.used)
    out["scatter"] = round(fitted.scatter, 4)
    out["errors"] = {name: round(float(one), 6) for name, one in zip(NAMES, error, strict=True)}
    pairs = covariance / np.outer(error, error)
    out["correlations"] = [[round(float(one), 6) for one in row] for row in pairs]
    write_whole(path, tomlkit.dumps(out).encode("utf-8"))


def read_fit(path: str | os.PathLike[str]) -> FitRecord:
    """Read how well the figures are known.

    Parameters
    ----------
    path : path
        A file that `write_fit` wrote [-].

    Returns
    -------
    FitRecord
        The record [-].

    Raises
    ------
    FileError
        Naming everything that is to be mended together.
    """
    place = Path(path)
    content = parsed(text_of(place, LARGEST_BYTES), place.name)
    problems: list[Problem] = []

    def add(where: str, given: object, allowed: str) -> None:
        shown = "nothing given" if given is None else f"{str(given)[:60]!r} given"
        step = "let trimkit fit flights write it again"
        problems.append(Problem(0, where, shown, allowed, "was it changed by hand?", step))

    def number(where: str, given: Any, low: float, high: float) -> float:
        plain = isinstance(given, int | float) and not isinstance(given, bool)
        if not plain or not low <= as_float(given) <= high:
            add(where, given, f"a number, {low:g} to {high:g}")
            return low
        return as_float(given)

    if content.get("format") != FORMAT:
        add("format", content.get("format"), f'"{FORMAT}"')
    for key in content:
        if key not in _KEYS:
            add(key[:40], "a key", ", ".join(_KEYS))
    name = content.get("aeroplane")
    if not isinstance(name, str) or not name or len(name) > 2000:
        add("aeroplane", name, "its name in quotes")
    flights = number("flights", content.get("flights"), 1, 100_000)
    scatter = number("scatter", content.get("scatter"), 0, 1000)
    errors = _errors(content.get("errors"), add, number)
    pairs = _correlations(content.get("correlations"), add, number)
    if problems:
        raise FileError(place.name, tuple(problems))
    return FitRecord(str(name), int(flights), scatter, pairs * np.outer(errors, errors))


def _errors(given: Any, add: Any, number: Any) -> Floats:
    if not isinstance(given, Mapping) or set(given) != set(NAMES):
        add("errors", given, f"a table of {', '.join(NAMES)}")
        return np.ones(len(NAMES))
    return np.array([number(f"errors.{name}", given[name], 0, MOST_ERROR) for name in NAMES])


def _correlations(given: Any, add: Any, number: Any) -> Floats:
    count = len(NAMES)
    rows = given if isinstance(given, list) else []
    if len(rows) != count or not all(isinstance(r, list) and len(r) == count for r in rows):
        add("correlations", given, f"{count} rows of {count} numbers")
        return np.eye(count)
    found = np.array([[number("correlations", one, -1, 1) for one in row] for row in rows])
    fits = np.allclose(found, found.T, atol=1e-4) and np.allclose(np.diag(found), 1, atol=1e-4)
    if not fits or np.linalg.eigvalsh((found + found.T) / 2).min() < -1e-4:
        add("correlations", "rows", "a table that is the same across its diagonal of ones")
    return np.asarray((found + found.T) / 2)
