"""The report as one page of HTML: offline, without scripts, for a screen, a printer, a reader."""

from __future__ import annotations

import base64
import html
from collections.abc import Iterable, Sequence

from trimkit.classroom.items import AGREEMENT_FROM, ALPHA_FROM, VERDICTS, Alpha, Analysis
from trimkit.classroom.report import counts, pictures, talk
from trimkit.classroom.report.cases import CaseResult
from trimkit.classroom.report.content import Report
from trimkit.classroom.report.counts import Results
from trimkit.classroom.report.ideas import Open
from trimkit.figures.style import Picture, plain

LONGEST_SHORT = 12  # letters of a cell that stay on one line, such as a date
_STYLE = """
body { font: 1rem/1.45 system-ui, "DejaVu Sans", sans-serif; max-width: 56rem;
       margin: 1rem auto; padding: 0 1rem; color: #111; background: #fff; }
h1 { font-size: 1.6rem; } h2 { font-size: 1.25rem; border-bottom: 2px solid #111; }
h3 { font-size: 1.05rem; } table { border-collapse: collapse; margin: .6rem 0; width: 100%; }
caption { text-align: left; font-weight: bold; padding: .2rem 0; }
th, td { border: 1px solid #6b6b6b; padding: .2rem .45rem; text-align: left; vertical-align: top; }
thead th { background: #e8e8e8; } td.short { white-space: nowrap; }
figure { margin: .8rem 0; } img { max-width: 100%; height: auto; }
.note { border-left: .3rem solid #111; padding-left: .7rem; }
.scroll { overflow-x: auto; }
@page { size: A4; margin: 14mm; }
@media print { body { max-width: none; margin: 0; padding: 0; font-size: 10pt; }
  .scroll { overflow: visible; } img { max-width: 80%; } h2, h3, caption { break-after: avoid; }
  tr, figure, li { break-inside: avoid; } thead { display: table-header-group; } }
"""
_ON_PAPER = (
    "Pupils are numbers here; the list of names stays on paper. Everything is in order of number "
    "or of lesson, never of marks. The figures are counts; they are no measure of anybody's "
    "ability."
)
_NO_SKILLS = (
    "Tasks carry no skill of their own, so the counts are by lesson. A task counts as right when "
    "it earned all its points; a sentence that nobody has read yet is left out."
)
_AGREES = (
    "“Does this task agree with the others?” compares those who got the task right with those "
    "who did not: did they get more of the rest of the lesson right? 1 is always, 0 is no link, "
    "below 0 is the other way round. It is the point-biserial correlation with the task itself "
    "taken out, and the range is where it lies with 95 % certainty. “Yes” means that the "
    f"whole range is above 0. It is not shown for fewer than {AGREEMENT_FROM} pupils, nor where "
    "all pupils did the same."
)
_IDEAS = (
    "An idea counts as open until the same pupil, later, answers well a task that drew it from "
    "somebody in the class. From a case, only the last one counts. It is a reason to show the "
    "flights, and no verdict."
)
_FAIR = (
    "plan: fair pairs of flights; identify: predictions made where one thing differed; interpret: "
    "what was thought next fits what was seen; unfair decides nothing: mixed flights were taken "
    "apart or led to no firmer word. Scores go from 0 to 1, each by itself."
)


def write(report: Report) -> str:
    """Write the page.

    Parameters
    ----------
    report : Report
        What it says [-].

    Returns
    -------
    str
        A whole page [-].
    """
    title = f"Report for the coach, {report.now.date}"
    parts = [_talks(report), _moved(report)]
    if report.results.lessons:
        parts += [_handed(report.results), _open(report), _tasks(report)]
    parts.append(_cases(report.cases))
    body = "\n".join(parts)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<header>\n<h1>{title}</h1>\n{_paragraph(_summary(report.results))}\n"
        f"{_paragraph(_ON_PAPER)}\n{_notes(report.notes)}</header>\n"
        f"<main>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _summary(results: Results) -> str:
    if not results.lessons:
        return "Nobody has handed in a lesson yet."
    pupils, lessons = len(results.pupils), len(results.lessons)
    states = [paper.state for paper in results.papers]
    waiting = states.count("handed in, not marked")
    return (
        f"{_many(pupils, 'pupil')}, {_many(lessons, 'lesson')}: "
        f"{_many(states.count('marked'), 'paper')} marked, {waiting} waiting to be marked, "
        f"{states.count('not yet')} not handed in."
    )


def _notes(notes: Sequence[str]) -> str:
    return "".join(f'<p class="note">{html.escape(note)}</p>\n' for note in notes)


# --- sections --------------------------------------------------------------------------------


def _talks(report: Report) -> str:
    if not report.talks:
        return _section("To talk to this week", "<p>Nobody shows one of the four signs.</p>")
    rows = [(str(one.pupil), one.sign, one.ask) for one in report.talks]
    table = _table("At most three", ("pupil", "what was seen", "ask"), rows)
    return _section("To talk to this week", table + _paragraph(talk.RULE))


def _moved(report: Report) -> str:
    first, *rest = report.moved
    return _section("How the class moved", _paragraph(first) + _list(rest))


def _handed(results: Results) -> str:
    lines = [_missing(results, lesson) for lesson in results.lessons]
    head = ("pupil", *(lesson[:2] for lesson in results.lessons), "all lessons")
    rows = [_pupil_row(results, pupil) for pupil in results.pupils]
    table = _table("Tasks right, by pupil number and lesson", head, rows)
    return _section(
        "Who has handed in what",
        _figure(pictures.handed_in(results))
        + _list(lines)
        + _paragraph(_NO_SKILLS)
        + f'<div class="scroll">{table}</div>',
    )


def _missing(results: Results, lesson: str) -> str:
    papers = results.of_lesson(lesson)
    absent = [paper.pupil for paper in papers if paper.state == "not yet"]
    waits = [paper.pupil for paper in papers if paper.state == "handed in, not marked"]
    words = f"Lesson {counts.lesson_name(lesson)}: {len(papers) - len(absent)} of {len(papers)}."
    if absent:
        words += f" Not yet: {counts.numbers(absent)}."
    return words + (f" Waiting to be marked: {counts.numbers(waits)}." if waits else "")


def _pupil_row(results: Results, pupil: int) -> tuple[str, ...]:
    papers = results.of_pupil(pupil)
    good, of = (sum(getattr(paper, name) for paper in papers) for name in ("good", "of"))
    cells = (paper.words for paper in papers)
    return (str(pupil), *cells, f"{good} of {of}" if of else "nothing marked")


def _open(report: Report) -> str:
    if not report.ideas:
        return _section("Ideas still open", "<p>None is open.</p>" + _paragraph(_IDEAS))
    head = ("idea", "pupils", "lesson", "what answers it")
    rows = [_idea_row(one) for one in report.ideas]
    return _section(
        "Ideas still open",
        _paragraph(_IDEAS)
        + _figure(pictures.open_ideas(report.ideas, report.results))
        + _table("Ideas first, then slips of working", head, rows),
    )


def _idea_row(one: Open) -> tuple[str, ...]:
    lesson = one.lesson[:2] if one.lesson else "no lesson yet; show the flights"
    said = one.idea if one.is_slip else f"“{one.idea}”"
    return said, counts.numbers(one.pupils), lesson, one.answer


def _tasks(report: Report) -> str:
    parts = [_lesson_tasks(lesson, found) for lesson, found in report.analyses.items() if found.n]
    inside = "".join(parts) or "<p>No lesson is marked yet.</p>"
    return _section("The tasks themselves", _paragraph(_AGREES) + inside)


def _lesson_tasks(lesson: str, found: Analysis) -> str:
    head = ("task", "share right", "n", "does this task agree with the others?", "figure, range")
    rows = [
        (
            item.task,
            "" if item.share is None else f"{item.share:.0%}",
            str(item.n),
            VERDICTS[item.verdict],
            _range(item.agreement, item.interval, item.agreement_n),
        )
        for item in found.items
    ]
    table = _table(f"Lesson {lesson[:2]}, task by task", head, rows)
    return (
        f"<h3>Lesson {html.escape(counts.lesson_name(lesson))}</h3>"
        + _figure(pictures.right(found, lesson))
        + table
        + _paragraph(_alpha(found.alpha, found.n))
    )


def _range(value: float | None, interval: tuple[float, float] | None, n: int) -> str:
    if value is None or interval is None:
        return "not shown"
    low, high = (plain(end, 2) for end in interval)
    return f"{plain(value, 2)} ({low} to {high}), n\u00a0=\u00a0{n}"


def _alpha(alpha: Alpha | None, n: int) -> str:
    if alpha is None:
        return (
            f"Do the tasks hang together? Not shown: alpha needs {ALPHA_FROM} pupils who did not "
            f"all do the same, and here are {n}."
        )
    low, high = plain(alpha.low, 2), plain(alpha.high, 2)
    return (
        f"Do the tasks hang together? Alpha (KR-20) is {plain(alpha.value, 2)}, from {alpha.n} "
        f"pupils and {alpha.tasks} tasks. With a class of this size it may as well be {low} or "
        f"{high}: do not compare two lessons by it, and judge no pupil by it. Tasks on different "
        "things need not hang together."
    )


def _cases(cases: Sequence[CaseResult]) -> str:
    if not cases:
        return _section("The last cases", "<p>Nobody has handed in the log of a case.</p>")
    marked = [one for one in cases if one.scores]
    left = [one for one in cases if not one.scores]
    inside = _case_tables(marked) if marked else ""
    inside += _list(f"Pupil {one.pupil}, {one.title}: {one.note}" for one in left)
    return _section("The last cases", inside)


def _case_tables(marked: Sequence[CaseResult]) -> str:
    names = [count.skill for count in marked[0].counts]
    fair = [
        (*_case_head(one), *(f"{count.shown} of {count.of}" for count in one.counts))
        for one in marked
    ]
    scored = [
        (str(one.pupil), one.title, *(f"{score.value:.2f}" for score in one.scores))
        for one in marked
    ]
    head = ("pupil", "case", "last day", "flights", *names)
    scores = ("pupil", "case", *(score.name for score in marked[0].scores))
    return (
        _table("Fair comparing, counts", head, fair)
        + _table("The five scores of each case", scores, scored)
        + _paragraph(_FAIR)
    )


def _case_head(one: CaseResult) -> tuple[str, ...]:
    return str(one.pupil), one.title, one.date, str(one.flights)


# --- pieces of a page ------------------------------------------------------------------------


def _section(title: str, inside: str) -> str:
    name = title.lower().replace(" ", "-")
    return f'<section aria-labelledby="{name}">\n<h2 id="{name}">{title}</h2>\n{inside}\n</section>'


def _paragraph(words: str) -> str:
    return f"<p>{html.escape(words)}</p>\n"


def _list(lines: Iterable[str]) -> str:
    inside = "".join(f"<li>{html.escape(line)}</li>" for line in lines)
    return f"<ul>{inside}</ul>\n" if inside else ""


def _table(caption: str, head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    top = "".join(f'<th scope="col">{html.escape(name)}</th>' for name in head)
    body = "\n".join(_row(row) for row in rows)
    return (
        f"<table>\n<caption>{html.escape(caption)}</caption>\n<thead><tr>{top}</tr></thead>\n"
        f"<tbody>\n{body}\n</tbody>\n</table>\n"
    )


def _row(row: Sequence[str]) -> str:
    first, *rest = row
    return f'<tr><th scope="row">{html.escape(first)}</th>{"".join(map(_cell, rest))}</tr>'


def _cell(words: str) -> str:
    look = ' class="short"' if len(words) <= LONGEST_SHORT else ""
    return f"<td{look}>{html.escape(words)}</td>"


def _figure(picture: Picture) -> str:
    data = base64.b64encode(picture.png()).decode("ascii")
    alt = html.escape(picture.text, quote=True)
    return f'<figure><img src="data:image/png;base64,{data}" alt="{alt}"></figure>\n'


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
