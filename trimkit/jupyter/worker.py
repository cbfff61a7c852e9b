"""Long work in a process of its own: marking, the report, a rehearsal.

It reads one line of JSON that says what to do, and writes lines of JSON that say how far it is.
When the other end of its input goes away, by a tap on "stop" or with the server, it stops as for
Ctrl-C, so that nothing is left half done.
"""

from __future__ import annotations

import dataclasses
import json
import os
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

from tqdm import tqdm

from trimkit import places
from trimkit.jupyter import exchange

DOWNLOADS = "marking/downloads"
NO_EXCHANGE = "This machine has no exchange of nbgrader's that you may write to."
STOPPED = 130  # as a shell says for Ctrl-C


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is to be done.

    Parameters
    ----------
    kind : {"hand-out", "collect", "mark", "pages", "report", "rehearse"}
        What [-].
    root : str
        The course folder [-].
    lesson : str
        The lesson to hand out, to mark or to give back, as its folder is called [-].
    pupils : int
        How many pupils the class has, 0 when not known [-].
    """

    kind: str
    root: str
    lesson: str = ""
    pupils: int = 0


@dataclasses.dataclass(frozen=True, slots=True)
class Done:
    """What came of it.

    Parameters
    ----------
    good : bool
        Whether all went well [-].
    words : str
        What the coach reads [-].
    files : tuple of pathlib.Path
        What was written and is worth opening [-].
    """

    good: bool
    words: str
    files: tuple[Path, ...] = ()


def main() -> int:
    """Do what the first line of the input orders.

    Returns
    -------
    int
        Exit status: 0 done, 1 it went wrong in a way that is told [-].
    """
    order = Order(**json.loads(sys.stdin.readline()))
    with os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8") as lines:
        os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what a library prints is no message
        tell = _teller(lines)
        threading.Thread(target=_stop_with_the_input, daemon=True).start()
        try:
            done = WORK[order.kind](order, tell)
        except KeyboardInterrupt:
            return STOPPED
        except (ValueError, OSError, RuntimeError) as error:
            tell(good=False, words=str(error), files=[])
            return 1
        names = [path.relative_to(order.root).as_posix() for path in done.files]
        tell(good=done.good, words=done.words, files=names)
    return 0


def _teller(lines: IO[str]) -> Callable[..., None]:
    def tell(**message: Any) -> None:
        lines.write(json.dumps(message) + "\n")
        lines.flush()

    return tell


def _stop_with_the_input() -> None:
    sys.stdin.read()
    os.kill(os.getpid(), signal.SIGINT)


def _bar(tell: Callable[..., None]) -> Callable[..., Any]:
    class Told(tqdm):  # type: ignore[misc]
        """A progress bar that is told instead of drawn."""

        def display(self, *_: Any, **__: Any) -> None:
            tell(done=self.n, of=self.total or 0)

    def make(**about: Any) -> Any:
        return Told(**about, file=sys.stderr, disable=False)

    return make


def _hand_out(order: Order, tell: Callable[..., None]) -> Done:
    if exchange.at_desk(Path(order.root)) is None:
        return Done(False, f"{NO_EXCHANGE} Pupils have the lessons from: trimkit open.")
    _course(order).run("release_assignment", order.lesson)
    return Done(True, "Pupils can hand it in from their panel now.")


def _collect(order: Order, tell: Callable[..., None]) -> Done:
    from trimkit.classroom import collection

    course, downloads = _course(order), Path(order.root) / DOWNLOADS
    downloads.mkdir(parents=True, exist_ok=True)
    there = any(downloads.iterdir())
    to = exchange.at_desk(course.root)
    if to is None and not there:
        return Done(False, f"Put what pupils gave you into {DOWNLOADS}, and collect again.")
    all_done = [_from_exchange(course, to)] if to else []
    if there:
        found = collection.collect(course, downloads)
        all_done.append(Done(bool(found.taken) and not found.troubles, found.words()))
    return Done(all(one.good for one in all_done), "\n".join(one.words for one in all_done))


def _from_exchange(course: Any, to: exchange.Exchange) -> Done:
    from trimkit.classroom import inbound

    said: list[str] = []
    for lesson in filter(to.has, course.lessons()):
        course.run("collect", lesson, "--update", watch=said.append)
    came, missed = (
        [line.partition(mark)[2].strip() for line in said if mark in line]
        for mark in (inbound.CAME, inbound.MISSED)
    )
    head = f"{len(came)} collected from the exchange, {len(missed)} not."
    return Done(not missed, "\n".join([head, *came, *missed]))


def _pages(order: Order, tell: Callable[..., None]) -> Done:
    course = _course(order)
    course.run("generate_feedback", order.lesson, "--force")
    made = list((course.marking / "feedback").glob(f"*/{order.lesson}/*.html"))
    if not made:
        return Done(False, "Nobody is marked in this lesson yet, so there is no page. Mark first.")
    to = exchange.at_desk(course.root)
    if to is not None and to.has(order.lesson):
        course.run("release_feedback", order.lesson)
        return Done(True, f"{len(made)} page(s) are made and given back: pupils' panels show them.")
    return Done(
        True,
        f"{len(made)} page(s) are in marking/feedback. Give each pupil the own one: it goes into "
        f"feedback/{order.lesson} of the pupil's work folder.",
    )


def _mark(order: Order, tell: Callable[..., None]) -> Done:
    from trimkit.classroom import crowd

    outcome = crowd.mark(
        _course(order), order.lesson, say=lambda words: tell(say=words), progress=_bar(tell)
    )
    return Done(outcome.good, outcome.words())


def _report(order: Order, tell: Callable[..., None]) -> Done:
    from trimkit.classroom import report
    from trimkit.classroom.report import moved

    course = _course(order)
    folder = course.marking / "report"
    found = report.gather(
        course, folder / moved.FILE, order.pupils, say=lambda words: tell(say=words)
    )
    written = report.save(found, folder)
    lessons = len(found.results.lessons)
    words = "The report is ready." if lessons else "The report is ready: nobody has marks yet."
    return Done(True, "\n".join([words, *found.notes]), tuple(p.resolve() for p in written[:1]))


def _rehearse(order: Order, tell: Callable[..., None]) -> Done:
    from trimkit.classroom import rehearse

    course = _course(order)
    folder = _fresh(course.root)
    outcome = rehearse.rehearse(order.pupils, folder, course.instructor, progress=_bar(tell))
    return Done(outcome.good, outcome.words(), (outcome.folder / "summary.md",))


def _fresh(root: Path) -> Path:
    """Name a folder for a rehearsal that is not there yet."""
    number = 1
    while (folder := root / f"rehearsal-{number}").exists():
        number += 1
    return folder


def _course(order: Order) -> Any:
    from trimkit.classroom.course import Course

    root = Path(order.root)
    word = os.environ.get(places.CLASS_WORD, "")  # a school's JupyterHub gives it
    return Course(root=root, instructor=root / "instructor", class_word=word)


WORK: dict[str, Callable[[Order, Callable[..., None]], Done]] = {
    "hand-out": _hand_out,
    "collect": _collect,
    "mark": _mark,
    "pages": _pages,
    "report": _report,
    "rehearse": _rehearse,
}

if __name__ == "__main__":
    sys.exit(main())
