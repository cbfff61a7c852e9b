"""The coach's report: counts and questions, never a name, never an order of marks."""

from __future__ import annotations

import contextlib
import csv
import datetime
import io
import itertools
import json
import re
import shutil
import sqlite3
import warnings
from collections.abc import Callable, Mapping
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import nbformat
import numpy as np
import pytest
from nbgrader.api import Gradebook
from papers import INSTRUCTOR, grade_cell
from sqlalchemy.exc import SAWarning

from trimkit import cli, files, log, places
from trimkit.classroom import marking, report
from trimkit.classroom.course import Course
from trimkit.classroom.gradebook import TO_BE_READ, Row
from trimkit.classroom.hooks import MARK_RECORD
from trimkit.classroom.report import cases, content, ideas, moved, page, pictures, talk
from trimkit.classroom.report.counts import Paper, Results
from trimkit.diagnosis.misunderstandings import IDEAS
from trimkit.lesson import referee, tasks, variant
from trimkit.lesson.case import Case
from trimkit.log import Entry, Log, Result

PUPILS = 12
LESSONS = {"02-angles": "angles", "04-low-power": "low-power"}
LATE = (3, 7)
UNREAD = frozenset({5, 6})
TODAY = datetime.date(2026, 11, 25)
MISTAKES = {
    "04.1": "stall means the motor stopped",
    "04.2": "more turns cure a bad trim",
    "04.4": "more power for a bad trim",
    "04.7": "the first answer is the fault",
}
Answers = Mapping[tuple[int, str], str]  # pupil and task to a verdict


def invented(seed: int = 1, pupils: int = PUPILS) -> dict[tuple[int, str], str]:
    """Invent the verdicts of a class of two lessons; 3 and 7 have not handed in the second."""
    random = np.random.default_rng(seed)
    found = {}
    for pupil in range(1, pupils + 1):
        able = random.normal()
        for folder in LESSONS:
            for task in tasks.load(folder[:2]).tasks:
                if folder.startswith("04") and pupil in LATE:
                    continue
                good = random.random() < 1 / (1 + np.exp(0.4 - 1.5 * able))
                wrong = f"mistake: {MISTAKES.get(task.id, 'a ratio is not an angle')}"
                found[pupil, task.id] = "good" if good else random.choice([wrong, "off", "blank"])
    return found


def a_class(
    root: Path, blank: Path, answers: Answers, unread: frozenset[int] = frozenset()
) -> Course:
    """Make the folders and the gradebook of a marked class, as nbgrader leaves them."""
    course = Course(root=root, instructor=INSTRUCTOR)
    (course.marking / "submitted").mkdir(parents=True)
    shutil.copy(blank, course.marking / "gradebook.db")
    with warnings.catch_warnings(), Gradebook(course.gradebook) as gradebook:
        warnings.simplefilter("ignore", SAWarning)  # nbgrader's own, from adding a submission
        for folder, name in LESSONS.items():
            for pupil in sorted({who for who, task in answers if task[:2] == folder[:2]}):
                _hand_in(course, gradebook, (pupil, folder, name), answers, pupil in unread)
        gradebook.db.commit()
    return course


def _announce(gradebook: Gradebook, folder: str, name: str) -> None:
    gradebook.add_assignment(folder)
    gradebook.add_notebook(name, folder)
    for task in tasks.load(folder[:2]).tasks:
        grade_id = f"task-{task.id.replace('.', '-')}"
        gradebook.add_grade_cell(grade_id, name, folder, max_score=2, cell_type="code")
    sentence = f"words-{folder[:2]}-8"
    gradebook.add_grade_cell(sentence, name, folder, max_score=2, cell_type="markdown")


def _hand_in(
    course: Course,
    gradebook: Gradebook,
    place: tuple[int, str, str],
    answers: Answers,
    unread: bool,
) -> None:
    pupil, folder, name = place
    student = f"pupil-{pupil:02d}"
    gradebook.update_or_create_student(student)
    submission = gradebook.add_submission(folder, student)
    cells = []
    for grade in submission.notebooks[0].grades:
        if grade.name.startswith("words"):
            grade.needs_manual_grade, grade.manual_score = unread, None if unread else 2.0
            continue
        task = ".".join(grade.name.split("-")[1:])
        verdict = answers[pupil, task]
        grade.auto_score, grade.needs_manual_grade = 2.0 if verdict == "good" else 0.0, False
        cells.append(_marked(task, verdict))
    for where in ("submitted", "autograded"):
        path = course.marking / where / student / folder / f"{name}.ipynb"
        path.parent.mkdir(parents=True)
        nbformat.write(nbformat.v4.new_notebook(cells=cells), path)


def _marked(task: str, verdict: str) -> nbformat.NotebookNode:
    kind, _, name = verdict.partition(": ")
    record = {"verdict": kind, "name": name, "points": 0.0}
    words = {"text/plain": "said"}
    output = nbformat.v4.new_output("display_data", words, metadata={MARK_RECORD: record})
    return grade_cell(task, output)


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A gradebook that knows the lessons and no pupil; nbgrader takes seconds to make one."""
    path = tmp_path_factory.mktemp("blank") / "gradebook.db"
    with Gradebook(f"sqlite:///{path.as_posix()}") as gradebook:
        for folder, name in LESSONS.items():
            _announce(gradebook, folder, name)
    return path


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory, blank: Path) -> Path:
    """A class, made once; every test gets a copy."""
    root = tmp_path_factory.mktemp("class") / "kept"
    a_class(root, blank, invented(), UNREAD)
    return root


@pytest.fixture
def course(kept: Path, tmp_path: Path) -> Course:
    shutil.copytree(kept, tmp_path / "class")
    return Course(root=tmp_path / "class", instructor=INSTRUCTOR)


def made(course: Course, today: datetime.date = TODAY, pupils: int = 0) -> content.Report:
    folder = course.marking / "report"
    found = report.gather(course, folder / moved.FILE, pupils, today)
    report.save(found, folder)
    return found


def page_of(course: Course) -> str:
    return (course.marking / "report" / report.PAGE).read_text("utf-8")


def table(course: Course, name: str) -> list[dict[str, str]]:
    text = (course.marking / "report" / name).read_text("utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def results(*papers: Paper, rows: tuple[Row, ...] = ()) -> Results:
    pupils = sorted({paper.pupil for paper in papers})
    lessons = sorted({paper.lesson for paper in papers})
    return Results(tuple(pupils), tuple(lessons), rows, papers)


# --- counts ----------------------------------------------------------------------------------


def test_every_count_is_that_of_the_answers(course: Course) -> None:
    answers, found = invented(), made(course)
    for paper in found.results.papers:
        own = [
            verdict
            for (pupil, task), verdict in answers.items()
            if pupil == paper.pupil and task[:2] == paper.lesson[:2]
        ]
        unread = paper.pupil in UNREAD
        if not own:
            assert (paper.pupil in LATE, paper.words) == (True, "not yet")
            continue
        assert paper.good == own.count("good") + (not unread)
        assert (paper.of, paper.to_read) == (7 + (not unread), int(unread))
        assert paper.blank == own.count("blank")
    shares = {item.task: item.right for item in found.analyses["02-angles"].items}
    assert shares["02.1"] == sum(answers[pupil, "02.1"] == "good" for pupil in range(1, 13))
    assert shares["02.8 (sentence)"] == PUPILS - len(UNREAD)
    assert [item.n for item in found.analyses["02-angles"].items] == [PUPILS] * 7 + [10]


def test_who_has_handed_in_what(course: Course) -> None:
    shutil.rmtree(course.marking / "autograded" / "pupil-09")
    extra = course.marking / "submitted" / "13" / "04-low-power" / "low-power.ipynb"
    extra.parent.mkdir(parents=True)
    extra.write_text("{}", encoding="utf-8")
    found = made(course, pupils=14)
    states = {(p.pupil, p.lesson[:2]): p.state for p in found.results.papers}
    assert states[9, "02"] == "marked"  # the gradebook has it, though its notebook is gone
    assert states[13, "04"] == "handed in, not marked"
    assert states[13, "02"] == states[14, "04"] == states[3, "04"] == "not yet"
    text = page_of(course)
    assert "Not yet: 3, 7 and 14. Waiting to be marked: 13." in text
    assert ">handed in, not marked<" in text


def test_the_tables_hold_what_the_page_holds(course: Course) -> None:
    found = made(course)
    papers = table(course, "pupils.csv")
    assert len(papers) == 2 * PUPILS
    for row in papers:
        if row["state"] == "marked":
            assert f"{row['right']} of {row['of']}" in page_of(course)
    for row in table(course, "tasks.csv"):
        item = next(i for i in found.analyses[row["lesson"]].items if i.task == row["task"])
        assert float(row["share right"]) == pytest.approx(item.right / item.n, abs=1e-4)
        assert row["agreement"] == ("" if item.agreement is None else f"{item.agreement:.4f}"
                                    .rstrip("0")) or float(row["agreement"]) == pytest.approx(
            item.agreement, abs=1e-4)  # fmt: skip
    ideas_open = {(row["idea"], int(row["pupil"])) for row in table(course, "ideas.csv")}
    assert ideas_open == {(one.name, pupil) for one in found.ideas for pupil in one.pupils}


def test_a_table_of_marks_has_a_row_for_each_pupil_and_no_mark_for_what_nobody_has_read(
    course: Course,
) -> None:
    (course.marking / "roster.csv").write_text("pupil\r\n40\r\n7\r\n", encoding="utf-8")
    rows = made(course).results.rows
    lines = table(course, "gradebook.csv")
    assert [int(line["pupil"]) for line in lines] == [*range(1, PUPILS + 1), 40]
    for folder in LESSONS:
        name = next(column for column in lines[0] if column.startswith(folder))
        assert (
            name
            == f"{folder} (of {sum(r.of for r in rows if (r.pupil, r.lesson) == (1, folder)):g})"
        )
        for line in lines:
            mine = [r for r in rows if (r.pupil, r.lesson) == (int(line["pupil"]), folder)]
            unread = not mine or any(row.verdict == TO_BE_READ for row in mine)
            assert line[name] == "" if unread else float(line[name]) == sum(r.points for r in mine)
    assert sum(value == "" for line in lines for value in line.values()) == 2 + len(LATE) + 4


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("pupil,name\n7,Somebody\n", r"line 1: allowed is one number .* Names stay on the school"),
        ("pupil\n7\nSomebody\n", "line 3: allowed is one number"),
        ("7\n0\n", "line 2: allowed is one number from 1 to 9999"),
        ("7\n8\n07\n", "line 3: number 7 stands in line 1 too"),
    ],
)
def test_a_roster_with_anything_but_numbers_is_told_and_nothing_is_made(
    course: Course, text: str, told: str
) -> None:
    (course.marking / "roster.csv").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=told) as error:
        made(course)
    assert "Somebody" not in str(error.value)


# --- what must never be on it ----------------------------------------------------------------


def test_no_name_gets_onto_the_page_or_beside_it(course: Course) -> None:
    folder = course.marking / "submitted" / "Wilhelmina" / "02-angles"
    folder.mkdir(parents=True)
    (folder / "angles.ipynb").write_text("{}", encoding="utf-8")
    case_of(course, 2, seed="Wilhelmina")
    found = made(course)
    written = "".join(path.read_text("utf-8") for path in (course.marking / "report").iterdir())
    assert "wilhelmina" not in (written + json.dumps(found.as_data())).lower()
    assert "1 folder names no pupil" in written
    assert "a named case" in written


def test_pupils_stand_in_the_order_of_their_numbers_and_nothing_ranks_them(course: Course) -> None:
    made(course)
    text = page_of(course)
    counted = text.partition("Tasks right, by pupil number")[2].partition("</table>")[0]
    order = [int(number) for number in re.findall(r'scope="row">(\d+)<', counted)]
    assert order == list(range(1, PUPILS + 1))
    words = re.sub(r"<[^>]+>", " ", re.sub(r"<(style|figure)>.*?</\1>", " ", text, flags=re.S))
    assert not re.search(
        r"\b(rank|best|worst|weakest|average|mean|grade|talent|top)\b", words, re.I
    )


# --- the page --------------------------------------------------------------------------------


class Outline(HTMLParser):
    """What a screen reader meets."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]


def outline(text: str) -> Outline:
    found = Outline()
    found.feed(text)
    return found


def test_the_page_is_whole_offline_and_can_be_read_aloud(course: Course) -> None:
    made(course)
    seen = outline(page_of(course))
    assert seen.all("html") == [{"lang": "en"}]
    assert not seen.all("script") + seen.all("link") + seen.all("iframe")
    levels = [int(tag[1]) for tag, _ in seen.tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))
    assert len(seen.all("img")) == 4
    for image in seen.all("img"):
        assert str(image["src"]).startswith("data:image/png;base64,")
        assert re.search(r"\d+ of \d+", str(image["alt"]))
    assert len(seen.all("table")) == len(seen.all("caption")) >= 5
    assert all(attrs.get("scope") in ("row", "col") for attrs in seen.all("th"))
    names = [attrs["id"] for _, attrs in seen.tags if "id" in attrs]
    assert len(names) == len(set(names))
    assert {attrs["aria-labelledby"] for attrs in seen.all("section")} == set(names)
    assert "http" not in page_of(course)


def luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    digits = "".join(one * 2 for one in digits) if len(digits) == 3 else digits
    parts = [int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


def test_the_contrast_is_that_of_wcag_aaa_and_it_fits_a4() -> None:
    """WCAG 2.2, 1.4.6: 7 to 1 for words; 1.4.11: 3 to 1 for lines."""
    words = re.findall(r"[ {;]color: (#\w+)", page._STYLE)
    grounds = re.findall(r"background: (#\w+)", page._STYLE)
    lines = re.findall(r"solid (#\w+)", page._STYLE)
    assert words
    assert grounds
    assert lines
    for ground in grounds:
        for colours, least in ((words, 7), (lines, 3)):
            for colour in colours:
                light, dark = sorted((luminance(ground), luminance(colour)), reverse=True)
                assert (light + 0.05) / (dark + 0.05) >= least, (ground, colour)
    assert "size: A4" in page._STYLE


def test_what_comes_from_folders_and_notebooks_is_escaped(tmp_path: Path, blank: Path) -> None:
    answers = {(1, task.id): "mistake: <script>&" for task in tasks.load("02").tasks}
    course = a_class(tmp_path / "class", blank, answers)
    nasty = course.marking / "submitted" / "12" / "<b>05" / "x.ipynb"
    nasty.parent.mkdir(parents=True)
    nasty.write_text("{}", encoding="utf-8")
    made(course)
    text = page_of(course)
    assert "&lt;script&gt;&amp;" in text
    assert "&lt;b&gt;05" in text
    assert "<b" not in text.replace("<body>", "")
    assert "<script" not in text


def test_a_table_escapes_all_of_it() -> None:
    text = page._table("<a", ("<b", "<c"), [("<d", "<e"), ("<f", "<g" * 20)])
    assert not re.search("<[a-g](?![a-z])", text)
    assert text.count("&lt;") == 6 + 19 + 1


def test_every_picture_says_its_counts(course: Course) -> None:
    found = made(course)
    states = ["marked"] * 22 + ["handed in, not marked"] * 11
    papers = [Paper(k, "04-low-power", state) for k, state in enumerate(states)]
    drawn = [
        pictures.handed_in(found.results),
        pictures.handed_in(results(*papers)),
        pictures.right(found.analyses["02-angles"], "02-angles"),
        pictures.open_ideas(found.ideas, found.results),
    ]
    assert "04, The first low-power flights: 10 of 12" in drawn[0].text
    assert drawn[1].text == "Papers in. 04, The first low-power flights: 22 + 11 waiting of 33."
    for picture in drawn:
        canvas = picture.figure.canvas.get_renderer() if picture.png() else None
        width, height = picture.figure.canvas.get_width_height()
        texts = [*picture.figure.texts, *picture.figure.axes[0].texts]
        boxes = [text.get_window_extent(canvas) for text in texts if text.get_text()]
        assert all(b.x0 >= 0 and b.x1 <= width and b.y0 >= 0 and b.y1 <= height for b in boxes)
        pairs = [(a, b) for k, a in enumerate(boxes) for b in boxes[k + 1 :]]
        assert not any(a.overlaps(b) for a, b in pairs)


# --- ideas -----------------------------------------------------------------------------------


def a_row(pupil: int, task: str, verdict: str) -> Row:
    folder = next(name for name in LESSONS if name[:2] == task[:2])
    points = 2.0 if verdict == "good" else 0.0
    return Row(pupil, folder, f"task-{task.replace('.', '-')}", points, 2.0, verdict)


POWER = "mistake: more turns cure a bad trim"


def test_an_idea_is_closed_by_a_later_good_answer_to_a_task_that_draws_it() -> None:
    others = (a_row(1, "04.2", POWER), a_row(2, "04.4", "mistake: more power for a bad trim"))
    assert [one.pupils for one in ideas.find(results(rows=others), ())] == [(1, 2)]
    closed = (*others, a_row(1, "04.4", "good"))
    assert [one.pupils for one in ideas.find(results(rows=closed), ())] == [(2,)]
    earlier = (*others, a_row(2, "04.2", "good"))
    assert [one.pupils for one in ideas.find(results(rows=earlier), ())] == [(1, 2)]
    failed = (*others, a_row(1, "04.4", "off"))
    assert [one.pupils for one in ideas.find(results(rows=failed), ())] == [(1, 2)]
    elsewhere = (*others, a_row(1, "04.5", "good"))
    assert [one.pupils for one in ideas.find(results(rows=elsewhere), ())] == [(1, 2)]


def test_an_idea_names_its_lesson_and_the_flights_and_a_slip_where_to_look() -> None:
    rows = (a_row(1, "04.2", POWER), a_row(1, "02.1", "mistake: a ratio is not an angle"))
    idea, slip = ideas.find(results(rows=rows), ())
    assert (idea.name, idea.lesson, idea.is_slip) == (
        "more-turns-cure-a-dive", "04-low-power", False,
    )  # fmt: skip
    assert idea.idea == IDEAS[idea.name].idea
    assert "“few” at 1.25 times level torque" in idea.answer
    assert slip.is_slip
    assert "worked example" in slip.answer


def test_a_case_adds_its_ideas() -> None:
    one = cases.CaseResult(4, "case 7", ideas=("two-changes-save-time",))
    found = ideas.find(results(rows=(a_row(4, "04.2", "mistake: two changes save time"),)), (one,))
    assert [(idea.pupils, idea.places) for idea in found] == [((4,), {4: ("04.2", "case 7")})]


def test_every_name_that_is_matched_by_hand_exists_on_both_sides() -> None:
    named = {
        mistake.name
        for path in (INSTRUCTOR / "marking").glob("*.py")
        for pupil in range(1, 9)
        for key in marking.load(path)
        .keys(variant.all_figures(tasks.load(path.stem), pupil, ""))
        .values()
        for mistake in key.mistakes
    }
    assert set(ideas.SAME_IDEA) <= named
    assert set(ideas.SAME_IDEA.values()) <= set(IDEAS)


@pytest.mark.parametrize("name", IDEAS)
def test_every_idea_has_flights_in_words_or_a_reading(name: str) -> None:
    said = ideas.flight_words(name)
    assert said.startswith("No flight: measure it. ") or " Fly: " in said
    assert not re.search(r"_|\bdeg\b|\+\+|  ", said)


# --- whom to talk to -------------------------------------------------------------------------


def a_paper(pupil: int, state: str = "marked", blank: int = 0) -> Paper:
    return Paper(pupil, "02-angles", state, good=2, of=8, blank=blank)


def test_at_most_three_one_of_each_sign_in_turn() -> None:
    papers = [a_paper(k, "not yet" if k < 4 else "marked", 4 * (k == 9)) for k in range(1, 11)]
    twice = ideas.Open("x", "i", (6,), {6: ("02.1", "02.4")}, "02-angles", "", False)
    mixed = cases.CaseResult(8, "case 7", confounded=(2, 3))
    found = talk.choose(results(*papers), (twice,), (mixed,), {})
    assert [one.pupil for one in found] == [1, 6, 9]
    assert [one.pupil for one in talk.choose(results(*papers), (), (), {})] == [1, 9, 2]
    asked = {1: "2026-11-18", 2: "2026-11-11"}
    assert [one.pupil for one in talk.choose(results(*papers), (), (), asked)] == [3, 9, 2]
    only = talk.choose(results(a_paper(8)), (), (mixed,), {})
    assert [one.pupil for one in only] == [8]
    assert "flights 2 and 3" in only[0].ask
    assert all(one.ask.endswith("?") for one in (*found, *only))


def test_nobody_is_asked_twice_in_one_report_nor_for_few_points() -> None:
    twice = [
        ideas.Open(name, "i", (6,), {6: ("02.1", "02.4")}, "02-angles", "", slip)
        for name, slip in (("x", False), ("y", True))
    ]
    found = talk.choose(results(a_paper(6, blank=8)), twice, (), {})
    assert [one.pupil for one in found] == [6]
    assert talk.choose(results(a_paper(6, blank=3)), (), (), {}) == ()
    early = [a_paper(k, "marked" if k == 1 else "not yet") for k in range(1, 5)]
    assert talk.choose(results(*early), (), (), {}) == ()
    poor = [Paper(k, "02-angles", "marked", good=0, of=8) for k in range(1, 5)]
    assert talk.choose(results(*poor), (), (), {}) == ()


# --- since the last report -------------------------------------------------------------------


def test_the_class_is_compared_with_the_last_day_that_had_a_report(
    course: Course, tmp_path: Path
) -> None:
    first = made(course, datetime.date(2026, 11, 18))
    assert first.moved[0].startswith("This is the first report")
    assert made(course).moved == ("Nothing has moved since the report of 2026-11-18.",)
    extra = course.marking / "submitted" / "3" / "04-low-power" / "low-power.ipynb"
    extra.parent.mkdir(parents=True)
    extra.write_text("{}", encoding="utf-8")
    again = made(course)
    assert again.moved[0] == "Since the report of 2026-11-18:"
    assert "Lesson 04, The first low-power flights: handed in by 10, now 11" in again.moved[1]
    later = made(course, datetime.date(2026, 12, 2))
    assert later.moved == ("Nothing has moved since the report of 2026-11-25.",)


def test_other_pupils_come_up_the_week_after(tmp_path: Path) -> None:
    path, day = tmp_path / moved.FILE, TODAY
    papers = [a_paper(k, "not yet" if k <= 6 else "marked") for k in range(1, 13)]
    named = []
    for _ in range(3):
        memory = moved.read(path)
        today = day.isoformat()
        chosen = talk.choose(results(*papers), (), (), memory.asked_before(today))
        now = moved.snapshot(results(*papers), (), today)
        path.write_text(moved.as_text(memory, now, chosen), encoding="utf-8")
        named.append([one.pupil for one in chosen])
        day += datetime.timedelta(weeks=1)
    assert named == [[1, 2, 3], [4, 5, 6], [1, 2, 3]]


def test_ideas_that_close_and_open_are_told() -> None:
    before = moved.Snapshot("2026-11-18", 12, {}, {"a-b": 3, "gone": 2})
    now = moved.Snapshot("2026-11-25", 12, {}, {"a-b": 1, "new-one": 4})
    assert moved.words(before, now)[1:] == (
        "“a b”: open for 3, now 1.",
        "Closed: “gone” (was open for 2).",
        "New: “new one”, open for 4.",
    )


@pytest.mark.parametrize("text", ["{", '{"schema": 9}', "[]", '{"schema": 1, "asked": 3}', ""])
def test_a_damaged_file_of_counts_is_set_aside_and_kept(tmp_path: Path, text: str) -> None:
    path = tmp_path / moved.FILE
    path.write_text(text, encoding="utf-8")
    found = moved.read(path)
    assert (found.last, found.before, found.asked) == (None, None, {})
    assert "set aside as last-counts.damaged-1.json" in found.note
    assert (tmp_path / "last-counts.damaged-1.json").read_text("utf-8") == text
    path.write_text(text, encoding="utf-8")
    assert "damaged-2" in moved.read(path).note


def test_a_report_after_a_damaged_file_says_so_and_starts_anew(course: Course) -> None:
    folder = course.marking / "report"
    folder.mkdir()
    (folder / moved.FILE).write_text("{", encoding="utf-8")
    found = made(course)
    assert "last-counts.damaged-1.json" in page_of(course)
    assert moved.read(folder / moved.FILE).last == found.now


# --- cases -----------------------------------------------------------------------------------


def the_log(*changes: Mapping[str, float]) -> Log:
    """Three flights or so: a dive, then changes, and a word at the end."""
    features = {"duration_s": 6.0, "lowest_nose_deg": -40.0, "start_climb_m_s": -0.5}
    entries = [_flight(1, {}, features, "dives")]
    for number, change in enumerate(changes, start=2):
        entries.append(_flight(number, change, features | {"duration_s": 9.0}, "longer"))
    said = Entry(
        number=len(entries) + 1,
        action="say",
        what="too-little-decalage",
        certainty="fairly sure",
        date="2026-11-20",
    )
    return Log((*entries, said))


def _flight(
    number: int, change: Mapping[str, float], seen: Mapping[str, float], come: str
) -> Entry:
    return Entry(
        number=number,
        action="change" if change else "fly",
        hypothesis="nose",
        prediction=come,
        certainty="leaning",
        result=Result(seen),
        changes=change,
        turns=700.0,
        minutes=6.0,
        date="2026-11-20",
    )


def the_terms(seed: str = "7", word: str = "owl") -> referee.Terms:
    aeroplane = files.load_aeroplane(places.demo_folder() / "aeroplanes" / "hallfinch-46.toml")
    return referee.Terms(seed=seed, aeroplane=aeroplane, class_word=word, faults=1)


def case_of(course: Course, pupil: int, seed: str = "7", kept: Log | None = None) -> Path:
    folder = course.marking / "submitted" / f"pupil-{pupil:02d}" / "logs"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{Case(the_terms(seed), folder).name}.jsonl"
    for entry in (kept or the_log({"shim_mm": 0.4})).entries:
        log.append(path, entry)
    return path


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The reference's own way takes seconds, and has its own tests."""
    monkeypatch.setattr(cases.reference, "minutes", lambda *_: 20.0)


@pytest.mark.usefixtures("quick")
def test_a_case_gives_counts_and_five_scores(course: Course) -> None:
    case_of(course, 4, kept=the_log({"shim_mm": 0.4, "wing_station_mm": 4.0}))
    worded = replace(course, class_word="owl")
    (one,) = cases.last_of_each(worded)
    assert (one.pupil, one.title, one.note, one.flights) == (4, "case 7", "", 2)
    assert [count.skill for count in one.counts] == [
        "plan", "identify", "interpret", "unfair decides nothing",
    ]  # fmt: skip
    assert (one.counts[0].shown, one.counts[0].of) == (0, 1)
    assert len(one.scores) == 5
    assert one.confounded == (1, 2)
    assert "two-changes-save-time" in one.ideas
    folder = course.marking / "report"
    report.save(report.gather(worded, folder / moved.FILE, today=TODAY), folder)
    assert "Fair comparing, counts" in page_of(course)
    assert "no measure of anybody" in page_of(course)
    shown = [row for row in table(course, "cases.csv") if row["what"] == "plan"]
    assert [(row["shown"], row["of"]) for row in shown] == [("0", "1")]


def test_without_the_class_word_a_case_is_listed_and_not_marked(course: Course) -> None:
    case_of(course, 4)
    (one,) = cases.last_of_each(course)
    assert (one.scores, one.counts) == ((), ())
    assert "--class-word" in one.note
    made(course)
    assert "Pupil 4, case 7: cannot be marked" in page_of(course)


@pytest.mark.parametrize("text", ["", "not json\n", "\x00" * 2_000_000])
def test_a_log_that_is_none_is_told(course: Course, text: str) -> None:
    path = case_of(course, 4)
    path.write_text(text, encoding="utf-8")
    (one,) = cases.last_of_each(replace(course, class_word="owl"))
    assert "empty, too large, or cannot be read" in one.note


@pytest.mark.usefixtures("quick")
def test_a_log_with_a_lost_entry_is_told(course: Course) -> None:
    path = case_of(course, 4)
    lines = path.read_text("utf-8").splitlines(keepends=True)
    path.write_text(lines[0] + lines[2], encoding="utf-8")
    (one,) = cases.last_of_each(replace(course, class_word="owl"))
    assert "lost an entry" in one.note


def test_a_log_that_never_ends_is_not_marked(course: Course) -> None:
    case_of(course, 4, kept=the_log(*[{"shim_mm": 0.1}] * cases.MOST_ENTRIES))
    (one,) = cases.last_of_each(replace(course, class_word="owl"))
    assert f"at most {cases.MOST_ENTRIES} are marked" in one.note


# --- what can go wrong -----------------------------------------------------------------------


def test_a_class_that_has_handed_in_nothing(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    (tmp_path / "marking" / "submitted").mkdir(parents=True)
    assert cli.main(["report", "--course", str(tmp_path), "--pupils", "24"]) == cli.NO
    assert "Nobody has handed in a lesson yet" in capsys.readouterr().out
    course = Course(root=tmp_path, instructor=INSTRUCTOR)
    assert "Nobody has handed in a lesson yet." in page_of(course)
    assert outline(page_of(course)).all("img") == []


def test_one_pupil(tmp_path: Path, blank: Path) -> None:
    alone = {name: verdict for name, verdict in invented().items() if name[0] == 1}
    course = a_class(tmp_path / "one", blank, alone)
    found = made(course)
    assert found.results.pupils == (1,)
    assert {item.verdict for item in found.analyses["02-angles"].items} == {"no figure"}
    assert "1 pupil, 2 lessons: 2 papers marked" in page_of(course)
    assert "alpha needs 20 pupils" in page_of(course)


def _garbage(path: Path) -> None:
    path.write_bytes(b"this is no database" * 100)


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


@pytest.mark.parametrize("breaking", [_garbage, _empty, _cut])
def test_a_broken_gradebook_is_a_sentence_and_stays_as_it_is(
    course: Course, breaking: Callable[[Path], None], capsys: pytest.CaptureFixture
) -> None:
    path = course.marking / "gradebook.db"
    breaking(path)
    before = path.read_bytes()
    assert cli.main(["report", "--course", str(course.root)]) == cli.BAD_INPUT
    told = capsys.readouterr().err
    assert "gradebook.db cannot be read" in told
    assert "Put a copy of it back" in told
    assert "Traceback" not in told
    assert path.read_bytes() == before
    assert not (course.marking / "report").exists()


@pytest.mark.parametrize("text", ["", "{", '{"cells": 3}', "[]"])
def test_a_broken_marked_notebook_is_a_sentence(
    course: Course, text: str, capsys: pytest.CaptureFixture
) -> None:
    path = course.marking / "autograded" / "pupil-04" / "02-angles" / "angles.ipynb"
    path.write_text(text, encoding="utf-8")
    assert cli.main(["report", "--course", str(course.root)]) == cli.BAD_INPUT
    assert "marked notebook" in capsys.readouterr().err


def test_two_folders_of_one_pupil_are_a_sentence(
    course: Course, capsys: pytest.CaptureFixture
) -> None:
    with contextlib.closing(connected(course)) as database, database:
        database.execute("UPDATE student SET id = '2' WHERE id = 'pupil-01'")
        database.execute("UPDATE submitted_assignment SET student_id = '2' "
                         "WHERE student_id = 'pupil-01'")  # fmt: skip
    assert cli.main(["report", "--course", str(course.root)]) == cli.BAD_INPUT
    assert "for pupil 2" in capsys.readouterr().err


def connected(course: Course) -> sqlite3.Connection:
    return sqlite3.connect(course.marking / "gradebook.db")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["--course", "nowhere"], "there is no folder"),
        (["--course", "."], "no folder marking"),
        (["--course", "file.txt"], "there is no folder"),
        (["--course", "class", "--output", "file.txt"], "is a file"),
    ],
)
def test_a_wrong_folder_is_a_sentence(
    kept: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture,
    typed: list[str],
    told: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file.txt").write_text("x", encoding="utf-8")
    (tmp_path / "class" / "marking").mkdir(parents=True)
    assert cli.main(["report", *typed]) == cli.BAD_INPUT
    assert told in capsys.readouterr().err


@pytest.mark.parametrize("count", ["0", "-3", "many", "501"])
def test_a_wrong_number_of_pupils_is_a_sentence(count: str, capsys: pytest.CaptureFixture) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["report", "--pupils", count])
    assert ended.value.code == cli.BAD_INPUT
    assert "from 1 to 500" in capsys.readouterr().err


def test_json_is_all_that_is_printed(course: Course, capsys: pytest.CaptureFixture) -> None:
    assert cli.main(["report", "--course", str(course.root), "--json"]) == cli.DONE
    found = json.loads(capsys.readouterr().out)
    assert len(found["papers"]) == 2 * PUPILS
    assert {Path(name).name for name in found["files"]} == {
        "report.html", "pupils.csv", "gradebook.csv", "tasks.csv", "ideas.csv", "cases.csv",
        "last-counts.json",
    }  # fmt: skip
    assert len(found["talk_to"]) <= 3


def test_a_full_disc_leaves_the_old_page(course: Course, monkeypatch: pytest.MonkeyPatch) -> None:
    made(course)
    before = page_of(course)
    found = report.gather(course, course.marking / "report" / moved.FILE, 20, TODAY)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        report.save(found, course.marking / "report")
    assert page_of(course) == before
    assert not list((course.marking / "report").glob("*.part"))


def test_remarks_of_the_marking_are_pointed_to(course: Course) -> None:
    (course.marking / "report.txt").write_text("one\ntwo\n", encoding="utf-8")
    assert "The marking left 2 remarks in marking/report.txt; read them." in made(course).notes
