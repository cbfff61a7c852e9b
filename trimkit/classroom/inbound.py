"""Collecting from nbgrader's exchange: what an account put in, and only its own plain files.

nbgrader's own collecting believes the name that a pupil wrote, with a warning, and follows links
with the coach's rights: into the keys, or into what others handed in.
"""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from nbgrader.exchange.default import ExchangeCollect

from trimkit.lesson.handin import LARGEST_NOTEBOOK, MOST_LOGS

CAME, MISSED = "Collected: ", "Not collected: "  # before what a hand-in is called, in the log
MOST_FILES = MOST_LOGS + 10  # the notebook, two files of nbgrader's, and something to spare


class CollectOwn(ExchangeCollect):  # type: ignore[misc]
    """nbgrader's own, except that whose a hand-in is says the system, and links are left out."""

    def _path_to_record(self, path: str) -> dict[str, Any]:
        found: dict[str, Any] = super()._path_to_record(path)
        return found | {"username": _account(os.lstat(path).st_uid)}

    def do_copy(self, src: str, dest: str, log: Any = None) -> None:
        """Copy what somebody handed in.

        Parameters
        ----------
        src : str
            Where it lies in the exchange [-].
        dest : str
            A folder to make, such as "submitted/pupil-07/02-angles" [-].
        log : logging.Logger or None
            Not used; nbgrader hands it on [-].
        """
        place = Path(dest)
        place.mkdir()
        try:
            with _closing(os.open(src, os.O_NOFOLLOW | os.O_DIRECTORY)) as folder:
                owner = os.fstat(folder).st_uid
                if _account(owner) != place.parent.name:
                    raise OSError("it was exchanged for another one meanwhile")
                for name in sorted(os.listdir(folder))[:MOST_FILES]:
                    raw = _own(folder, name, owner)
                    if raw is None:
                        self.log.warning("Left out, no plain file of its owner: %s", name)
                    else:
                        (place / name).write_bytes(raw)
            self.log.info("%s%s %s", CAME, *place.parts[-2:])
        except OSError as error:
            self.log.error("%s%s: %s", MISSED, src, error.strerror or error)
            shutil.rmtree(place)


@contextmanager
def _closing(handle: int) -> Iterator[int]:
    try:
        yield handle
    finally:
        os.close(handle)


def _own(folder: int, name: str, owner: int) -> bytes | None:
    """Read a file, unless it is a link, a folder, no file at all, too large or another's."""
    try:
        handle = os.open(name, os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=folder)
    except OSError:
        return None
    with _closing(handle):
        about = os.fstat(handle)
        plain = stat.S_ISREG(about.st_mode) and about.st_uid == owner
        if not plain or about.st_size > LARGEST_NOTEBOOK:
            return None
        with os.fdopen(handle, "rb", closefd=False) as file:
            return file.read(LARGEST_NOTEBOOK)


def _account(number: int) -> str:
    import pwd  # not on Windows, where there is no exchange

    try:
        return pwd.getpwuid(number).pw_name
    except KeyError:  # the account is gone
        return f"account-{number}"
