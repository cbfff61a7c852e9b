"""Writing the page: what a coach elsewhere needs to help with one aeroplane."""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from trimkit import drawing, files
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import posterior
from trimkit.diagnosis.causes import feature_words, rows_of, title
from trimkit.diagnosis.readings import FOUND_READING, READINGS
from trimkit.drawing import figures_of
from trimkit.drawing.sheet import escaped
from trimkit.faults import CATALOGUE
from trimkit.letter import page
from trimkit.letter.reading import BEGIN, END, FORMAT, LONGEST_WORDS, MOST_ENTRIES
from trimkit.log import Entry, Log
from trimkit.settings import Change

if TYPE_CHECKING:
    from trimkit.diagnosis import Posterior
    from trimkit.diagnosis.causes import Fact

SHOWN = 3
CLEAR = 1.2  # a sign that is less telling is left out; our rule


def write(
    aeroplane: Aeroplane, log: Log | None = None, words: str = "", photo: bytes | None = None
) -> str:
    """Write the page for a coach.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as the log began [-].
    log : Log or None
        What was done, None for nothing yet [-].
    words : str
        What the team saw, in its own words; no names [-].
    photo : bytes or None
        A photo as `cleaned` gives it, None for none [-].

    Returns
    -------
    str
        One HTML file [-].

    Raises
    ------
    ValueError
        When the words or the log are too long.
    """
    known = log or Log()
    if len(words) > LONGEST_WORDS:
        raise ValueError(
            f"the words have {len(words)} letters; allowed is {LONGEST_WORDS}; keep what was seen"
        )
    if len(known.entries) > MOST_ENTRIES:
        raise ValueError(f"the log has {len(known.entries)} rows; allowed is {MOST_ENTRIES}")
    name = f"A question about {aeroplane.name}"
    return page.page(name, _parts(name, aeroplane, known, words, photo))


def _parts(
    name: str, aeroplane: Aeroplane, log: Log, words: str, photo: bytes | None
) -> Iterator[str]:
    yield page.heading(name, 1)
    yield page.paragraph(
        "From a team that learns to trim small indoor aeroplanes, to a coach who knows them. What "
        "would you look at, or change, first? Please answer the adult who sent this page."
    )
    yield page.heading("What we saw")
    yield _quoted(words) if words.strip() else page.paragraph("The team wrote no words.")
    yield from _photo(photo)
    yield from _tried(log)
    yield from _causes(aeroplane, log)
    yield page.heading("The aeroplane")
    yield page.paragraph(f"Where its figures come from: {aeroplane.note or 'nobody wrote it down'}")
    yield page.table("Figures as set", ("what", "is"), figures_of(aeroplane), (1,))
    yield page.drawn(drawing.draw(aeroplane))
    yield page.heading("Load it into trimkit")
    yield page.paragraph(
        "This page holds the aeroplane's file and the log as data. To get them out, keep this "
        "file as letter.html and type: trimkit letter --read letter.html --output question.toml"
    )
    yield _data(aeroplane, log, words)


def _quoted(words: str) -> str:
    lines = [escaped(line) for line in words.strip().splitlines()]
    return f"<blockquote><p>{'<br>'.join(lines)}</p></blockquote>"


def _photo(photo: bytes | None) -> Iterator[str]:
    if photo is None:
        return
    data = base64.b64encode(photo).decode()
    yield page.heading("A photo")
    yield f'<img src="data:image/jpeg;base64,{data}" alt="Photo of the aeroplane, from the team">'
    yield page.paragraph("An adult agreed to this photo. Place, time and camera were taken out.")


def _tried(log: Log) -> Iterator[str]:
    yield page.heading("What we tried")
    if not log.entries:
        yield page.paragraph("No log came along.")
        return
    heads = ("number", "day", "done", "turns", "what came")
    yield page.table("Log, in order", heads, [_row(entry) for entry in log.entries], (1, 3))
    last = log.in_force(log.entries[-1].number)
    now = Change(last.changes).words() if last.changes else ""
    yield page.paragraph(f"In force now, against the figures below: {now or 'nothing changed'}.")


def _row(entry: Entry) -> tuple[str, str, str, str, str]:
    turns = "" if entry.turns is None else f"{entry.turns:.0f}"
    return str(entry.number), entry.date, _done(entry), turns, _came(entry)


def _done(entry: Entry) -> str:
    if entry.action == "change":
        what = Change(entry.changes).words() if entry.changes else "other turns"
        return f"changed: {what}; flew"
    if entry.action == "repair":
        named = CATALOGUE[entry.what].title if entry.what in CATALOGUE else entry.what
        return f"repaired: {named}; flew"
    words = {"fly": "flew", "look": "looked at", "measure": "measured", "say": "said"}
    return f"{words[entry.action]} {entry.what}".strip()


def _came(entry: Entry) -> str:
    result = entry.result
    told = [feature_words(name, value) for name, value in result.features.items()]
    for name, value in result.readings.items():
        if name == FOUND_READING:
            told.append(_found(result.named) if value else "nothing was wrong there")
        else:
            known = READINGS[name]
            told.append(f"{known.title}: {value:.4g} {known.unit}".strip())
    return "; ".join([*told, *([result.words] if result.words else [])])


def _found(named: str) -> str:
    return f"this was seen: {title(named)}" if named in CATALOGUE else "something was wrong there"


# --- what we think ----------------------------------------------------------------------------


def _causes(aeroplane: Aeroplane, log: Log) -> Iterator[str]:
    yield page.heading("What we think so far")
    if not any(entry.result.features or entry.result.readings for entry in log.entries):
        yield page.paragraph("Nothing was seen or measured yet, so trimkit cannot tell.")
        return
    try:
        believed = posterior(log, aeroplane)
    except ValueError as error:  # such as no level flight; a letter helps then too
        yield page.paragraph(f"trimkit's model cannot judge this log: {error}")
        return
    chances = believed.probabilities
    rows = [
        (title(name), f"{chances[name]:.0%}", _signs(believed, name))
        for name in believed.ranked(SHOWN)
    ]
    heads = ("cause", "how likely", "signs for it")
    yield page.table("The three likeliest causes by trimkit's model", heads, rows, (1,))
    yield page.paragraph(
        "A list to test, not a verdict: the model was learned from computed flights and has never "
        "seen our hall."
    )


def _signs(believed: Posterior, name: str) -> str:
    """What speaks for a cause against all others together, the strongest first."""
    found = [(_times(believed, fact, name), fact.words) for fact in believed.facts]
    strong = sorted((one for one in found if one[0] > CLEAR), reverse=True)[:SHOWN]
    told = [f"{words} ({_said(times)} likelier with it than without)" for times, words in strong]
    return "; ".join(told) or "no single sign; it is what is left"


def _times(believed: Posterior, fact: Fact, name: str) -> float:
    own = np.zeros(len(believed.weights), dtype=bool)
    own[rows_of(name)] = True
    with_it, without = (_mean(fact.logs[rows], believed.weights[rows]) for rows in (own, ~own))
    return math.exp(min(max(with_it - without, -50.0), 50.0))


def _mean(logs: Any, weights: Any) -> float:
    """Logarithm of the mean likelihood over causes, each with its weight."""
    kept = np.maximum(weights, 1e-300)
    return float(np.logaddexp.reduce(logs + np.log(kept)) - np.log(kept.sum()))


def _said(times: float) -> str:
    if times > 100:
        return "over 100 times"
    return f"{times:.0f} times" if times >= 3 else f"{times:.1f} times"


# --- data -------------------------------------------------------------------------------------


def _data(aeroplane: Aeroplane, log: Log, words: str) -> str:
    content = {
        "format": FORMAT,
        "aeroplane": files.dumps(aeroplane),
        "log": [_plain(entry) for entry in log.entries],
        "words": words,
    }
    text = json.dumps(content, ensure_ascii=True, allow_nan=False)
    for letter in "<>&":  # so that no words can end the block
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return f"{BEGIN}{text}{END}"


def _plain(entry: Entry) -> dict[str, Any]:
    return {
        "number": entry.number,
        "action": entry.action,
        "what": entry.what,
        "hypothesis": entry.hypothesis,
        "prediction": entry.prediction,
        "certainty": entry.certainty,
        "said": entry.result.words,
        "features": dict(entry.result.features),
        "readings": dict(entry.result.readings),
        "named": entry.result.named,
        "changes": dict(entry.changes),
        "turns": entry.turns,
        "minutes": entry.minutes,
        "date": entry.date,
    }
