"""The page a pupil gets back: one file, no scripts, readable by a screen reader, no key in it."""

from __future__ import annotations

import base64
import html
from typing import Any

import mistune
from nbconvert.exporters.exporter import Exporter
from nbformat import NotebookNode
from nbgrader.utils import is_grade, is_solution
from traitlets import Unicode

from trimkit.classroom.names import pupil_number

_STYLE = """
body { font: 1.05rem/1.5 system-ui, sans-serif; max-width: 46rem; margin: 1rem auto;
       padding: 0 1rem; color: #111; background: #fff; }
pre { overflow-x: auto; padding: .5rem; border: 1px solid #767676; white-space: pre-wrap; }
table { border-collapse: collapse; } th, td { border: 1px solid #767676; padding: .2rem .6rem; }
section { border-left: .25rem solid #111; padding-left: .8rem; margin: 1rem 0; }
img { max-width: 100%; height: auto; }
@media print { section { break-inside: avoid; } }
"""
_NO_WORDS = "Picture without words; the text around it says what it shows"
_PICTURES = ("image/png", "image/jpeg", "image/svg+xml")
_markdown = mistune.create_markdown(escape=True, plugins=["table", "strikethrough"])


class FeedbackPage(Exporter):
    """Write a marked notebook as a page of its own."""

    file_extension = Unicode(".html").tag(config=True)
    output_mimetype = "text/html"

    def from_notebook_node(  # type: ignore[override]
        self, nb: NotebookNode, resources: Any = None, **kw: Any
    ) -> tuple[str, Any]:
        """Write the page.

        Parameters
        ----------
        nb : NotebookNode
            The marked notebook [-].
        resources : mapping
            nbconvert's resources, with nbgrader's names and scores [-].
        **kw : plain data
            Handed on to nbconvert [-].

        Returns
        -------
        (str, mapping)
            The page and the resources [-].
        """
        ready, resources = super().from_notebook_node(nb, resources, **kw)
        return page(ready, resources["nbgrader"]), resources


def page(nb: NotebookNode, names: Any) -> str:
    """Write a marked notebook as HTML.

    Parameters
    ----------
    nb : NotebookNode
        With scores in its grade cells [-].
    names : mapping
        nbgrader's student, assignment, score and max_score [-].

    Returns
    -------
    str
        A whole page [-].
    """
    title = f"{_title(nb)}, pupil {pupil_number(names['student'])}"
    body = "\n".join(filter(None, (_cell(cell) for cell in nb.cells)))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Feedback: {html.escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n"
        f"<body>\n<header>\n<h1>Feedback: {html.escape(title)}</h1>\n"
        f"<p><strong>{_points(names['score'], names['max_score'])} in all.</strong></p>\n"
        f"{_summary(nb)}\n</header>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _title(nb: NotebookNode) -> str:
    for cell in nb.cells:
        if cell.cell_type == "markdown" and cell.source.startswith("# "):
            return str(cell.source.splitlines()[0][2:].strip())
    return "lesson"


def _summary(nb: NotebookNode) -> str:
    rows = "".join(
        f'<tr><th scope="row"><a href="#{_anchor(cell)}">{_name(cell)}</a></th>'
        f"<td>{_score(cell)}</td></tr>"
        for cell in nb.cells
        if is_grade(cell)
    )
    head = '<tr><th scope="col">Task</th><th scope="col">Points</th></tr>'
    return f"<table><caption>Points, task by task</caption>{head}{rows}</table>"


def _cell(cell: NotebookNode) -> str:
    if is_grade(cell):
        return _graded(cell)
    if cell.cell_type == "markdown":
        return _text(cell.source)
    if cell.cell_type != "code":
        return ""
    source = _code("Your cell", cell.source) if is_solution(cell) else ""
    return source + "".join(_output(output) for output in cell.outputs)


def _graded(cell: NotebookNode) -> str:
    name = _name(cell)
    if cell.cell_type == "markdown":
        inside = f"<p>You wrote:</p><blockquote>{_text(cell.source)}</blockquote>"
    else:
        inside = "".join(o.data.get("text/html", "") for o in cell.outputs if "data" in o)
    comment = cell.metadata.nbgrader.get("comment")
    said = f"<p>Your coach says: {html.escape(comment)}</p>" if comment else ""
    return (
        f'<section id="{_anchor(cell)}" aria-label="{name}">\n'
        f"<h3>{name}: {_score(cell)}</h3>\n{inside}{said}\n</section>"
    )


def _output(output: NotebookNode) -> str:
    if output.output_type == "stream":
        return _pre(output.text)
    if output.output_type == "error":
        return _pre(f"{output.ename}: {output.evalue}")
    for kind in _PICTURES:
        if kind in output.data:
            return _picture(kind, output)
    plain = output.data.get("text/plain", "")
    return _pre(plain) if plain and not plain.startswith("<") else ""


def _picture(kind: str, output: NotebookNode) -> str:
    content = output.data[kind]
    if kind == "image/svg+xml":
        content = base64.b64encode(content.encode("utf-8")).decode("ascii")
    plain = output.data.get("text/plain", "")
    described = output.metadata.get("alt") or output.metadata.get(kind, {}).get("alt")
    words = described or (plain if plain and not plain.startswith("<") else _NO_WORDS)
    source = html.escape("".join(content.split()), quote=True)
    return f'<img src="data:{kind};base64,{source}" alt="{html.escape(words, quote=True)}">'


def _text(source: str) -> str:
    """Render a text; the page's own title is the only first-level heading."""
    return str(_markdown(source)).replace("<h1>", "<h2>").replace("</h1>", "</h2>")


def _code(title: str, source: str) -> str:
    return f"<p>{title}:</p>{_pre(source)}"


def _pre(text: str) -> str:
    return f"<pre>{html.escape(text)}</pre>"


def _anchor(cell: NotebookNode) -> str:
    return html.escape(cell.metadata.nbgrader.grade_id, quote=True)


def _name(cell: NotebookNode) -> str:
    kind, _, number = cell.metadata.nbgrader.grade_id.partition("-")
    label = "Task" if kind == "task" else "In your own words"
    return html.escape(f"{label} {number.replace('-', '.')}", quote=True)


def _score(cell: NotebookNode) -> str:
    mark = cell.metadata.nbgrader
    return _points(mark.get("score"), mark.get("points"))


def _points(earned: float | None, most: float | None) -> str:
    return f"{earned or 0:g} of {most or 0:g} points"
