"""The sheet for a contest's table: cover, drawing, and what was checked, to print."""

from __future__ import annotations

from collections.abc import Iterator

from trimkit import drawing
from trimkit.aeroplane import Aeroplane
from trimkit.drawing import figures_of
from trimkit.drawing.sheet import escaped
from trimkit.letter import page
from trimkit.rules import INVENTED, Contest, Item

NUMBERS = ("team's number", "pupil's number", "pupil's number", "aeroplane's number")
PARTS = {"marking": "Marking", "box": "Box", "papers": "Papers"}
SIGNS = {"pass": "✓ pass", "fail": "✗ fail", "measure again": "? measure again"}
STANDARD_FLIGHTS = 2  # rows to fill in when the card names no number


def check_in(table: Contest, aeroplane: Aeroplane) -> str:
    """Write the check-in sheet with its cover.

    Parameters
    ----------
    table : Contest
        The contest table [-].
    aeroplane : Aeroplane
        The same aeroplane [-].

    Returns
    -------
    str
        One HTML file; numbers are filled in by hand, names nowhere [-].
    """
    name = f"Check-in: {aeroplane.name}, {table.rules.name}"
    return page.page(name, _parts(table, aeroplane))


def _parts(table: Contest, aeroplane: Aeroplane) -> Iterator[str]:
    yield page.heading(f"{table.rules.name}: {aeroplane.name}", 1)
    if table.rules.invented:
        yield page.paragraph(INVENTED, "mind")
    elif table.rules.note:
        yield page.paragraph(table.rules.note)
    yield "<p>" + " ".join(f'{one} <span class="fill"></span>' for one in NUMBERS) + "</p>"
    yield page.paragraph("Fill in by hand. Numbers only, no names.")
    yield page.table("The aeroplane", ("what", "is"), figures_of(aeroplane), (1,))
    yield page.drawn(drawing.draw(aeroplane))
    yield page.heading("Checked", new_page=True)
    yield _judged([item for item in table.items if item.state != "look"])
    yield from _boxes(table)
    yield from _motors(table)
    yield from _flights(table)


def _judged(items: list[Item]) -> str:
    heads = ("what", "card", "ours", "by trimkit", "what to do", "judge")
    rows = [(i.what, i.rule, i.ours, SIGNS[i.state], i.do, "☐") for i in items]
    return page.table("By ruler, balance and logbook", heads, rows)


def _boxes(table: Contest) -> Iterator[str]:
    groups: dict[str, list[Item]] = {}
    for item in table.of("look"):
        groups.setdefault(PARTS.get(item.group, "Not given to trimkit"), []).append(item)
    for head, items in groups.items():
        yield page.heading(head)
        rows = (
            f'<li><span class="box"></span> {escaped(item.words().removeprefix("[ ] "))}</li>'
            for item in items
        )
        yield f'<ul class="boxes">{"".join(rows)}</ul>'


def _motors(table: Contest) -> Iterator[str]:
    if not table.motors:
        return
    heads = ("motor", "mass", "loop", "strip", "winds so far", "winds today")
    rows = [
        (
            one.number,
            f"{one.mass_g:.2f} g" if one.mass_g is not None else "not weighed",
            f"{one.loop_mm:.0f} mm" if one.loop_mm is not None else "",
            f"{one.strip_width_mm:.2f} mm" if one.strip_width_mm is not None else "",
            str(one.winds),
            "",
        )
        for one in table.motors
    ]
    yield page.heading("Motors")
    yield page.table("In their numbered bags", heads, rows, (1, 2, 3, 4))


def _flights(table: Contest) -> Iterator[str]:
    plan = table.rules.flights
    number = plan.official if plan else STANDARD_FLIGHTS
    heads = ("flight", "motor", "turns", "launch torque", "turns left", "time", "seen")
    yield page.heading("Official flights")
    if plan:
        yield page.paragraph(f"{plan.official} flights within {plan.window_min:g} minutes.")
    rows = [(str(k), "", "", "", "", "", "") for k in range(1, number + 1)]
    yield page.table("To fill in", heads, rows)
