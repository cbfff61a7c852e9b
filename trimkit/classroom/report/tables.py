"""The report as tables for a spreadsheet: numbers of pupils, names of tasks, counts."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Iterator, Sequence

from trimkit.classroom.gradebook import TO_BE_READ
from trimkit.classroom.report import counts
from trimkit.classroom.report.content import Report

Line = Sequence[object]


def write(report: Report) -> dict[str, str]:
    """Write the tables.

    Parameters
    ----------
    report : Report
        What they say [-].

    Returns
    -------
    dict of str to str
        CSV by the name of the file [-].
    """
    return {
        "pupils.csv": _text(
            ("pupil", "lesson", "state", "right", "of", "blank", "to be read"), _papers(report)
        ),
        "gradebook.csv": _text(*_gradebook(report)),
        "tasks.csv": _text(
            ("lesson", "task", "right", "n", "share right", "agreement", "low", "high",
             "agreement n"), _tasks(report)
        ),
        "ideas.csv": _text(("idea", "slip of working", "lesson", "pupil", "where"), _ideas(report)),
        "cases.csv": _text(("pupil", "case", "day", "what", "shown", "of"), _cases(report)),
    }  # fmt: skip


def _text(head: Line, rows: Iterable[Line]) -> str:
    file = io.StringIO()
    table = csv.writer(file, lineterminator="\n")
    table.writerow(head)
    table.writerows(rows)
    return file.getvalue()


def _papers(report: Report) -> Iterator[Line]:
    for paper in report.results.papers:
        yield (paper.pupil, paper.lesson, paper.state, paper.good, paper.of, paper.blank,
               paper.to_read)  # fmt: skip


def _gradebook(report: Report) -> tuple[Line, list[Line]]:
    """One row for each pupil, one column for each lesson, as programs for marks take them in.

    A lesson that is not wholly marked and read leaves its field empty, which is no mark.
    """
    rows, lessons = report.results.rows, report.results.lessons
    of = {(row.lesson, row.task): row.of for row in rows}
    got: dict[tuple[int, str], float] = {}
    for row in rows:
        place = row.pupil, row.lesson
        read = row.verdict != TO_BE_READ
        got[place] = got.get(place, 0.0) + (row.points if read else math.nan)
    whole = [sum(most for (name, _), most in of.items() if name == lesson) for lesson in lessons]
    head = [f"{lesson} (of {most:g})" for lesson, most in zip(lessons, whole, strict=True)]
    return ("pupil", *head), [
        (pupil, *(_points(got.get((pupil, lesson), math.nan)) for lesson in lessons))
        for pupil in report.results.pupils
    ]


def _points(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.6g}"


def _tasks(report: Report) -> Iterator[Line]:
    for lesson, found in report.analyses.items():
        for item in found.items:
            low, high = item.interval or (None, None)
            figures = (_rounded(one) for one in (item.share, item.agreement, low, high))
            yield lesson, item.task, item.right, item.n, *figures, item.agreement_n


def _ideas(report: Report) -> Iterator[Line]:
    for one in report.ideas:
        for pupil in one.pupils:
            where = counts.listed(one.places[pupil])
            yield one.name, "yes" if one.is_slip else "no", one.lesson, pupil, where


def _cases(report: Report) -> Iterator[Line]:
    for one in report.cases:
        head = (one.pupil, one.title, one.date)
        for count in one.counts:
            yield *head, count.skill, count.shown, count.of
        for score in one.scores:
            yield *head, f"score: {score.name}", score.value, 1


def _rounded(value: float | None) -> float | str:
    return "" if value is None else round(value, 4)
