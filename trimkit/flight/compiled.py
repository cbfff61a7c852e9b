"""One way to compile a function, with the type checker kept in the picture.

numba keeps what it has compiled on disk and looks only at a function's own file to see whether
that is still good. The equations are spread over files, so here the whole of them is the stamp:
change one and all are compiled anew; copy them elsewhere unchanged and nothing is.

No liberties are taken with the order of sums ("fastmath"): they would differ in the last bit
between a process that compiles and one that finds the code on disk.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from numba import njit

Function = TypeVar("Function", bound=Callable[..., Any])

SOURCES = ("compiled.py", "model.py", "equations.py", "march.py")


def fingerprint() -> str:
    """Return what the compiled equations were made from, as one short word.

    Returns
    -------
    str
        Hash of the sources of the flight engine [-].
    """
    folder = Path(__file__).parent
    text = b"".join((folder / name).read_bytes() for name in SOURCES)
    return hashlib.sha256(text).hexdigest()[:16]


FINGERPRINT = fingerprint()


def compiled(function: Function) -> Function:
    """Compile a function of numbers and arrays when it is first called, and keep it on disk.

    Parameters
    ----------
    function : callable
        Plain arithmetic on numbers, tuples and arrays [-].

    Returns
    -------
    callable
        The same function, compiled; threads may run it side by side [-].
    """
    made: Any = njit(cache=True, nogil=True, error_model="numpy")(function)
    made._cache._cache_file._source_stamp = FINGERPRINT
    kept: Function = made
    return kept
