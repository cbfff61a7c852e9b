"""The library: what thousands of flights came to, stored in the package.

It holds a fitted `Response`, how it fared on flights that it was not fitted to, and the figures of
`trimkit.flight.canon` at the time. When the physics gives others, the file is stale, and it is
refused with the command that mends it. `trimkit.diagnosis.build` makes it.
"""

from __future__ import annotations

import functools
import json
import os
import tempfile
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from trimkit.diagnosis import deviations, response
from trimkit.diagnosis.response import Response
from trimkit.flight import canon
from trimkit.units import Floats

FORMAT = "trimkit library 1"
STORED = Path(__file__).with_name("library.npz")
MEND = "trimkit library build"


class StaleLibrary(ValueError):  # noqa: N818
    """The stored library is missing, or belongs to another state of the physics."""


@dataclass(frozen=True, slots=True)
class Trial:
    """How the library fared on aeroplanes that it was not fitted to, two flights each.

    Parameters
    ----------
    aeroplanes : int
        How many, with one fault or none [-].
    first, among_three : float
        Part of them whose true fault came first, and was among the first three [-].
    stated : float
        Chance that was given to the first, on average; near `first` when it is honest [-].
    """

    aeroplanes: int
    first: float
    among_three: float
    stated: float

    def words(self) -> str:
        """Say how it fared.

        Returns
        -------
        str
            One sentence [-].
        """
        return (
            f"Of {self.aeroplanes} aeroplanes not fitted to, two flights each, the true fault "
            f"came first for {self.first:.0%} and was among the first three for "
            f"{self.among_three:.0%}; the first was given {self.stated:.0%} on average."
        )


@dataclass(frozen=True, slots=True, eq=False)
class Library:
    """A response, and where it comes from.

    Parameters
    ----------
    response : Response
        The fit [-].
    flights : int
        Flights it was fitted to [-].
    seed : int
        Of the build [-].
    canon : numpy.ndarray
        Figures of `trimkit.flight.canon` at the time of the build [as there].
    trial : Trial
        How it fared on flights that it was not fitted to [-].
    """

    response: Response
    flights: int
    seed: int
    canon: Floats
    trial: Trial

    def save(self, path: Path = STORED) -> None:
        """Write the library to a file, whole or not at all.

        Parameters
        ----------
        path : pathlib.Path
            Where; in the package when left out [-].
        """
        about = {
            "format": FORMAT, "flights": self.flights, "seed": self.seed,
            "deviations": list(deviations.NAMES), "features": list(response.FEATURES),
            "descriptors": list(response.DESCRIPTORS), "trial": asdict(self.trial),
        }  # fmt: skip
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                arrays = self.response.as_arrays()
                words = np.array(json.dumps(about))
                np.savez_compressed(file, about=words, canon=self.canon, **arrays)
            os.chmod(name, 0o644)
            os.replace(name, path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise


def load(path: Path = STORED) -> Library:
    """Read a library, whether it is fresh or not.

    Parameters
    ----------
    path : pathlib.Path
        A file that `Library.save` wrote; that of the package when left out [-].

    Returns
    -------
    Library
        The same library [-].

    Raises
    ------
    StaleLibrary
        When there is none, or it is of another form.
    """
    if not path.exists():
        raise StaleLibrary(f"there is no {path.name}. Next: {MEND}")
    try:
        with np.load(path, allow_pickle=False) as stored:
            about = json.loads(str(stored["about"]))
            _check_form(about, path)
            fitted = Response.from_arrays({name: stored[name] for name in stored.files})
            trial = Trial(**about["trial"])
            return Library(fitted, about["flights"], about["seed"], stored["canon"], trial)
    except StaleLibrary:
        raise
    except (KeyError, ValueError, OSError, EOFError) as problem:
        raise StaleLibrary(f"{path.name} is no library: {problem}. Next: {MEND}") from problem


def _check_form(about: dict[str, Any], path: Path) -> None:
    now = {
        "format": FORMAT, "deviations": list(deviations.NAMES),
        "features": list(response.FEATURES), "descriptors": list(response.DESCRIPTORS),
    }  # fmt: skip
    other = [name for name, value in now.items() if about.get(name) != value]
    if other:
        raise StaleLibrary(f"{path.name} has another {' and '.join(other)}. Next: {MEND}")


def fresh(path: Path = STORED) -> Library:
    """Read a library and make sure that the physics still gives what it was built with.

    The canon is flown once in each run of Python for each file, in about a second.

    Parameters
    ----------
    path : pathlib.Path
        A file that `Library.save` wrote; that of the package when left out [-].

    Returns
    -------
    Library
        Fresh [-].

    Raises
    ------
    StaleLibrary
        When there is none, or it is stale, with the command that mends it.
    """
    when = path.stat().st_mtime_ns if path.exists() else 0
    return _fresh(path, when)


@functools.lru_cache(maxsize=4)
def _fresh(path: Path, when: int) -> Library:
    found = load(path)
    if not canon.agree(found.canon):
        raise StaleLibrary(
            f"{path.name} is stale: the physics gives other flights since it was built. "
            f"Next: {MEND}"
        )
    return found
