"""trimkit: build, trim and fly small indoor aeroplanes, and learn why they do what they do.

`import trimkit` is light. The names below are fetched when they are first used.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trimkit.aeroplane import Aeroplane, Build, Setting, replace
    from trimkit.files import FileError, load_aeroplane, save_aeroplane

_ROOMS = {
    "Aeroplane": "aeroplane",
    "Build": "aeroplane",
    "FileError": "files",
    "Setting": "aeroplane",
    "load_aeroplane": "files",
    "replace": "aeroplane",
    "save_aeroplane": "files",
}

__all__ = [
    "Aeroplane",
    "Build",
    "FileError",
    "Setting",
    "load_aeroplane",
    "replace",
    "save_aeroplane",
]


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("trimkit")
    if name not in _ROOMS:
        raise AttributeError(f"trimkit has no {name!r}; it has {', '.join(__all__)}")
    return getattr(importlib.import_module(f"trimkit.{_ROOMS[name]}"), name)


def load_ipython_extension(shell: Any) -> None:
    """Let `%load_ext trimkit` bring the course's checks into any notebook.

    Parameters
    ----------
    shell : IPython.core.interactiveshell.InteractiveShell
        The notebook's shell [-].
    """
    from trimkit.jupyter import magics

    magics.load(shell)
