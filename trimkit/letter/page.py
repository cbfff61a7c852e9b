"""What every page has: head, style, a rule that nothing is fetched or run, and tables."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Sequence
from pathlib import Path

from trimkit.drawing import Drawing
from trimkit.drawing.sheet import escaped
from trimkit.files import write_whole

STYLE = """
body { font: 1rem/1.45 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; background: #fff;
  max-width: 60rem; margin: 1rem auto; padding: 0 1rem; overflow-wrap: break-word; }
h1, p, blockquote, td:last-child { overflow-wrap: anywhere; }
h1 { font-size: 1.6rem; margin: 0 0 .5rem; } h2 { font-size: 1.2rem; margin: 1.6rem 0 .4rem; }
table { border-collapse: collapse; width: 100%; margin: .5rem 0; }
caption { text-align: left; font-weight: bold; padding: .3rem 0; }
th, td { border: 1px solid #000; padding: .25rem .5rem; text-align: left; vertical-align: top; }
thead th { background: #e3e3e3; }
tbody th { min-width: 4rem; }
td.number { text-align: right; white-space: nowrap; }
blockquote { border-left: 4px solid #000; margin: .5rem 0; padding: .1rem 1rem; }
.mind { border: 2px solid #000; padding: .4rem .8rem; }
.fill { display: inline-block; min-width: 5.5rem; border-bottom: 1.5px solid #000; height: 1.5rem; }
.box { display: inline-block; width: 1rem; height: 1rem; border: 1.5px solid #000; }
.boxes { list-style: none; padding: 0; } .boxes li { margin: .4rem 0; }
.sheet svg, img { max-width: 100%; height: auto; border: 1px solid #000; }
img { max-height: 26rem; width: auto; }
.sheet { margin: 1rem 0; }
@page { size: A4; margin: 15mm; }
@page sheet { size: A4 landscape; margin: 0; }
@media print {
  body { max-width: none; margin: 0; padding: 0; font-size: 10pt; }
  h2, caption { break-after: avoid; } tr, li, blockquote { break-inside: avoid; }
  .sheet { page: sheet; break-before: page; break-after: page; margin: 0; height: 209mm;
    overflow: hidden; }
  .sheet svg { max-width: none; width: 297mm; height: 210mm; border: 0; }
  .new-page { break-before: page; }
}
"""


def page(title: str, parts: Iterable[str]) -> str:
    """Put a page together.

    Parameters
    ----------
    title : str
        Its title, as plain text [-].
    parts : iterable of str
        What stands in it, as HTML [-].

    Returns
    -------
    str
        The page: one file, which fetches nothing and runs nothing [-].
    """
    known = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
    policy = (
        f"default-src 'none'; img-src data:; style-src 'sha256-{known}'; base-uri 'none'; "
        "form-action 'none'"
    )
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="referrer" content="no-referrer">',
            f"<title>{escaped(title)}</title>",
            f"<style>{STYLE}</style>",
            "</head>",
            "<body>",
            "<main>",
            *parts,
            "</main>",
            "</body>",
            "</html>",
            "",
        ]
    )


def save_page(text: str, path: Path) -> None:
    """Save a page; the file is whole or as it was.

    Parameters
    ----------
    text : str
        The page [-].
    path : pathlib.Path
        A name that ends in .html [-].

    Raises
    ------
    ValueError
        When it ends in something else.
    """
    if path.suffix.lower() not in (".html", ".htm"):
        raise ValueError(f"{path.name} ends in {path.suffix!r}; allowed is .html")
    write_whole(path, text.encode("utf-8"))


def heading(text: str, level: int = 2, new_page: bool = False) -> str:
    """Write a heading.

    Parameters
    ----------
    text : str
        Plain text [-].
    level : int
        1 for the page's, 2 for a part's [-].
    new_page : bool
        Whether a new page begins here on paper [-].

    Returns
    -------
    str
        HTML [-].
    """
    look = ' class="new-page"' if new_page else ""
    return f"<h{level}{look}>{escaped(text)}</h{level}>"


def paragraph(text: str, kind: str = "") -> str:
    """Write a paragraph.

    Parameters
    ----------
    text : str
        Plain text [-].
    kind : str
        "mind" for a frame around it [-].

    Returns
    -------
    str
        HTML [-].
    """
    look = f' class="{kind}"' if kind else ""
    return f"<p{look}>{escaped(text)}</p>"


def table(
    caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], numbers: Sequence[int] = ()
) -> str:
    """Write a table of plain text; its first column names the rows.

    Parameters
    ----------
    caption : str
        What it is [-].
    heads : sequence of str
        Heads of the columns [-].
    rows : iterable of sequence of str
        Cells [-].
    numbers : sequence of int
        Columns to set on the right, from 0 [-].

    Returns
    -------
    str
        HTML [-].
    """
    head = "".join(f'<th scope="col">{escaped(one)}</th>' for one in heads)
    lines = [f"<table><caption>{escaped(caption)}</caption>", f"<thead><tr>{head}</tr></thead>"]
    lines.append("<tbody>")
    for first, *rest in rows:
        looks = [' class="number"' if k in numbers else "" for k in range(1, len(rest) + 1)]
        cells = "".join(
            f"<td{look}>{escaped(cell)}</td>" for look, cell in zip(looks, rest, strict=True)
        )
        lines.append(f'<tr><th scope="row">{escaped(first)}</th>{cells}</tr>')
    return "\n".join([*lines, "</tbody></table>"])


def drawn(drawing: Drawing) -> str:
    """Put a drawing on a page; on A4 paper it keeps its scale.

    Parameters
    ----------
    drawing : Drawing
        A drawing for A4 [-].

    Returns
    -------
    str
        HTML [-].
    """
    return f'<div class="sheet">{drawing.svg(inside_a_page=True)}</div>'
