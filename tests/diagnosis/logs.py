"""Short logs for tests."""

from __future__ import annotations

from collections.abc import Mapping

from trimkit.log import FLIGHTS, Entry, Log, Result

DAY = "2026-03-14"


def entry(number: int, action: str, what: str = "", **more) -> Entry:
    """An entry; `seen` are a flight's features, `read` are readings, `named` is of a look."""
    seen: Mapping[str, float] = more.pop("seen", {})
    read: Mapping[str, float] = more.pop("read", {})
    named: str = more.pop("named", "")
    if action in FLIGHTS:
        more.setdefault("turns", 1157)
    if action == "say" and what != "cannot tell yet":
        more.setdefault("certainty", "fairly sure")
    more.setdefault("minutes", 6.0 if action in FLIGHTS else 0.0 if action == "say" else 2.0)
    result = Result(dict(seen), "", dict(read), named)
    return Entry(number=number, action=action, what=what, result=result, date=DAY, **more)


def log_of(*drafts: tuple) -> Log:
    """A log from (action, what) or (action, what, more), one after the other."""
    made = []
    for number, draft in enumerate(drafts, start=1):
        action, what, more = draft if len(draft) == 3 else (*draft, {})
        made.append(entry(number, action, what, **more))
    return Log(tuple(made))
