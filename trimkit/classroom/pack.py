"""What pupils are given: one zip with the package, the lessons and the demo data.

It never holds anything from the instructor's folder. The same content gives the same bytes.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from trimkit import places

FOLDER = "trimkit-course"
START_HERE = "START-HERE.txt"
EARLIEST = (1980, 1, 1, 0, 0, 0)  # the first date a zip can hold
CODE = {".py", ".typed", ".js", ".mjs", ".css", ".html", ".toml", ".json", ".tpl", ".j2"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A pack as written.

    Parameters
    ----------
    path : pathlib.Path
        The zip [-].
    files : tuple of str
        Names inside it, in order [-].
    size : int
        Size of the zip [bytes].
    sha256 : str
        Its hash, the same wherever it was made from the same content [-].
    """

    path: Path
    files: tuple[str, ...]
    size: int
    sha256: str


def write(output: Path, class_word: str = "") -> Pack:
    """Write the pupils' pack.

    Parameters
    ----------
    output : pathlib.Path
        The zip to write [-].
    class_word : str
        The coach's word; it stands in the start-here text [-].

    Returns
    -------
    Pack
        What was written [-].

    Raises
    ------
    ValueError
        When the class word cannot be used, or the output is a folder.
    """
    word = places.checked_pupil(0, class_word).class_word
    if output.is_dir():
        raise ValueError(f"{output} is a folder. Give the name of a file, such as pupils.zip.")
    content = contents(word)
    output.parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(prefix=".part-", dir=output.parent)
    with os.fdopen(handle, "wb") as file:
        _write_zip(file, content)
    raw = Path(part).read_bytes()
    Path(part).chmod(0o644)
    Path(part).replace(output)
    return Pack(
        path=output,
        files=tuple(content),
        size=len(raw),
        sha256=hashlib.sha256(raw).hexdigest(),
    )


def contents(class_word: str = "") -> dict[str, bytes]:
    """Gather everything that goes into the pack.

    Parameters
    ----------
    class_word : str
        The coach's word [-].

    Returns
    -------
    dict of str to bytes
        Content by name inside the zip, in order [-].
    """
    start = start_here(class_word).encode("utf-8")
    gathered = {START_HERE: start, "README.md": start, "pyproject.toml": _project_file()}
    gathered |= _gather(places.package_folder(), "trimkit", leave_out="released", code_only=True)
    gathered |= _gather(places.course_folder(), "course")
    gathered |= _gather(places.demo_folder(), "datasets_demo")
    return {f"{FOLDER}/{name}": gathered[name] for name in sorted(gathered)}


def start_here(class_word: str = "") -> str:
    """Write the text that a pupil or a parent reads first.

    Parameters
    ----------
    class_word : str
        The coach's word [-].

    Returns
    -------
    str
        Plain text [-].
    """
    word = f' --class-word "{class_word}"' if class_word else ""
    return f"""START HERE

You need Python 3.11 or newer, and the internet once, for the first command.
Open a terminal in this folder, the one that holds pyproject.toml.

Linux and macOS
  Once:        python3 -m venv .tools && .tools/bin/pip install -q .
  Every time:  .tools/bin/trimkit open --pupil 7{word}

Windows
  Once:        py -m venv .tools
               .tools\\Scripts\\pip install -q .
  Every time:  .tools\\Scripts\\trimkit open --pupil 7{word}

Put your own pupil number in place of 7. The first command takes about a minute.
JupyterLab opens in your browser. If not, copy the address that is printed.
To stop: go back to the terminal and press Ctrl and C together.

Your work lies in the folder trimkit- and the season in your home folder. The command says where.
Nothing in there is overwritten. Opening again brings new lessons.

Stay safe: your school's own risk assessment comes first. Never launch towards people.
"""


def _project_file() -> bytes:
    root = places.checkout()
    folder = root or places.package_folder() / "released"
    return (folder / "pyproject.toml").read_bytes()


def _gather(
    folder: Path, inside: str, leave_out: str = "", code_only: bool = False
) -> dict[str, bytes]:
    gathered = {}
    for path in folder.rglob("*"):
        name = path.relative_to(folder)
        hidden = any(part.startswith(".") or part == "__pycache__" for part in name.parts)
        if hidden or name.parts[0] == leave_out or not path.is_file():
            continue
        if not code_only or path.suffix in CODE:
            gathered[f"{inside}/{name.as_posix()}"] = path.read_bytes()
    return gathered


def _write_zip(file: IO[bytes], content: dict[str, bytes]) -> None:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as packed:
        for name, raw in content.items():
            entry = zipfile.ZipInfo(name, EARLIEST)
            entry.compress_type = zipfile.ZIP_STORED  # packers differ, plain bytes do not
            entry.create_system = 3  # so that Windows writes the same bytes
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, raw)
