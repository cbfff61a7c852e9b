"""What is marked already: one line for each pupil, only ever added to, safe against a cut.

A line says from what a mark was made: the hash of the hand-in, of the lesson's edition, of the
key. When all three are as they were, there is nothing to mark again.
"""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path

SCHEMA = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """From what a pupil's marks were made.

    Parameters
    ----------
    folder : str
        The pupil's folder [-].
    submission, edition, key : str
        Hashes of the hand-in, the lesson, the key with the class word [-].
    remarks : tuple of str
        What the coach should know [-].
    """

    folder: str
    submission: str
    edition: str
    key: str
    remarks: tuple[str, ...] = ()

    def same(self, other: Entry) -> bool:
        """Say whether marks made from one hold for the other.

        Parameters
        ----------
        other : Entry
            Another entry [-].

        Returns
        -------
        bool
            True when pupil and all three hashes agree [-].
        """
        one = (self.folder, self.submission, self.edition, self.key)
        return one == (other.folder, other.submission, other.edition, other.key)


class Journal:
    """The journal of one lesson.

    Parameters
    ----------
    path : pathlib.Path
        Its file, there or not; damaged lines in it are passed over [-].
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.entries: dict[str, Entry] = {}
        if path.is_file():
            for line in path.read_bytes().splitlines():
                if (entry := _entry(line)) is not None:
                    self.entries[entry.folder] = entry

    def add(self, entry: Entry) -> None:
        """Add a line, and see that it reaches the disk.

        Parameters
        ----------
        entry : Entry
            From what marks were made that are in the gradebook already [-].
        """
        self.path.parent.mkdir(parents=True, exist_ok=True)
        line = json.dumps({"schema": SCHEMA} | asdict(entry))
        with self.path.open("ab") as file:
            file.write(f"\n{line}\n".encode("ascii"))  # the first ends a line that was cut
            file.flush()
            os.fsync(file.fileno())
        self.entries[entry.folder] = entry


def _entry(line: bytes) -> Entry | None:
    try:
        content = json.loads(line)
        if content.pop("schema") != SCHEMA:
            return None
        return Entry(**content | {"remarks": tuple(content["remarks"])})
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
