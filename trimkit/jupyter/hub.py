"""The server of one JupyterHub account: its folder made ready as that account, then Lab in it.

JupyterHub starts this in place of its own server, which this process then becomes. Whose folder
it is stands in the account's name as the system knows it, never in what a browser sent.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from trimkit import places
from trimkit.classroom.names import pupil_number
from trimkit.jupyter import server
from trimkit.lesson import work


def main() -> int:
    """Make the folder ready and become JupyterHub's server; the Hub's log has what hinders it.

    Returns
    -------
    int
        Exit status 1; without trouble it does not return [-].
    """
    import pwd  # not on Windows, where no Hub runs

    account = pwd.getpwuid(os.getuid()).pw_name
    try:
        folder, coach = ready(account)
        settings = server.around(folder, coach)
        os.chdir(folder / "instructor" if coach else folder)  # where nbgrader finds its settings
    except (OSError, ValueError) as error:
        print(f"{account} cannot start: {error}", file=sys.stderr)
        return 1
    command = [sys.executable, "-P", "-m", "jupyterhub.singleuser", *sys.argv[1:]]
    command += [*server.ALONE, f"--ServerApp.root_dir={folder}"]
    os.execve(sys.executable, command, os.environ | {"PATH": places.programs()} | settings)


def ready(account: str) -> tuple[Path, bool]:
    """Make an account's folder ready.

    Parameters
    ----------
    account : str
        Such as "pupil-07"; any other is a coach's [-].

    Returns
    -------
    (pathlib.Path, bool)
        The folder, and whether it is a coach's [-].

    Raises
    ------
    OSError
        When a coach's account cannot read the course folder, or a pupil's not write its own.
    ValueError
        When the pupil's folder is another pupil's.
    """
    try:
        number = pupil_number(account)
    except ValueError:
        return _course(), True
    word = os.environ.get(places.CLASS_WORD) or None
    return work.prepare(places.default_work_folder(), number, word).folder, False


def _course() -> Path:
    root = Path(os.environ.get(places.COURSE_ROOT, ""))
    try:
        return places.instructor_folder(root / "instructor").parent
    except OSError as error:
        raise OSError(
            f"{error}. A pupil's account is named such as pupil-07; a coach's must own {root}"
        ) from error


if __name__ == "__main__":
    sys.exit(main())
