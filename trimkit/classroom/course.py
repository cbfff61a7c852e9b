"""A course folder that nbgrader works in, and nbgrader run on it as a coach would.

nbgrader runs as a command of its own, with the instructor's settings. What it says goes to a
log in the course folder.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from trimkit import places
from trimkit.classroom import cards
from trimkit.classroom.judge import PACKAGE_PARENT

EVERYTHING = "*"
ADDRESS_FILE = "gradebook.url"
SERVER = "postgresql"
DRIVER = "postgresql+psycopg2"  # what SQLAlchemy takes by itself depends on its version


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Folders of one class.

    Parameters
    ----------
    root : pathlib.Path
        The course folder [-].
    instructor : pathlib.Path
        The instructor's folder, with settings and keys [-].
    class_word : str
        The coach's word [-].
    """

    root: Path
    instructor: Path
    class_word: str = ""

    @property
    def released(self) -> Path:
        """Lessons as pupils get them.

        Returns
        -------
        pathlib.Path
            A folder [-].
        """
        return self.root / "course"

    @property
    def marking(self) -> Path:
        """Everything about pupils: submissions, marks, feedback. Never under version control.

        Returns
        -------
        pathlib.Path
            A folder [-].
        """
        return self.root / "marking"

    @property
    def gradebook_file(self) -> Path:
        """nbgrader's database when it is a file, there or not.

        Returns
        -------
        pathlib.Path
            A file [-].
        """
        return self.marking / "gradebook.db"

    @property
    def gradebook(self) -> str:
        """Address of nbgrader's database.

        Returns
        -------
        str
            What `marking/gradebook.url` says, such as "postgresql://marker@host/marks", else
            that of the file, "sqlite:////..." [-].

        Raises
        ------
        ValueError
            When `marking/gradebook.url` holds no address of a PostgreSQL database.
        """
        path = self.marking / ADDRESS_FILE
        if not path.is_file():
            return f"sqlite:///{self.gradebook_file.absolute().as_posix()}"
        with suppress(ArgumentError):
            url = make_url(path.read_text("utf-8").strip())
            if url.drivername == SERVER and url.database:
                return url.set(drivername=DRIVER).render_as_string(hide_password=False)
        raise ValueError(
            f"{path} holds no address of a PostgreSQL database. It is one line such as "
            f"{SERVER}://marker@host/marks; take the file away for a gradebook in this folder"
        )

    @property
    def on_server(self) -> bool:
        """Say whether the gradebook is on a server.

        Returns
        -------
        bool
            False for a file in this folder [-].
        """
        return self.gradebook.startswith(SERVER)

    @property
    def has_gradebook(self) -> bool:
        """Say whether there is a gradebook to look into.

        Returns
        -------
        bool
            True when the file is there, or the gradebook is on a server [-].
        """
        return self.on_server or self.gradebook_file.exists()

    def lessons(self) -> tuple[str, ...]:
        """List the lessons with a source.

        Returns
        -------
        tuple of str
            Folder names such as "02-angles" [-].
        """
        source = self.instructor / "source"
        return tuple(sorted(path.parent.name for path in source.glob("*/*.ipynb")))

    def prepare(self) -> None:
        """Make the folders, and copy the lessons with solutions in when they lie elsewhere."""
        self.marking.mkdir(parents=True, exist_ok=True)
        source = self.root / "instructor" / "source"
        if not source.exists():
            shutil.copytree(
                self.instructor / "source",
                source,
                ignore=shutil.ignore_patterns(".ipynb_checkpoints", "__pycache__"),
            )

    def generate(self, lesson: str = EVERYTHING, *options: str) -> None:
        """Release lessons with their hall cards, and tell nbgrader's database about them.

        Parameters
        ----------
        lesson : str
            The lesson's folder, or `EVERYTHING` [-].
        *options : str
            Further options of nbgrader's [-].

        Raises
        ------
        ChildProcessError
            When nbgrader fails, with the errors it named.
        """
        self.run("generate_assignment", lesson, *options)
        cards.lay_out(self.root / "instructor" / "source", self.released)

    def run_each(
        self, command: str, *options: str, watch: Callable[[str], object] | None = None
    ) -> None:
        """Run one command of nbgrader on every lesson, as many at a time as there are cores.

        Parameters
        ----------
        command : str
            "autograde" or "generate_feedback" [-].
        *options : str
            Further options [-].
        watch : callable or None
            Takes each line that nbgrader says [-].

        Raises
        ------
        ChildProcessError
            When nbgrader fails, with the errors it named.
        """
        with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            started = [
                pool.submit(self.run, command, lesson, *options, watch=watch)
                for lesson in self.lessons()
                if any((self.marking / "submitted").glob(f"*/{lesson}"))
            ]
        for run in started:
            run.result()

    def run(
        self, command: str, lesson: str, *options: str, watch: Callable[[str], object] | None = None
    ) -> None:
        """Run one command of nbgrader on one lesson, or on every one.

        Parameters
        ----------
        command : str
            "generate_assignment", "autograde" or "generate_feedback" [-].
        lesson : str
            The lesson's folder, or `EVERYTHING` [-].
        *options : str
            Further options [-].
        watch : callable or None
            Takes each line that nbgrader says [-].

        Raises
        ------
        ChildProcessError
            When nbgrader fails, with the errors it named.
        """
        log = self.marking / f"nbgrader-{'all' if lesson == EVERYTHING else lesson}.log"
        started = subprocess.Popen(
            [sys.executable, "-m", "nbgrader", command, f"--assignment={lesson}", *options],
            cwd=self.instructor,  # where nbgrader finds its settings
            env=self.environment(),
            text=True,
            encoding="utf-8",
            errors="replace",
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        errors = []
        with started as process, log.open("a", encoding="utf-8") as lines:
            for line in process.stdout or ():
                lines.write(line)
                errors += [line.strip()] if "ERROR" in line else []
                if watch:
                    watch(line)
        if started.returncode:
            said = "\n".join(errors[-5:]) or f"nothing; see {log}"
            raise ChildProcessError(f"nbgrader {command} failed. It said:\n{said}")

    def environment(self) -> dict[str, str]:
        """Make the environment in which nbgrader finds the course and the package.

        Returns
        -------
        dict of str to str
            The environment [-].
        """
        paths = [str(PACKAGE_PARENT), *filter(None, [os.environ.get("PYTHONPATH")])]
        return os.environ | {
            "PATH": places.programs(),
            "PYTHONPATH": os.pathsep.join(paths),
            places.COURSE_ROOT: str(self.root.resolve()),
            places.CLASS_WORD: self.class_word,
        }
