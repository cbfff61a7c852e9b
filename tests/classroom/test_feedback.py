"""The page a pupil gets back, read as a screen reader and as a curious pupil would."""

from __future__ import annotations

import base64
from html.parser import HTMLParser

import pytest
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell, new_markdown_cell, new_output
from papers import grade_cell, mark, notebook

from trimkit.classroom.feedback import page

NAMES = {"student": "pupil-07", "score": 3.5, "max_score": 6.0}
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)>"


class Reader(HTMLParser):
    """Collects tags with their attributes, and checks that they close."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in {"meta", "img", "br", "hr"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.tags if name == tag]


def graded() -> NotebookNode:
    said = new_output("display_data", {"text/html": "<p>Not yet.</p>", "text/plain": "Not yet."})
    cell = grade_cell("02.1", said)
    cell.metadata.nbgrader["score"] = 1.5
    return cell


def sentence(text: str, comment: str | None = None) -> NotebookNode:
    cell = new_markdown_cell(text)
    cell.metadata["nbgrader"] = mark(
        "words-02-8", grade=True, solution=True, points=2.0, score=2.0, comment=comment
    )
    return cell


def picture(metadata: dict[str, object], plain: str = "<Figure>") -> NotebookNode:
    data = {"image/png": "iVBORw0KGgo=\n", "text/plain": plain}
    return new_code_cell("", outputs=[new_output("display_data", data, metadata=metadata)])


def test_a_page_says_its_language_title_and_points() -> None:
    text = page(notebook(graded(), sentence("Both are honest.")), NAMES)
    reader = Reader(text)
    assert reader.named("html") == [{"lang": "en"}]
    assert "<title>Feedback: Lesson 02: Angles, pupil 7</title>" in text
    assert text.count("<h1") == 1
    assert "3.5 of 6 points in all." in text
    assert "Task 02.1: 1.5 of 2 points" in text
    assert "In your own words 02.8: 2 of 2 points" in text
    assert {a["href"] for a in reader.named("a")} == {"#task-02-1", "#words-02-8"}
    assert {a["id"] for a in reader.named("section")} == {"task-02-1", "words-02-8"}


def test_a_page_needs_nothing_from_elsewhere() -> None:
    text = page(notebook(graded()), NAMES)
    assert "http" not in text
    assert "<script" not in text


@pytest.mark.parametrize(
    ("metadata", "plain", "words"),
    [
        ({"alt": "A wing at 3 degrees"}, "<Figure>", "A wing at 3 degrees"),
        ({"image/png": {"alt": "A wing"}}, "<Figure>", "A wing"),
        ({}, "Side view of a wing", "Side view of a wing"),
        ({}, "<Figure size 640x480>", "Picture without words"),
    ],
)
def test_every_picture_has_words(metadata: dict[str, object], plain: str, words: str) -> None:
    images = Reader(page(notebook(picture(metadata, plain)), NAMES)).named("img")
    assert len(images) == 1
    assert (images[0]["alt"] or "").startswith(words)
    assert images[0]["src"] == "data:image/png;base64,iVBORw0KGgo="


def test_a_drawing_is_shown_as_a_picture_that_runs_nothing() -> None:
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg">{HOSTILE}</svg>'
    output = new_output("display_data", {"image/svg+xml": drawing}, metadata={"alt": "A wing"})
    text = page(notebook(new_code_cell("", outputs=[output])), NAMES)
    assert "<script" not in text
    source = Reader(text).named("img")[0]["src"] or ""
    assert base64.b64decode(source.split(",")[1]).decode() == drawing


def test_what_a_pupil_typed_runs_nowhere() -> None:
    solution = new_code_cell(HOSTILE)
    solution.metadata["nbgrader"] = mark("answer-02-1", solution=True)
    loud = new_code_cell(
        "",
        outputs=[
            new_output("stream", name="stdout", text=HOSTILE),
            new_output("display_data", {"text/html": HOSTILE, "text/plain": "x" + HOSTILE}),
            new_output("error", ename=HOSTILE, evalue=HOSTILE, traceback=[HOSTILE]),
        ],
    )
    cells = [solution, loud, sentence(HOSTILE, HOSTILE), new_markdown_cell(HOSTILE)]
    text = page(notebook(*cells), NAMES)
    reader = Reader(text)
    assert reader.named("script") == []
    assert reader.named("img") == []
    assert text.count("&lt;script&gt;") >= 6


def test_a_coachs_words_are_shown() -> None:
    assert "Your coach says: Good thinking." in page(
        notebook(sentence("Both.", "Good thinking.")), NAMES
    )
