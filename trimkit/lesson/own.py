"""The team's own aeroplane in a notebook: its file, or a demo aeroplane until there is one."""

from __future__ import annotations

from pathlib import Path

from trimkit import places
from trimkit.aeroplane import Aeroplane
from trimkit.files import FileError, load_aeroplane
from trimkit.lesson.session import say

FILES = ("own-fitted.toml", "own.toml", "my-aeroplane.toml")  # the first that is there counts


def own(demo: str = "hallfinch-46") -> Aeroplane:
    """Load the team's aeroplane from the work folder, and say which one it is.

    Parameters
    ----------
    demo : str
        Name of the demo aeroplane that stands in while there is no file [-].

    Returns
    -------
    Aeroplane
        The team's, or the demo aeroplane when there is none or it is to be mended [-].
    """
    stand_in = load_aeroplane(places.demo_aeroplanes()[demo])
    path = None if places.marking() else _found()
    if path is None:
        say(
            f"This is the invented {stand_in.name}. When your own aeroplane is measured, put its "
            f"file into the work folder as {FILES[1]}; then it stands here."
        )
        return stand_in
    try:
        mine = load_aeroplane(path)
    except FileError as error:
        say(f"{path.name} cannot be used yet, so this is {stand_in.name}.", str(error).split("\n"))
        return stand_in
    say(f"This is your own {mine.name}, from {path.name}.")
    return mine


def _found() -> Path | None:
    folders = [Path.cwd(), places.work_folder()]
    for folder in folders:
        for name in FILES:
            if folder is not None and (folder / name).is_file():
                return folder / name
    return None
