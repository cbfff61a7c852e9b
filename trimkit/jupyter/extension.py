"""What the course panel asks the Jupyter server: where a pupil stands, cases, long work.

Every door asks for Jupyter's own proof of who asks. Names that come in are looked up below the
course folder, and whatever would lead out of it, by dots or by a link, is refused with 403 before
anything is touched. The course folder is the server's own folder when it holds a course, or the
season's work folder in it.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from jupyter_server.auth.decorator import authorized
from jupyter_server.base.handlers import APIHandler
from jupyter_server.utils import url_path_join
from tornado.web import authenticated

from trimkit import places
from trimkit.jupyter import desk, exchange, notebooks, standing
from trimkit.jupyter.runs import BusyError, Runs
from trimkit.jupyter.worker import WORK, Order
from trimkit.lesson import handin

MOST_PUPILS = 500
NO_COURSE = (
    "There is no course in this folder. Stop JupyterLab with Ctrl and C, and start with: "
    "trimkit open"
)
NOT_A_COACH = "This is for coaches: the folder open here holds no folder instructor."


class OutsideError(ValueError):
    """A name leads out of the course folder."""


@dataclass(frozen=True, slots=True)
class Site:
    """The course folder as a server finds it.

    Parameters
    ----------
    folder : pathlib.Path or None
        The folder, None when there is no course [-].
    role : {"pupil", "coach", ""}
        Whose folder it is [-].
    prefix : str
        The folder below the server's own, empty when it is the same [-].
    """

    folder: Path | None
    role: str = ""
    prefix: str = ""


def site(root: Path) -> Site:
    """Find the course folder of a server.

    Parameters
    ----------
    root : pathlib.Path
        The server's own folder [-].

    Returns
    -------
    Site
        The course folder, and whose it is [-].
    """
    root = root.expanduser().resolve()
    if all((root / "instructor" / name).is_dir() for name in ("source", "marking")):
        return Site(root, "coach")
    for folder in (root, places.default_work_folder().resolve()):
        marks = (places.PUPIL_FILE, places.MANIFEST_FILE)
        if folder.is_relative_to(root) and any((folder / name).is_file() for name in marks):
            return Site(folder, "pupil", folder.relative_to(root).as_posix().removeprefix("."))
    return Site(None)


def inside(folder: Path, name: object) -> Path:
    """Find something below a folder.

    Parameters
    ----------
    folder : pathlib.Path
        The folder [-].
    name : object
        What came in; text with forward slashes [-].

    Returns
    -------
    pathlib.Path
        The place, links followed [-].

    Raises
    ------
    OutsideError
        When it leads out of the folder.
    ValueError
        When it is no name.
    """
    if not isinstance(name, str) or not name or not name.isprintable():
        raise ValueError(f"{str(name)[:60]!r} is no name of a file or folder.")
    place = (folder / name).resolve()
    if not place.is_relative_to(folder.resolve()) or place == folder.resolve():
        raise OutsideError(f"{name[:60]!r} leads out of the course folder. Nothing was touched.")
    return place


class _Handler(APIHandler):
    """What all doors share."""

    auth_resource = "trimkit"

    @property
    def site(self) -> Site:
        """The course folder [-]."""
        return site(Path(self.settings["server_root_dir"]))

    @property
    def runs(self) -> Runs:
        """The long work of this course folder [-]."""
        kept: dict[Path, Runs] = self.settings.setdefault("trimkit_runs", {})
        folder = self._folder("coach")
        return kept.setdefault(folder, Runs(folder))

    async def _answer(self, work: Callable[[], Mapping[str, Any]]) -> None:
        """Answer with plain data, or with a sentence that says what to do."""
        try:
            reply, status = await asyncio.to_thread(work), 200
        except OutsideError as error:
            reply, status = {"message": str(error)}, 403
        except BusyError as error:
            reply, status = {"message": str(error)}, 409
        except FileNotFoundError as error:
            reply, status = {"message": _plain(error)}, 404
        except ValueError as error:
            reply, status = {"message": str(error)}, 400
        except OSError as error:
            reply, status = {"message": _plain(error)}, 507
        self.set_status(status)
        self.finish(json.dumps(reply))

    def _folder(self, role: str) -> Path:
        found = self.site
        if found.folder is None:
            raise FileNotFoundError(NO_COURSE)
        if role == "coach" and found.role != "coach":
            raise FileNotFoundError(NOT_A_COACH)
        return found.folder

    def _given(self, **kinds: type) -> dict[str, Any]:
        """Take the body apart; only what is known, and each of its kind."""
        try:
            body = json.loads(self.request.body)
        except ValueError:
            body = None
        if not isinstance(body, dict):
            raise ValueError("That was no JSON object.")
        if strange := sorted(set(body) - set(kinds)):
            raise ValueError(f"Not known: {', '.join(strange)[:80]}. Known: {', '.join(kinds)}.")
        for name, value in body.items():
            if type(value) is not kinds[name]:
                raise ValueError(
                    f"{name} is {str(value)[:40]!r}; it must be {_KINDS[kinds[name]]}."
                )
        return body


_KINDS = {str: "text", int: "a whole number", bool: "true or false"}


class CourseHandler(_Handler):
    """Where everybody stands."""

    @authenticated
    @authorized
    async def get(self) -> None:
        """Tell what the panel shows."""
        await self._answer(self._tell)

    def _tell(self) -> Mapping[str, Any]:
        found = self.site
        if found.folder is None:
            return {"role": "", "notes": [NO_COURSE]}
        if found.role == "coach":
            run = self.runs.last
            told = desk.as_data(found.folder) | {"run": asdict(run) if run else None}
        else:
            trouble = exchange.fetch(found.folder)
            told = standing.as_data(found.folder)
            told["notes"] = [*told["notes"], *filter(None, [trouble])]
        return told | {"role": found.role, "prefix": found.prefix}


class CaseHandler(_Handler):
    """A case that was left in the middle."""

    @authenticated
    @authorized
    async def post(self) -> None:
        """Lay a notebook ready that goes on with it."""
        await self._answer(self._bring_back)

    def _bring_back(self) -> Mapping[str, Any]:
        folder = self._folder("pupil")
        name = self._given(name=str).get("name", "")
        logs = folder / places.LOG_FOLDER
        inside(logs, name)
        log = inside(logs, f"{name}.jsonl")  # may be a link where the name alone is none
        if not log.is_file():
            raise FileNotFoundError(f"There is no case {name[:60]!r} in your work folder.")
        made = notebooks.for_case(folder, log)
        return {"path": made.relative_to(folder).as_posix()}


class HandInHandler(_Handler):
    """A lesson on its way to the coach."""

    @authenticated
    @authorized
    async def post(self) -> None:
        """Say what is missing; when told to make it, make it."""
        await self._answer(self._hand_in)

    def _hand_in(self) -> Mapping[str, Any]:
        folder = self._folder("pupil")
        given = self._given(path=str, make=bool)
        notebook = inside(folder, given.get("path", ""))
        lesson = notebook.parent.name
        if notebook.parent.parent != folder:
            raise ValueError(f"{notebook.name} is no lesson. Open the lesson you want to hand in.")
        checks = handin.check(folder, lesson)
        if not checks.pupil:
            raise ValueError(checks.missing[0])
        told: dict[str, Any] = {"words": checks.words(), "missing": checks.missing, "file": ""}
        if given.get("make"):
            inside(folder, handin.FOLDER)  # may be a link
            made = inside(folder, handin.zip_name(checks.pupil, lesson))
            handin.make(folder, lesson)
            told |= {"file": made.relative_to(folder).as_posix(), "exchange": False}
            if to := exchange.find(folder, lesson):
                exchange.submit(folder, lesson, to)
                told["exchange"] = True
        return told


class RunsHandler(_Handler):
    """Marking, reports and rehearsals."""

    @authenticated
    @authorized
    async def get(self) -> None:
        """Tell how far it is."""
        await self._answer(self._tell)

    @authenticated
    @authorized
    async def post(self) -> None:
        """Start one."""
        await self._answer(self._start)

    def _tell(self) -> Mapping[str, Any]:
        last = self.runs.last
        return {"run": asdict(last) if last else None}

    def _start(self) -> Mapping[str, Any]:
        folder = self._folder("coach")
        given = self._given(kind=str, lesson=str, pupils=int)
        kind, lesson = given.get("kind", ""), given.get("lesson", "")
        if kind not in WORK:
            raise ValueError(f"{kind[:40]!r} cannot be done here. Known: {', '.join(WORK)}.")
        least = 1 if kind == "rehearse" else 0
        pupils = given.get("pupils", least)
        if not least <= pupils <= MOST_PUPILS:
            raise ValueError(f"{pupils} pupils: allowed are {least} to {MOST_PUPILS}.")
        if (
            kind in ("hand-out", "mark", "pages")
            and not inside(folder / "instructor" / "source", lesson).is_dir()
        ):
            raise ValueError(f"There is no lesson {lesson[:60]!r} in instructor/source.")
        order = Order(kind=kind, root=str(folder), lesson=lesson, pupils=pupils)
        return {"run": asdict(self.runs.start(order))}


class RunHandler(_Handler):
    """One piece of long work."""

    @authenticated
    @authorized
    async def delete(self, number: str) -> None:
        """Stop it."""
        await self._answer(lambda: self._stop(int(number)))

    def _stop(self, number: int) -> Mapping[str, Any]:
        run = self.runs.stop(number)
        if run is None:
            raise FileNotFoundError("There is no such work here; look at the page again.")
        return {"run": asdict(run)}


def _plain(error: OSError) -> str:
    if not error.strerror:
        return str(error)
    where = Path(str(error.filename)).name if error.filename else "the folder"
    return (
        f"{where} cannot be written or read: {error.strerror}. Ask whether this folder may be "
        "written, and whether the disc is full."
    )


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": "trimkit.jupyter.extension"}]


def _load_jupyter_server_extension(server: Any) -> None:
    doors = {
        "course": CourseHandler,
        "case": CaseHandler,
        "hand-in": HandInHandler,
        "runs": RunsHandler,
        r"runs/(\d{1,9})": RunHandler,
    }
    base = url_path_join(server.web_app.settings["base_url"], "trimkit")
    server.web_app.add_handlers(
        ".*$", [(url_path_join(base, door), handler) for door, handler in doors.items()]
    )
