"""A case: an aeroplane with something wrong with it, to be found by looking, flying and thinking.

`case(7)` opens case 7. Nothing flies until it is asked for. Each action costs minutes and stands
in a log that is only added to, in the work folder; the aeroplane stays as it was left, and a
notebook that was closed goes on where it stopped. A cell that is run again after a new start
shows what came the first time, and costs nothing; `go_on` is for doing the same once more.

What is wrong is not in the notebook: see `trimkit.lesson.referee` for where it is, and for what
a determined programmer can still do about it.
"""

from __future__ import annotations

import atexit
import base64
import dataclasses
import difflib
import hashlib
import html
import importlib
import math
import numbers
import re
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path, PurePath
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from trimkit import balance, files, incidence, log, places
from trimkit.aeroplane import Aeroplane
from trimkit.lesson import attempts
from trimkit.lesson.referee import TOOLS, Referee, Refused, Request, Terms
from trimkit.log import CANNOT_TELL, CERTAINTY, MOVED, TURNS, Action, Entry, Log, Result, State
from trimkit.settings import SETTINGS, Change, changed

if TYPE_CHECKING:  # the flight engine loads when the first flight is looked at
    from trimkit.figures import Picture
    from trimkit.flight import Flight

FAMILIES: Mapping[str, str] = MappingProxyType(
    {
        "nose": "nose up or down",
        "circle": "bank and circle",
        "power": "rubber, propeller, weight or covering",
        "shaking": "something is loose or shakes",
        "hand or air": "the launch or the hall's air",
        "no idea yet": "no idea yet",
    }
)
# The words are those of `trimkit.diagnosis.skills`, which would bring the flight engine with it.
AGAINST_BEFORE = ("longer", "about the same", "shorter")
OF_ITSELF = ("dives", "stalls", "circles left", "flies straight", "circles right")
PREDICTIONS = AGAINST_BEFORE + OF_ITSELF
FLIGHT_MINUTES, LOOK_MINUTES = 6.0, 2.0  # as in `trimkit.diagnosis`
PICTURE_DPI = 80
HALL_C = 20.0  # as in `flight.Hall`
SHORT_S = 20.0  # shorter flights are told to a tenth of a second
USUAL_SHARES = (0.5, 0.78)  # of the most turns: a careful and a usual power; assumed
RUNGS = (("where to look", 1.0), ("the rule", 2.0), ("the next test", 3.0))
KEPT_NOWHERE = (
    "You are not in a work folder, so this case is forgotten when the notebook closes. "
    "Start with: trimkit open"
)
OTHER_FIGURES = (
    "The aeroplane's own figures have changed since this case began: what stands in the log "
    "stays, new flights are those of the new figures."
)
FROM_LOG = "From your log; nothing was done and no minute is used. To do it once more: go_on()."

_hall = Referee()
atexit.register(_hall.close)
_shelf: list[Path] = []  # a folder for cases outside a work folder


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What an action showed.

    Parameters
    ----------
    entry : Entry
        Its line in the log [-].
    text : str
        All of it in plain words [-].
    film : pathlib.Path or None
        File of the flight, None when the action was none or the file is gone [-].
    from_log : bool
        It was done before; nothing was done now [-].
    """

    entry: Entry
    text: str
    film: Path | None = None
    from_log: bool = False

    @property
    def words(self) -> str:
        """What was seen, alone [-]."""
        return self.entry.result.words

    def flight(self) -> Flight:
        """Load the flight, as a camera in the hall would have it.

        Returns
        -------
        Flight
            Path, attitude and turns, for pictures and replays [-].

        Raises
        ------
        Refused
            When the action was no flight, or its film is gone.
        """
        from trimkit.flight import Flight

        if self.film is None:
            raise Refused("There is no film of this: it was no flight, or its file is gone.")
        return Flight.load(self.film)

    def picture(self) -> Picture:
        """Draw the flight, with what was seen of it in words.

        Returns
        -------
        Picture
            The picture and its words [-].
        """
        from trimkit.figures import flight_view
        from trimkit.observe import Moment, Observation

        flown = self.flight()
        touched = tuple(
            Moment(one.time_s, f"{one.what}{f' with the {one.part}' if one.part else ''}")
            for one in flown.events
            if one.what != "landed"
        )
        seen = Observation(
            flown.name, flown.turns_on, self.entry.result.features, touched, flown.landed_on
        )
        return flight_view(flown, seen)

    def __repr__(self) -> str:
        return self.text

    def _repr_html_(self) -> str:
        body = html.escape(self.text).replace("\n", "<br>")
        shown = f'<div role="status" style="max-width:46em">{body}</div>'
        if self.film is None:
            return shown
        picture = self.picture()
        data = base64.b64encode(picture.png(PICTURE_DPI)).decode("ascii")
        alt = html.escape(picture.text, quote=True)
        look = "max-width:100%;height:auto;background:white"
        return f'{shown}<img src="data:image/png;base64,{data}" alt="{alt}" style="{look}">'


@dataclass(frozen=True, slots=True)
class Hint:
    """One rung of the ladder of hints.

    Parameters
    ----------
    rung : int
        1 for where to look, 2 for the rule, 3 for the next test [-].
    words : str
        The hint [-].
    minutes : float
        What it cost, 0 when it was given before [min].
    """

    rung: int
    words: str
    minutes: float

    def __repr__(self) -> str:
        cost = f"{self.minutes:g} min" if self.minutes else "given before, no minute more"
        return f"Hint {self.rung} of {len(RUNGS)}, {RUNGS[self.rung - 1][0]} ({cost}): {self.words}"


@dataclass(frozen=True, slots=True)
class Card:
    """The aeroplane's card.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned [-].
    flown : mapping of float to str
        By turns on, how it flew when all was well [-].
    most_turns : int
        What its motor takes [turns].
    """

    aeroplane: Aeroplane
    flown: Mapping[float, str]
    most_turns: int

    def __repr__(self) -> str:
        lines = [
            f"Card of {self.aeroplane.name}: decalage "
            f"{incidence.decalage_deg(self.aeroplane):.1f}°, balances "
            f"{balance.balance_point_mm(self.aeroplane):.0f} mm behind the wing's leading edge, "
            f"{balance.aeroplane_cg(self.aeroplane).mass_g:.2f} g ready to fly, at most "
            f"{self.most_turns} turns.",
            *(
                f"When all was well, {turns:.0f} turns: {words}"
                for turns, words in self.flown.items()
            ),
        ]
        return "\n".join(lines)

    def _repr_html_(self) -> str:
        return f"<p>{html.escape(repr(self))}</p>".replace("\n", "<br>")


@dataclass(frozen=True, slots=True)
class _Thought:
    """What was thought and expected before an action."""

    hypothesis: str = ""
    prediction: str = ""
    certainty: str = ""


def case(
    seed_or_name: int | str,
    aeroplane: str | Path | Aeroplane = "hallfinch-46",
    faults: int = 1,
) -> Case:
    """Open a case: a seeded aeroplane with one or two things wrong with it.

    The same seed, aeroplane, number of faults and class word give the same case on every
    machine. When its log is there already, the case goes on where it stopped.

    Parameters
    ----------
    seed_or_name : int or str
        Number of the case, or a name such as "week 3" [-].
    aeroplane : str, pathlib.Path or Aeroplane
        Name of a demo aeroplane, a file, or an aeroplane [-].
    faults : int
        How many things are wrong, 1 or 2 [-].

    Returns
    -------
    Case
        The case [-].

    Raises
    ------
    Refused
        When there is no such aeroplane, or the number of faults is none.
    """
    seed = _checked_seed(seed_or_name)
    if isinstance(faults, bool) or faults not in (1, 2):
        raise Refused(f"faults is {faults!r}; allowed is 1 or 2.")
    terms = Terms(
        seed=seed,
        aeroplane=_found(aeroplane),
        class_word=places.pupil().class_word,
        faults=faults,
    )
    return opened(terms)


def opened(terms: Terms) -> Case:
    """Open the case that follows from its terms, and wake its hall.

    Parameters
    ----------
    terms : Terms
        Seed, planned aeroplane, class word and number of faults [-].

    Returns
    -------
    Case
        The case [-].
    """
    if not places.marking():
        _hall.wake()
    return Case(terms, case_folder())


LOG = ".jsonl"
LOG_NAME = re.compile(r"case-(?P<seed>[a-z0-9-]+)-(?P<faults>[12])-[0-9a-f]{6}")
"""What `log_name` gives."""
PLAN = ".toml"
"""Ending of the aeroplane as planned, beside the log."""


def is_log(path: PurePath) -> bool:
    """Say whether a file is called as the log of a case is; hints and damaged ones are not.

    Parameters
    ----------
    path : pathlib.PurePath
        Its path [-].

    Returns
    -------
    bool
        True when it is [-].
    """
    return path.suffix == LOG and LOG_NAME.fullmatch(path.stem) is not None


def log_name(seed: str, aeroplane: str, class_word: str, faults: int) -> str:
    """Name a case's log, so that the name alone keeps cases apart.

    Parameters
    ----------
    seed : str
        Number or name of the case [-].
    aeroplane : str
        The aeroplane's name [-].
    class_word : str
        The coach's word [-].
    faults : int
        How many things are wrong [-].

    Returns
    -------
    str
        Such as "case-7-1-" and six signs [-].
    """
    plain = re.sub(r"[^a-z0-9]+", "-", seed.lower()).strip("-") or "case"
    mark = hashlib.sha256(f"{seed}|{class_word}|{aeroplane}".encode()).hexdigest()[:6]
    return f"case-{plain}-{faults}-{mark}"


def _checked_seed(given: object) -> str:
    whole = isinstance(given, numbers.Integral) and not isinstance(given, bool)
    named = isinstance(given, str) and 1 <= len(given.strip()) <= 40 and given.isprintable()
    if not (whole or named):
        raise Refused(
            f"A case is called {str(given)[:40]!r}; allowed is a whole number, such as 7, or a "
            'name in quotes of up to 40 letters, such as "week 3".'
        )
    return str(given).strip()


@cache
def _of_the_course() -> tuple[Aeroplane, ...]:
    return tuple(map(files.load_aeroplane, places.demo_aeroplanes().values()))


def _found(given: str | Path | Aeroplane) -> Aeroplane:
    if isinstance(given, Aeroplane):
        return given
    demo = places.demo_aeroplanes()
    path = Path(given) if str(given).endswith(".toml") else demo.get(str(given))
    if path is None or not path.is_file():
        known = ", ".join(demo)
        raise Refused(f"There is no aeroplane {str(given)!r}. There is {known}, or give a file.")
    return files.load_aeroplane(path)


def case_folder() -> Path:
    """Say where the logs of cases lie.

    Returns
    -------
    pathlib.Path
        Of the work folder; outside one, a folder that goes with the notebook [-].
    """
    work = places.work_folder()
    if work is not None:
        return work / places.LOG_FOLDER
    if not _shelf:
        _shelf.append(Path(tempfile.mkdtemp(prefix="trimkit-case-")))
        atexit.register(shutil.rmtree, _shelf[0], ignore_errors=True)
    return _shelf[0]


class Case:
    """A case as the notebook knows it: the plan of the aeroplane, and the log.

    Nothing in here tells what is wrong. Use `case` to make one.

    Parameters
    ----------
    terms : Terms
        Seed, planned aeroplane, class word and number of faults [-].
    folder : pathlib.Path
        Where the log and the films lie [-].

    Attributes
    ----------
    notes : tuple of str
        What there is to know about the log, in words; empty when all is well [-].
    """

    __slots__ = ("_at", "_folder", "_terms", "notes")

    def __init__(self, terms: Terms, folder: Path) -> None:
        self._terms, self._folder = terms, folder
        self._at = 0
        self.notes = tuple(self._remarks())

    def _remarks(self) -> list[str]:
        kept = self.log
        found = [KEPT_NOWHERE] if self._folder in _shelf else []
        found += [line.words() for line in kept.bad_lines]
        if kept.entries and kept.entries[-1].aeroplane_fingerprint != self._fingerprint({}, kept):
            found.append(OTHER_FIGURES)
        return found

    @property
    def name(self) -> str:
        """Name of the case, of its log and of its films [-]."""
        terms = self._terms
        return log_name(terms.seed, terms.aeroplane.name, terms.class_word, terms.faults)

    @property
    def aeroplane(self) -> Aeroplane:
        """The aeroplane as planned: what the card says [-]."""
        return self._terms.aeroplane

    @property
    def faults(self) -> int:
        """How many things are wrong [-]."""
        return self._terms.faults

    @property
    def log(self) -> Log:
        """The log as it stands in the work folder [-]."""
        return log.read(self._log_path)

    @property
    def hints(self) -> tuple[Hint, ...]:
        """The hints taken so far [-]."""
        kept = [one for one in attempts.read(self._hints_path) if one.get("kind") == "hint"]
        return tuple(Hint(one["rung"], one["words"], one["minutes"]) for one in kept)

    @property
    def minutes(self) -> float:
        """Minutes used, hints included [min]."""
        return self.log.minutes + math.fsum(hint.minutes for hint in self.hints)

    @property
    def turns(self) -> float | None:
        """Turns of the last flight, None before the first [turns]."""
        return self._state().turns

    @property
    def most_turns(self) -> int:
        """Turns that the planned motor takes at most [turns]."""
        return int(self.aeroplane.setting.motor.max_turns(HALL_C))

    def go_on(self) -> None:
        """Go on after the last line of the log, so that the same can be done once more."""
        self._at = len(self.log.entries)

    # --- what can be done ---

    def fly(
        self,
        turns: float | None = None,
        hypothesis: str = "",
        prediction: str = "",
        certainty: str = "",
    ) -> Seen:
        """Fly, with nothing changed since the last flight.

        Parameters
        ----------
        turns : float or None
            Turns on; None for those of the last flight [turns].
        hypothesis : str
            What may be wrong: a fault or a family of `FAMILIES` [-].
        prediction : str
            What will come, one of `PREDICTIONS` [-].
        certainty : str
            One of the four words [-].

        Returns
        -------
        Seen
            What was seen [-].

        Raises
        ------
        Refused
            When something is missing or not allowed; nothing is done then.
        """
        thought = self._thought(hypothesis, prediction, certainty)
        wanted = self._checked_turns(turns)
        logged = self._logged("fly", "", {}, wanted, thought)
        if logged is not None:
            return logged
        before, wound = self.turns, self._wound(wanted)
        if before not in (None, wound):
            raise Refused(
                f"Your last flight had {before:g} turns. Other turns are a change: "
                f"change(turns={wound:g})."
            )
        return self._do("fly", "", {}, wound, thought, FLIGHT_MINUTES)

    def change(
        self,
        hypothesis: str = "",
        prediction: str = "",
        certainty: str = "",
        *,
        turns: float | None = None,
        **amounts: float,
    ) -> Seen:
        """Change settings and fly.

        Settings are moved by an amount, up or down; turns are the turns on the motor.

        Parameters
        ----------
        hypothesis : str
            What may be wrong: a fault or a family of `FAMILIES` [-].
        prediction : str
            What will come, one of `PREDICTIONS` [-].
        certainty : str
            One of the four words [-].
        turns : float or None
            Turns on; None for those of the last flight [turns].
        **amounts : float
            By name of the setting, such as shim_mm=0.4 [in the unit of each].

        Returns
        -------
        Seen
            What was seen [-].

        Raises
        ------
        Refused
            When something is missing or not allowed; nothing is done then.
        """
        moved = self._checked_amounts(amounts)
        thought = self._thought(hypothesis, prediction, certainty)
        wanted = self._checked_turns(turns)
        logged = self._logged("change", "", moved, wanted, thought)
        if logged is not None:
            return logged
        before, wound = self.turns, self._wound(wanted)
        rewound = before is not None and before != wound
        if not moved and not rewound:
            raise Refused("Nothing is changed. To fly the same again: fly().")
        self._check_range(moved)
        names = [*moved, *([TURNS] if rewound else [])]
        minutes = FLIGHT_MINUTES + sum(SETTINGS[name].minutes for name in names)
        seen = self._do("change", "", moved, wound, thought, minutes)
        return _with_cautions(seen, [SETTINGS[name].caution for name in names])

    def repair(
        self,
        fault: str,
        prediction: str = "",
        certainty: str = "",
        *,
        hypothesis: str = "",
        turns: float | None = None,
    ) -> Seen:
        """Repair one thing and fly. Where it was well already, only the minutes are gone.

        Your own changes of settings stay as they are.

        Parameters
        ----------
        fault : str
            Name of the fault [-].
        prediction : str
            What will come, one of `PREDICTIONS` [-].
        certainty : str
            One of the four words [-].
        hypothesis : str
            What may be wrong; the fault itself when left out [-].
        turns : float or None
            Turns on: those of the last flight; only the first flight needs them [turns].

        Returns
        -------
        Seen
            What was seen [-].

        Raises
        ------
        Refused
            When something is missing or not allowed; nothing is done then.
        """
        from trimkit.faults import CATALOGUE

        known = CATALOGUE[_checked_fault(fault)]
        thought = self._thought(hypothesis or known.name, prediction, certainty)
        wanted = self._checked_turns(turns)
        logged = self._logged("repair", known.name, {}, wanted, thought)
        if logged is not None:
            return logged
        wound = self._wound(wanted)
        if self.turns not in (None, wound):
            raise Refused(
                "A repair and other turns are two changes: keep the turns of the last flight."
            )
        minutes = FLIGHT_MINUTES + known.minutes
        seen = self._do("repair", known.name, {}, wound, thought, minutes)
        return _with_cautions(seen, [known.caution])

    def look(self, place: str) -> Seen:
        """Look at one place on the bench. A second look shows the same until it is touched.

        Parameters
        ----------
        place : str
            One of `faults.PLACES` [-].

        Returns
        -------
        Seen
            What an eye can name there, or that something is off; it can miss, or be wrong [-].

        Raises
        ------
        Refused
            When there is no such place.
        """
        from trimkit.faults import PLACES

        where = _known(place, PLACES, "place")
        logged = self._logged("look", where, {}, None, _Thought())
        return logged or self._do("look", where, {}, None, _Thought(), LOOK_MINUTES)

    def measure(self, tool: str, turns: float | None = None) -> Seen:
        """Measure with one tool. Each reading is a little off, each time otherwise.

        Parameters
        ----------
        tool : str
            One of `referee.TOOLS`, or of `trimkit.diagnosis.readings.READINGS` [-].
        turns : float or None
            For the torque meter; None for those of the last flight [turns].

        Returns
        -------
        Seen
            What was read [-].

        Raises
        ------
        Refused
            When there is no such tool.
        """
        from trimkit.diagnosis.readings import READINGS

        with_what = _known(tool, [*TOOLS, *READINGS], "tool")
        logged = self._logged("measure", with_what, {}, None, _Thought())
        if logged is not None:
            return logged
        names = TOOLS.get(with_what, (with_what,))
        wound = self._wound(self._checked_turns(turns)) if "torque_mNm" in names else 0.0
        minutes = math.fsum(READINGS[name].minutes for name in names)
        return self._do("measure", with_what, {}, wound, _Thought(), minutes)

    def say(self, fault: str | Sequence[str], certainty: str = "") -> Seen:
        """Say what is wrong. It can be said again; the last word counts.

        Parameters
        ----------
        fault : str or sequence of str
            Name of the fault, both of them where two are hidden, or "cannot tell yet" [-].
        certainty : str
            One of the four words; not needed for "cannot tell yet" [-].

        Returns
        -------
        Seen
            That it is noted; whether it is so, a repair and a flight can tell [-].

        Raises
        ------
        Refused
            When there is no such fault or no certainty.
        """
        named = [fault] if isinstance(fault, str) else list(fault)
        if not 1 <= len(named) <= self.faults:
            raise Refused(f"You name {len(named)} faults; this case has {self.faults}.")
        names = [one if one == CANNOT_TELL else _checked_fault(one) for one in named]
        sure = (
            _known(certainty, CERTAINTY, "certainty") if certainty or names != [CANNOT_TELL] else ""
        )
        thought = _Thought(certainty=sure)
        seen = [
            self._logged("say", name, {}, None, thought)
            or self._do("say", name, {}, None, thought, 0.0)
            for name in names
        ]
        return seen[-1]

    def hint(self) -> Hint:
        """Take the next hint: where to look, the rule, the next test; each costs minutes.

        Returns
        -------
        Hint
            The hint; the last one is given again until something more is done [-].

        Raises
        ------
        Refused
            Before the first flight: try something first.
        """
        kept = self.log
        if not kept.flights:
            raise Refused("Try first: fly once, then there is something to give a hint about.")
        taken = [
            one
            for one in attempts.read(self._hints_path)
            if one.get("kind") == "hint" and one.get("after") == kept.entries[-1].number
        ]
        if len(taken) == len(RUNGS):
            return Hint(len(RUNGS), taken[-1]["words"], 0.0)
        if places.marking():
            raise Refused("While marking no hint is given.")
        rung = len(taken) + 1
        words = self._rung(rung, kept)
        found = Hint(rung, words, RUNGS[rung - 1][1])
        attempts.append(
            self._hints_path, "", "hint", after=kept.entries[-1].number, **dataclasses.asdict(found)
        )
        return found

    def card(self, turns: float | None = None) -> Card:
        """Read the aeroplane's card: its figures, and how it flew when all was well.

        Nothing is logged and no minute is used. Nobody is as exact as the card: a flight that
        differs from it by a tenth need not mean anything.

        Parameters
        ----------
        turns : float or None
            For the flight on the card; None for those of the last flight, or for two usual
            powers before there is one [turns].

        Returns
        -------
        Card
            The card [-].

        Raises
        ------
        Refused
            When the motor does not take so many turns.
        """
        wanted = self._checked_turns(turns) or self.turns
        share = [round(part * self.most_turns, -1) for part in USUAL_SHARES]
        flown = {one: self._planned(one).words for one in ([wanted] if wanted else share)}
        return Card(self.aeroplane, MappingProxyType(flown), self.most_turns)

    # --- what was done ---

    def flight(self, number: int) -> Seen:
        """Show a flight of the log once more.

        Parameters
        ----------
        number : int
            1 for the first flight [-].

        Returns
        -------
        Seen
            What was seen of it [-].

        Raises
        ------
        Refused
            When there is no such flight.
        """
        try:
            return self._shown(self.log.flight(number), from_log=True)
        except ValueError as problem:
            raise Refused(str(problem)) from None

    def table(self) -> list[tuple[str, str, str, str]]:
        """List the log for reading.

        Returns
        -------
        list of (str, str, str, str)
            Number, what was done, what was expected, what came with the minutes so far [-].
        """
        kept, rows, so_far = self.log, [], 0.0
        for entry in kept.entries:
            so_far += entry.minutes
            came = f"{entry.result.words} ({so_far:.0f} min so far)"
            rows.append((str(entry.number), _done(entry), _expected(entry), came))
        return rows

    def __repr__(self) -> str:
        kept = self.log
        begun = f"{len(kept.entries)} actions, {len(kept.flights)} flights, {self.minutes:.0f} min"
        wrong = "one thing is" if self.faults == 1 else "two things are"
        lines = [
            f"Case {self._terms.seed}: {self.aeroplane.name}, {wrong} wrong with it. "
            f"{begun if kept.entries else 'Nothing done yet.'}"
        ]
        if self._at < len(kept.entries):
            lines.append(
                "Cells that ask for the same again show what came then. To do it once more: "
                "go_on()."
            )
        return "\n".join([*lines, *self.notes])

    def _repr_html_(self) -> str:
        head = html.escape(repr(self)).replace("\n", "<br>")
        rows = self.table()
        return f"<p>{head}</p>{table_html(rows)}" if rows else f"<p>{head}</p>"

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        can = "fly, change, repair, look, measure, say, hint, card, flight, log and minutes"
        raise AttributeError(f"a case has no {name}; it has {can}")

    def __reduce__(self) -> tuple[Any, ...]:
        return Case, (self._terms, self._folder)

    # --- how it is done ---

    @property
    def _log_path(self) -> Path:
        return self._folder / f"{self.name}{LOG}"

    @property
    def _hints_path(self) -> Path:
        return self._folder / f"{self.name}-hints.jsonl"

    def _film_path(self, number: int) -> Path:
        return self._folder / f"{self.name}-{number:03d}.npz"

    def _state(self) -> State:
        kept = self.log
        if not kept.entries:
            return State({}, (), None)
        try:
            return kept.in_force(kept.entries[-1].number)
        except ValueError as problem:
            raise Refused(f"This case cannot go on: {problem}. Open another one.") from None

    def _changes(self, moved: Mapping[str, float], kept: Log | None = None) -> dict[str, float]:
        """Settings away from the plan, after one more change."""
        known = kept or self.log
        total: dict[str, float] = {}
        for amounts in (*(entry.changes for entry in known.entries), moved):
            for name, amount in amounts.items():
                total[name] = round(total.get(name, 0.0) + amount, log.SAME)
        return {name: amount for name, amount in total.items() if amount}

    def _fingerprint(self, moved: Mapping[str, float], kept: Log | None = None) -> str:
        try:
            return log.fingerprint(changed(self.aeroplane, Change(self._changes(moved, kept))))
        except ValueError:
            return ""

    def _thought(self, hypothesis: str, prediction: str, certainty: str) -> _Thought:
        if not (hypothesis and prediction and certainty):
            comes = AGAINST_BEFORE[0] if self.log.flights else OF_ITSELF[0]
            raise Refused(
                "Before it flies: what may be wrong, what will come, how sure are you? Such as "
                f'hypothesis="nose", prediction="{comes}", certainty="guess"'
            )
        if hypothesis not in FAMILIES:
            hypothesis = _checked_fault(hypothesis, FAMILIES)
        expected = _known(prediction, PREDICTIONS, "prediction")
        if expected in AGAINST_BEFORE and not self.log.flights:
            raise Refused(
                f"A first flight has none before it to be {expected} against; expect one of: "
                f"{', '.join(OF_ITSELF)}."
            )
        return _Thought(hypothesis, expected, _known(certainty, CERTAINTY, "certainty"))

    def _wound(self, wanted: float | None) -> float:
        """The turns asked for, or those of the last flight."""
        turns = self.turns if wanted is None else wanted
        if turns is None:
            raise Refused(f"Say how many turns: 1 to {self.most_turns}.")
        return turns

    def _checked_turns(self, given: object) -> float | None:
        if given is None:
            return None
        turns = _number(given)
        if turns is None or turns != round(turns):
            raise Refused(f"turns is {str(given)[:20]}; allowed is a whole number, such as 750.")
        if not 1 <= turns <= self.most_turns:
            slip = "the rubber would break" if turns > 1 else "it needs some to fly"
            raise Refused(f"turns is {turns:g}; allowed is 1 to {self.most_turns}: {slip}.")
        return turns

    def _checked_amounts(self, amounts: Mapping[str, object]) -> dict[str, float]:
        moved = {}
        for name, given in amounts.items():
            _known(name, list(MOVED), "setting")
            amount = _number(given)
            if amount is None:
                raise Refused(f"{name} is {str(given)[:20]}; allowed is a number, up or down.")
            if round(amount, log.SAME):
                moved[name] = round(amount, log.SAME)
        return moved

    def _check_range(self, moved: Mapping[str, float]) -> None:
        try:
            changed(self.aeroplane, Change(self._changes(moved)))
        except ValueError as problem:
            raise Refused(f"{str(problem)[:1].upper()}{str(problem)[1:]}") from None

    def _logged(
        self,
        action: Action,
        what: str,
        moved: Mapping[str, float],
        turns: float | None,
        thought: _Thought,
    ) -> Seen | None:
        """The next line of the log that is just this, if there is one."""
        wanted = (action, what, dict(moved), *dataclasses.astuple(thought))
        entries = self.log.entries
        starts = (self._at, 0) if places.marking() else (self._at,)
        for place in (n for start in starts for n in range(start, len(entries))):
            one = entries[place]
            there = (one.action, one.what, dict(one.changes))
            if wanted != (*there, one.hypothesis, one.prediction, one.certainty):
                continue
            same = _last_turns(entries[:place]) if turns is None else turns
            if action not in log.FLIGHTS or one.turns == same:
                self._at = place + 1
                return self._shown(one, from_log=True)
        if places.marking():
            raise Refused("While marking nothing is flown, and this is not in the log.")
        return None

    def _do(
        self,
        action: Action,
        what: str,
        moved: Mapping[str, float],
        turns: float | None,
        thought: _Thought,
        minutes: float,
    ) -> Seen:
        """Have it done in the hall and write it down."""
        number = self.log.next_number
        draft = Entry(
            number=number,
            action=action,
            what=what,
            hypothesis=thought.hypothesis,
            prediction=thought.prediction,
            certainty=thought.certainty,
            aeroplane_fingerprint=self._fingerprint(moved),
            changes=moved,
            turns=turns if action in log.FLIGHTS else None,
            minutes=minutes,
        )
        entry = dataclasses.replace(draft, result=self._result(draft, turns or 0.0))
        try:
            self._keep_plan()
            log.append(self._log_path, entry)
        except (ValueError, OSError) as problem:
            raise Refused(f"It could not be written into the log: {problem}.") from None
        self._at = len(self.log.entries)
        return self._shown(entry)

    def _keep_plan(self) -> None:
        """Put an aeroplane that does not come with the course beside its log, to go on later."""
        path = self._log_path.with_suffix(PLAN)
        if not path.exists() and self.aeroplane not in _of_the_course():
            self._folder.mkdir(parents=True, exist_ok=True)
            files.save_aeroplane(self.aeroplane, path)

    def _result(self, draft: Entry, turns: float) -> Result:
        if draft.action == "say":
            return Result(words=_noted(draft))
        state = self._state()
        repairs = (*state.repairs, draft.what) if draft.action == "repair" else state.repairs
        self._folder.mkdir(parents=True, exist_ok=True)
        return _asked(
            Request(
                terms=self._terms,
                do="fly" if draft.is_flight else draft.action,
                number=draft.number,
                what="" if draft.is_flight else draft.what,
                changes=self._changes(draft.changes),
                repairs=repairs,
                turns=turns,
                film=str(self._film_path(draft.number)) if draft.is_flight else "",
            )
        )

    def _shown(self, entry: Entry, from_log: bool = False) -> Seen:
        film = self._film_path(entry.number)
        lines = [FROM_LOG] if from_log else []
        lines += [f"{_done(entry)}: {entry.result.words}", *_judged(self.log, entry)]
        if not from_log:
            lines.append(f"{entry.minutes:g} min; {self.minutes:.0f} min in all.")
        return Seen(
            entry=entry,
            text="\n".join(lines),
            film=film if entry.is_flight and film.is_file() else None,
            from_log=from_log,
        )

    def _rung(self, rung: int, kept: Log) -> str:
        """The words of a rung, from the log and the card alone."""
        last = kept.flights[-1]
        family = _family(last.result.features, self._planned(last.turns or 0.0).features)
        if rung == 1:
            return _where_to_look(kept, family)
        if rung == 2:
            return _RULES[family]
        return _advised(kept, self.aeroplane) or _plain_test(kept, family, self.most_turns)

    def _planned(self, turns: float) -> Result:
        """What the aeroplane did at these turns when all was well."""
        return _asked(Request(terms=self._terms, do="plan", number=0, turns=turns))


def _asked(request: Request) -> Result:
    answer = _hall.ask(request)
    return Result(answer["features"], answer["words"], answer["readings"], answer["named"])


def _judged(kept: Log, entry: Entry) -> list[str]:
    """Say what became of the prediction."""
    from trimkit.diagnosis import skills

    if not entry.prediction:
        return []
    number = [one.number for one in kept.flights].index(entry.number) + 1
    true = skills.came_true(kept, number)
    if true is None:
        return []
    if entry.prediction in OF_ITSELF:
        came = f"it {' and '.join(skills.shown(entry))}"
    else:
        before, now = (kept.flight(n).result.features["duration_s"] for n in (number - 1, number))
        digits = 1 if max(before, now) < SHORT_S else 0
        times = f"{before:.{digits}f} s and then {now:.{digits}f} s"
        came = f"{skills.compared(before, now)}, {times}"
    verdict = "You saw it coming." if true else "A surprise: they teach most."
    return [f"You expected: {entry.prediction}. It came: {came}. {verdict}"]


def _done(entry: Entry) -> str:
    """Say an action as it stands in the log."""
    if entry.action == "change":
        moved = Change(entry.changes).words() if entry.changes else "other turns"
        return f"Change ({moved}), then {entry.turns:.0f} turns"
    if entry.action == "repair":
        return f"Repair ({entry.what}), then {entry.turns:.0f} turns"
    if entry.action == "fly":
        return f"Fly, {entry.turns:.0f} turns"
    return f"{entry.action.capitalize()} ({entry.what})"


def _expected(entry: Entry) -> str:
    thought = (entry.hypothesis, entry.prediction, entry.certainty)
    return ", ".join(one for one in thought if one)


def _noted(draft: Entry) -> str:
    if draft.what == CANNOT_TELL:
        return "Noted. That is a good answer as long as two causes would look alike."
    return (
        f"Noted: {draft.what}, {draft.certainty}. A repair and a flight at the same turns can "
        "show whether it is so."
    )


def _with_cautions(seen: Seen, cautions: Sequence[str]) -> Seen:
    told = list(dict.fromkeys(one for one in cautions if one))
    return dataclasses.replace(seen, text="\n".join([*told, seen.text])) if told else seen


def _number(given: object) -> float | None:
    """A plain finite number, or None."""
    real = isinstance(given, numbers.Real) and not isinstance(given, bool)
    number = float(given) if real else math.nan  # type: ignore[arg-type]
    return number if math.isfinite(number) else None


def _last_turns(entries: Sequence[Entry]) -> float | None:
    return next((one.turns for one in reversed(entries) if one.is_flight), None)


def _known(given: object, known: Sequence[str] | Mapping[str, Any], kind: str) -> str:
    """The word as it is known, or one sentence."""
    if isinstance(given, str) and given.strip().lower() in known:
        return given.strip().lower()
    near = difflib.get_close_matches(str(given).lower()[:40], list(known), 1, 0.5)
    told = f"Did you mean {near[0]!r}?" if near else f"Known: {', '.join(known)}."
    raise Refused(f"{str(given)[:40]!r} is not a {kind}. {told}")


def _checked_fault(given: object, also: Mapping[str, str] = MappingProxyType({})) -> str:
    """The name of a fault; its title will do."""
    from trimkit.faults import CATALOGUE

    titles = {fault.title: name for name, fault in CATALOGUE.items()}
    word = str(given).strip().lower() if isinstance(given, str) else ""
    name = titles.get(word, word.replace(" ", "-"))
    if name in CATALOGUE:
        return name
    known = [*CATALOGUE, *also]
    near = [one for one in known if name and name in one]
    near = near or difflib.get_close_matches(name[:40], known, 3, 0.4)
    guess = f" Did you mean {' or '.join(near[:4])}?" if near else ""
    families = f" Or say: {', '.join(also)}." if also else ""
    every = "" if near else " All of them: list(trimkit.faults.CATALOGUE)."
    raise Refused(f"{str(given)[:40]!r} is not a fault.{guess}{families}{every}")


def table_html(rows: Sequence[tuple[str, str, str, str]]) -> str:
    """Write the rows of `Case.table` as a page.

    Parameters
    ----------
    rows : sequence of (str, str, str, str)
        From `Case.table` [-].

    Returns
    -------
    str
        A table with a heading for each column [-].
    """
    heads = ("no.", "done", "expected", "came")
    head = "".join(f'<th scope="col" style="text-align:left">{name}</th>' for name in heads)
    body = "".join(
        "<tr>"
        + "".join(f'<td style="text-align:left">{html.escape(cell)}</td>' for cell in row)
        + "</tr>"
        for row in rows
    )
    return f"<table><caption>The log so far</caption><tr>{head}</tr>{body}</table>"


# --- hints -----------------------------------------------------------------------------------


_SPEAKS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "shaking": {"rock_deg": 1.5, "shake_deg_s": 8.0},
        "nose": {"early_nose_deg": 4.0, "lowest_nose_deg": 8.0, "highest_nose_deg": 8.0,
                 "swing_deg": 3.0},
        "circle": {"early_turn_deg_s": 12.0, "middle_turn_deg_s": 12.0, "early_bank_deg": 6.0,
                   "middle_bank_deg": 6.0},
        "power": {"turns_per_s": 0.6, "peak_height_m": 1.0, "turns_left": 60.0},
    }
)  # fmt: skip  # by how much a flight must differ from the card's to be talked about; assumed


_FOLLOW = ("peak_height_m", "turns_left")


def _family(seen: Mapping[str, float], card: Mapping[str, float]) -> str:
    """Of which family a flight speaks loudest, against the same flight when all was well."""
    cut_short = seen["duration_s"] < card["duration_s"] / 2  # then height and turns left follow
    loud = {
        family: max(
            abs(seen[name] - card[name]) / size
            for name, size in signs.items()
            if not (cut_short and name in _FOLLOW)
        )
        for family, signs in _SPEAKS.items()
    }
    return max(loud, key=lambda family: loud[family])


_LOOK_AT: Mapping[str, str] = MappingProxyType(
    {
        "nose": "what the nose does in the first seconds",
        "circle": "to which side it banks and circles, and whether that changes",
        "power": "how high it comes and how many turns are left",
        "shaking": "what shakes or rocks",
    }
)
_RULES: Mapping[str, str] = MappingProxyType(
    {
        "nose": "The nose follows decalage, balance point and thrust line. The first two act at "
        "every power; the thrust line and a soft stick act most at launch power. So compare two "
        "powers before you move anything.",
        "circle": "The circle follows fin, twist of the panels, tail tilt, offset and side "
        "thrust. What fades as the motor runs down comes from the power; what stays is built in.",
        "power": "Turns used in a second, turns left and the time tell rubber from propeller: "
        "many left means too much pitch, friction or a thin loop; few left the opposite.",
        "shaking": "A rocking wing is a loose wing; a shaking nose is the propeller, or its "
        "shaft. Both show on the bench without a flight.",
    }
)
_PLACES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "nose": ("tail", "wing", "launch", "propeller", "stick"),
        "circle": ("wing", "fin", "tail", "propeller", "launch"),
        "power": ("motor", "propeller", "covering", "scales", "wing"),
        "shaking": ("propeller", "wing", "tail"),
    }
)


def _title(name: str) -> str:
    return SETTINGS[name].title if name in SETTINGS else name


def _where_to_look(kept: Log, family: str) -> str:
    mixed = log.confounded(kept)
    if mixed:
        pair = mixed[-1]
        return (
            f"Flights {pair.first} and {pair.second} differ in {len(pair.difference.names)} "
            f"things ({', '.join(map(_title, pair.difference.names))}): either could explain "
            "what came."
        )
    return (
        f"Lay flight {len(kept.flights)} beside the card's flight at the same turns, and mind "
        f"{_LOOK_AT[family]}."
    )


def _advised(kept: Log, aeroplane: Aeroplane) -> str:
    """The next test by `trimkit.diagnosis`, "" when that cannot say."""
    next_steps = getattr(importlib.import_module("trimkit.diagnosis"), "next_steps", None)
    if next_steps is None:
        return ""
    try:
        steps = next_steps(kept, aeroplane)
    except ValueError:  # no library, or a stale one
        return ""
    return f"{steps[0].words().rpartition(' (')[0]}." if steps else ""


def _plain_test(kept: Log, family: str, most_turns: int) -> str:
    """A next test by rule of thumb."""
    mixed = log.confounded(kept)
    if mixed and mixed[-1].second == len(kept.flights):
        name = next(iter(mixed[-1].difference.amounts))  # two repairs never meet in one flight
        return f"Put the {_title(name)} back as it was, and fly: then one thing alone differs."
    powers = sorted({entry.turns for entry in kept.flights if entry.turns})
    if len(powers) == 1:
        other = 750 if powers[0] > 900 else min(1150, most_turns)
        return (
            f"All flights had {powers[0]:.0f} turns. Change nothing but the turns, to {other}: "
            "what stays is built in, what goes comes from the power."
        )
    looked = {entry.what for entry in kept.entries if entry.action == "look"}
    left = [place for place in _PLACES[family] if place not in looked]
    if left:
        costs = f"a look costs {LOOK_MINUTES:g} minutes, a flight {FLIGHT_MINUTES:g}"
        return f"Look at the {left[0]}: {costs}."
    return "Repair what you think likeliest, and fly at the same turns: only that tells."
