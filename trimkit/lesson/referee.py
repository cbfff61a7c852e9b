"""The hall of a case: the one place where a hidden fault is known.

The truth of a case lives in a process of its own. The notebook sends what was done and gets
back what was seen; the fault, its size and the faulty aeroplane never cross over, so nothing
that the notebook can print, pickle or search holds them. The process ends with the notebook,
starts again by itself when it was lost, and keeps nothing: every answer follows from the case's
seed, the state of the aeroplane by the log and the number of the entry, through a keyed hash.

This keeps a pupil from reading the answer by chance or out of curiosity. It is no safe: whoever
can program may run this module's own code with the same seed and class word, or look into the
memory of the other process. A coach who marks cases chooses the class word last.

How well an eye and a tool see is fixed in `trimkit.diagnosis.readings`.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import hmac
import json
import os
import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.log import LONGEST_TEXT
from trimkit.units import Floats

TOOLS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "ruler": ("decalage_deg",),
        "balance point": ("balance_point_mm",),
        "wing twist": ("left_twist_deg", "right_twist_deg"),
        "fin": ("fin_deg",),
        "tail tilt": ("tail_tilt_deg",),
        "thrust line": ("side_thrust_deg", "down_thrust_deg"),
        "wing's skew": ("skew_deg",),
        "scales": ("mass_g",),
        "propeller on the scales": ("propeller_g",),
        "loop on the scales": ("motor_g",),
        "torque meter": ("torque_mNm",),
        "loop": ("loop_mm",),
        "thermometer": ("temperature_c",),
        "pitch gauge": ("first_blade_deg", "second_blade_deg"),
    }
)  # names of `trimkit.diagnosis.readings`
FILM_PER_S = 10.0
LONGEST_FLIGHT_S = 600.0
FIRST_ANSWER_S, ANSWER_S = 240.0, 90.0  # the first may prepare the flight engine
LOST = "The hall did not answer, so nothing was done and nothing is logged. Run the cell again."
SLOW = "That took too long, so it was stopped and nothing is logged. Run the cell again."
CANNOT_FLY = (
    "The aeroplane cannot be flown like that: it would not leave the hand. Nothing is logged; "
    "make a smaller change."
)
TOO_FAR = "That part cannot be moved so far on this aeroplane. Nothing is logged."
_START = "from trimkit.lesson.referee import serve; serve()"


class Refused(ValueError):  # noqa: N818
    """Something that a case does not do, said in a sentence or two; a notebook shows just that.

    Parameters
    ----------
    words : str
        What is said; whoever shows the error as text ends it with a full stop of his own [-].
    """

    def __init__(self, words: str) -> None:
        super().__init__(words.removesuffix("."))

    def sentence(self) -> str:
        """Say it with its end.

        Returns
        -------
        str
            The words, with a full stop where there is no other end [-].
        """
        words = str(self)
        return words if words.endswith(("?", "!")) else f"{words}."

    def _render_traceback_(self) -> list[str]:
        return [self.sentence()]


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a case follows from.

    Parameters
    ----------
    seed : str
        Number or name of the case [-].
    aeroplane : Aeroplane
        As planned: what the card says [-].
    class_word : str
        The coach's word, empty for practice [-].
    faults : int
        How many are hidden, 1 or 2 [-].
    """

    seed: str
    aeroplane: Aeroplane
    class_word: str
    faults: int

    def digest(self, *words: object) -> bytes:
        """Hash the terms with some words, keyed with the class word.

        Parameters
        ----------
        *words : object
            What the digest is for [-].

        Returns
        -------
        bytes
            Thirty-two, the same on every machine [-].
        """
        named = [self.seed, self.aeroplane.name, self.faults, *words]
        text = json.dumps(named, ensure_ascii=False, default=str)
        return hmac.new(self.class_word.encode(), text.encode(), hashlib.sha256).digest()

    def seed_for(self, *words: object) -> int:
        """Draw a seed.

        Parameters
        ----------
        *words : object
            What it is for [-].

        Returns
        -------
        int
            0 to 2^31 - 1 [-].
        """
        return int.from_bytes(self.digest(*words)[:4], "big") >> 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What a case asks of the hall.

    Parameters
    ----------
    terms : Terms
        Which case [-].
    do : str
        "fly", "look", "measure", or "plan" for a flight as it was when all was well [-].
    number : int
        Of the log's entry to come [-].
    what : str
        Place or tool, "" for a flight [-].
    changes : mapping of str to float
        Settings that are not as planned, and by how much [in the unit of each].
    repairs : tuple of str
        Faults repaired so far [-].
    turns : float
        Turns on, by the log [turns].
    film : str
        File for the flight, "" for none [-].
    """

    terms: Terms
    do: str
    number: int
    what: str = ""
    changes: Mapping[str, float] = dataclasses.field(default_factory=dict)
    repairs: tuple[str, ...] = ()
    turns: float = 0.0
    film: str = ""

    def to_line(self, ask: int) -> str:
        """Write the request as one line.

        Parameters
        ----------
        ask : int
            Counts the questions, so that a late answer is told from the next [-].

        Returns
        -------
        str
            JSON, with a line end [-].
        """
        from trimkit import files

        plain = {f.name: getattr(self, f.name) for f in dataclasses.fields(self)}
        terms = {f.name: getattr(self.terms, f.name) for f in dataclasses.fields(Terms)}
        terms["aeroplane"] = files.dumps(self.terms.aeroplane)
        return (
            json.dumps({**plain, "terms": terms, "changes": dict(self.changes), "ask": ask}) + "\n"
        )

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Request:
        """Read a request.

        Parameters
        ----------
        plain : mapping
            What `to_line` wrote, without "ask" [-].

        Returns
        -------
        Request
            The same request [-].
        """
        terms = plain["terms"]
        known = Terms(**{**terms, "aeroplane": _loaded(terms["aeroplane"])})
        return cls(**{**plain, "terms": known, "repairs": tuple(plain["repairs"])})


# --- the notebook's side ---------------------------------------------------------------------


class Referee:
    """The notebook's end of the line: starts the process, asks, waits, starts again.

    Parameters
    ----------
    start : sequence of str or None
        Command of the process, None for the real one [-].
    first_s, later_s : float
        How long to wait for the first answer and for the others [s].
    """

    def __init__(
        self,
        start: Sequence[str] | None = None,
        first_s: float = FIRST_ANSWER_S,
        later_s: float = ANSWER_S,
    ) -> None:
        self._start = tuple(start or (sys.executable, "-I", "-c", _START))
        self._first_s, self._later_s = first_s, later_s
        self._process: subprocess.Popen[str] | None = None
        self._answers: queue.Queue[str] = queue.Queue()
        self._asked = 0
        self._answered = False
        self._lock = threading.Lock()

    @property
    def pid(self) -> int | None:
        """Number of the process, None when there is none [-]."""
        return self._process.pid if self._process is not None else None

    def wake(self) -> None:
        """Start the process when it does not run, without waiting for it."""
        if self._process is not None and self._process.poll() is None:
            return
        self.close()
        self._answers, self._answered = queue.Queue(), False
        self._process = subprocess.Popen(
            self._start,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            start_new_session=True,  # an interrupt is for the notebook's cell
        )
        reader = threading.Thread(target=_listen, args=(self._process, self._answers), daemon=True)
        reader.start()

    def close(self) -> None:
        """End the process."""
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for end in (process.stdin, process.stdout):
            _close(end)

    def ask(self, request: Request) -> dict[str, Any]:
        """Ask for one result; a process that is lost is started again, once.

        Parameters
        ----------
        request : Request
            What was done [-].

        Returns
        -------
        dict
            "features", "words", "readings" and "named" [-].

        Raises
        ------
        Refused
            When it cannot be done, or nobody answers.
        """
        with self._lock:
            for _ in range(2):
                answer = self._once(request)
                if answer is not None:
                    break
            else:
                raise Refused(LOST)
        if "refused" in answer:
            raise Refused(answer["refused"])
        return answer

    def _once(self, request: Request) -> dict[str, Any] | None:
        """One question and its answer; None when the process is lost."""
        self.wake()
        self._asked += 1
        try:
            pipe = self._process.stdin if self._process else None
            if pipe is None:
                return None
            pipe.write(request.to_line(self._asked))
            pipe.flush()
        except OSError:
            self.close()
            return None
        return self._waited(self._asked)

    def _waited(self, ask: int) -> dict[str, Any] | None:
        limit = self._later_s if self._answered else self._first_s
        while True:
            try:
                line = self._answers.get(timeout=limit)
            except queue.Empty:
                self.close()
                raise Refused(SLOW) from None
            if not line:
                self.close()
                return None
            answer = _as_answer(line)
            if answer.pop("ask", None) == ask:
                self._answered = True
                return answer


def _listen(process: subprocess.Popen[str], answers: queue.Queue[str]) -> None:
    """Hand lines over; an empty one says that there will be no more."""
    with contextlib.suppress(OSError, ValueError):  # closed from our own side
        for line in process.stdout or ():
            answers.put(line)
    answers.put("")


def _close(end: Any) -> None:
    with contextlib.suppress(OSError):  # what was still to be written has no reader any more
        end.close()


def _as_answer(line: str) -> dict[str, Any]:
    try:
        answer = json.loads(line)
    except ValueError:
        return {}
    return answer if isinstance(answer, dict) else {}


# --- the other process -----------------------------------------------------------------------


def serve() -> None:
    """Answer requests from standard input until it ends. Nothing else is ever written."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)  # the flight engine may say something while it is prepared
    os.dup2(nowhere, 2)
    with os.fdopen(os.dup(0), encoding="utf-8") as lines:
        for line in lines:
            out.write(json.dumps(_answered(line)) + "\n")
            out.flush()


def _answered(line: str) -> dict[str, Any]:
    """Answer one line; what went wrong inside stays inside."""
    plain = json.loads(line)
    ask = plain.pop("ask")
    try:
        return {"ask": ask, **result(Request.from_plain(plain))}
    except Refused as problem:
        return {"ask": ask, "refused": problem.sentence()}
    except Exception:  # its words could tell the fault
        return {"ask": ask, "refused": LOST}


def result(request: Request) -> dict[str, Any]:
    """Work out what an action shows. Only the other process calls this.

    Parameters
    ----------
    request : Request
        What was done [-].

    Returns
    -------
    dict
        "features", "words", "readings" and "named", plain [-].

    Raises
    ------
    Refused
        When the aeroplane cannot be set or flown like that.
    """
    works = {"fly": _flown, "look": _looked, "measure": _measured, "plan": _planned}
    return {"features": {}, "words": "", "readings": {}, "named": "", **works[request.do](request)}


def _loaded(text: str) -> Aeroplane:
    from trimkit import files

    return files.loads(text)


def hidden_faults(terms: Terms) -> tuple[tuple[str, float], ...]:
    """Say what is wrong with a case's aeroplane: often faults more often, no two at one place.

    Parameters
    ----------
    terms : Terms
        What the case follows from [-].

    Returns
    -------
    tuple of (str, float)
        Names of the faults [-] and their sizes [in the unit of each].
    """
    from trimkit.faults import CATALOGUE

    chance = np.random.default_rng(list(terms.digest("faults")))
    names: list[str] = []
    for _ in range(terms.faults):
        taken = {CATALOGUE[name].place for name in names}
        left = [fault for fault in CATALOGUE.values() if fault.place not in taken]
        weights = np.array([fault.often for fault in left])
        names.append(left[int(chance.choice(len(left), p=weights / weights.sum()))].name)
    found = [CATALOGUE[name] for name in names]
    return tuple((one.name, float(chance.uniform(one.low, one.high))) for one in found)


def _plain_job(aeroplane: Aeroplane, turns: float, seed: int = 0) -> Any:
    """A flight by a practised hand in a quiet hall."""
    from trimkit.flight import Hall, Job, Launch
    from trimkit.flight.hall import QUIET_HALL_M_S

    return Job(
        aeroplane=aeroplane,
        launch=Launch(turns=turns, scatter=1.0),
        hall=Hall(restless_m_s=QUIET_HALL_M_S),
        seed=seed,
        longest_s=LONGEST_FLIGHT_S,
    )


def _job(request: Request) -> Any:
    """The flight as it really is: built with small errors, with its faults, set by hand."""
    from trimkit import faults, settings
    from trimkit.diagnosis.samples import scattered

    terms = request.terms
    built = scattered(terms.aeroplane, terms.seed_for("building"))
    job = _plain_job(built, request.turns, terms.seed_for("flight", request.number))
    for name, size in hidden_faults(terms):
        job = job if name in request.repairs else faults.afflict(job, name, size)
    try:
        moved = settings.changed(job.aeroplane, settings.Change(request.changes))
    except ValueError:
        raise Refused(TOO_FAR) from None
    return dataclasses.replace(job, aeroplane=moved)


def _flown(request: Request) -> dict[str, Any]:
    from trimkit import observe

    job = _job(request)
    try:
        flight = job.fly()
    except ValueError:
        raise Refused(CANNOT_FLY) from None
    seen = observe.watch(flight, request.terms.seed_for("watch", request.number))
    if request.film:
        filmed(flight, request.turns).save(request.film)
    return {"features": dict(seen.values), "words": _fitting(seen.words())}


def _planned(request: Request) -> dict[str, Any]:
    """The flight of the card: an exact launch, still air, and an eye that makes no errors."""
    from trimkit import observe
    from trimkit.flight import fly

    try:
        flight = fly(request.terms.aeroplane, request.turns, longest_s=LONGEST_FLIGHT_S)
    except ValueError:
        raise Refused(CANNOT_FLY) from None
    seen = observe.watch(flight)
    return {"features": dict(seen.values), "words": _fitting(seen.words())}


def _fitting(words: str) -> str:
    """Leave out from the middle what a log's line does not hold."""
    parts = words.split("; ")
    while len("; ".join(parts)) > LONGEST_TEXT:
        parts.pop(-2)
    return "; ".join(parts)


def filmed(flight: Any, turns: float) -> Any:
    """Keep of a flight what a camera and a counter in the hall would have.

    Path and attitude stay. Loads, play in the tail and the air's own motion cannot be filmed and
    go; speed is that over the floor; turns are those of the log, less what was used.

    Parameters
    ----------
    flight : Flight
        As computed [-].
    turns : float
        Turns on, by the log [turns].

    Returns
    -------
    Flight
        About `FILM_PER_S` rows a second [-].
    """
    count = flight.time_s.size
    rate = (count - 1) / max(flight.duration_s, 1e-9)
    rows = np.unique([*range(0, count, max(round(rate / FILM_PER_S), 1)), count - 1])
    used = flight.turns_on - flight.turns_left
    share = (turns - flight.turns_at_landing) / max(float(used[-1]), 1e-9)
    joints = flight.joints_rad * np.array([0.0, 0.0, 1.0])
    whole = {
        "position_m": flight.position_m,
        "quaternion": flight.quaternion,
        "velocity_m_s": _over_floor_m_s(flight),
        "rates_rad_s": flight.rates_rad_s,
        "turns_left": turns - used * share,
        "shaft_rad_s": flight.shaft_rad_s,
        "joints_rad": joints,
        "energy_J": np.zeros(count),
    }
    return dataclasses.replace(
        flight,
        turns_on=turns,
        seed=0,
        notes=(),
        time_s=flight.time_s[rows],
        **{name: one[rows].astype(np.float32) for name, one in whole.items()},
    )


def _over_floor_m_s(flight: Any) -> Floats:
    """Speed over the floor in body axes."""
    if flight.time_s.size < 2:
        return np.asarray(flight.velocity_m_s)
    w, x, y, z = flight.quaternion.T
    to_earth = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )
    speed: Floats = np.gradient(flight.position_m, flight.time_s, axis=0)
    return np.asarray(np.einsum("ijn,ni->nj", to_earth, speed))


# --- looking -------------------------------------------------------------------------------


def _looked(request: Request) -> dict[str, Any]:
    """An eye names what is loose, torn or bent; angles, lengths and masses need a tool."""
    from trimkit.diagnosis.readings import looked, sight, touched
    from trimkit.faults import PLACES

    place = request.what
    left = {name for name, _ in hidden_faults(request.terms)} - set(request.repairs)
    moved = map(list, touched(place, request.changes, request.repairs))
    chance = np.random.default_rng(list(request.terms.digest("look", place, *moved)))
    seen = sight(place, sorted(left), chance)
    told = f"You look at {place}: {PLACES[place]}. {_sight_words(place, seen)}"
    result = looked(seen, told)
    return {"words": told, "readings": dict(result.readings), "named": result.named}


def _sight_words(place: str, seen: str) -> str:
    from trimkit.diagnosis.readings import SOMETHING
    from trimkit.faults import CATALOGUE

    if not seen:
        return "Nothing looks out of place. An eye misses one thing in five."
    if seen != SOMETHING:
        return f"You think you see this: {CATALOGUE[seen].title}. An eye is wrong now and then."
    hidden = [one for one in CATALOGUE.values() if one.place == place and not one.by_eye]
    might = "; ".join(one.title for one in hidden)
    return (
        "Something is not as it should be, but an eye cannot say what. Here that may be: "
        f"{might}. A tool or a flight can tell."
    )


# --- measuring -----------------------------------------------------------------------------


def _measured(request: Request) -> dict[str, Any]:
    """Read a tool, and lay what the card says beside it."""
    from trimkit import settings
    from trimkit.diagnosis.readings import READINGS

    job = _job(request)
    card = settings.changed(request.terms.aeroplane, settings.Change(request.changes))
    planned = _plain_job(card, request.turns)
    found, told = {}, []
    for name in TOOLS.get(request.what, (request.what,)):
        reading = READINGS[name]
        value = reading.read(job, request.terms.seed_for("measure", request.number, name))
        off = reading.error(job, value)
        unit = reading.unit if reading.unit == "°" else f" {reading.unit}"
        digits = 2 if off < 0.2 else 1 if off < 3 else 0
        found[name] = value
        told.append(
            f"{reading.title}: {value:.{digits}f}{unit}, usually within "
            f"{off:.{digits}f}; the card says {reading.of(planned):.{digits}f}"
        )
    words = ". ".join(f"{one[0].upper()}{one[1:]}" for one in told)
    return {"words": _fitting(f"{words}."), "readings": found}
