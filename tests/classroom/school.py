"""A school's machine inside this one: real accounts that this machine never hears of.

`School` starts this file as the first process of a mount and process name space of its own. It
lays copies of /etc, /home and /srv over the real ones, closes the project to pupils, opens the
way to Python, runs the set-up of instructor/hub/README.md word for word, and waits. With it ends
every process of the school, and nothing of it was ever on a disc.
"""

from __future__ import annotations

import compileall
import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

BASE = Path("/srv")
KEPT = BASE / ".kept"  # closed to all but root
LIBRARY = BASE / "trimkit" / "lib"


def main() -> None:
    """Make the school and keep it until nobody holds the other end of the input."""
    given = json.loads(sys.argv[1])
    project, needed = Path(given["project"]), [Path(name) for name in given["needed"]]
    _fresh(BASE)
    KEPT.mkdir(mode=0o700)
    with zipfile.ZipFile(given["wheel"]) as wheel:
        wheel.extractall(LIBRARY)
    compileall.compile_dir(LIBRARY, quiet=2, workers=0)  # as pip does; no pupil could write it
    kept = {path: _bound(path, KEPT / str(number)) for number, path in enumerate(needed)}
    inside = _bound(project, KEPT / "project")
    covered = _covers([*needed, Path("/home"), project], {Path("/home"), project})
    for place in covered:
        _fresh(place)
    for path, copy in kept.items():
        if any(path.is_relative_to(place) for place in covered):
            path.mkdir(parents=True, exist_ok=True)
            _mount("--bind", copy, path)
    _own_etc()
    subprocess.run(["bash", "-euc", given["set_up"]], cwd=inside, check=True)
    print("ready", flush=True)
    sys.stdin.read()


def _covers(paths: list[Path], always: set[Path]) -> list[Path]:
    """Say what to lay an empty folder over: what hides a path from other users, and the rest."""
    above = {parent for path in paths for parent in path.parents}
    closed = {parent for parent in above if parent.stat().st_mode & 0o005 != 0o005}
    chosen = closed | always
    return sorted(one for one in chosen if not chosen & set(one.parents))


def _own_etc() -> None:
    copy = KEPT / "etc"
    subprocess.run(["cp", "-a", "/etc", str(copy)], check=True)
    _mount("--bind", copy, Path("/etc"))


def _fresh(place: Path) -> None:
    _mount("-t", "tmpfs", "-o", "mode=755", "none", place)


def _bound(path: Path, to: Path) -> Path:
    to.mkdir()
    _mount("--bind", path, to)
    return to


def _mount(*words: str | Path) -> None:
    subprocess.run(["mount", *map(str, words)], check=True)


if __name__ == "__main__":
    os.umask(0o022)
    main()
