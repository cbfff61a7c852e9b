"""Hall cards: one side as the instructor wrote it makes a page with two, to cut apart.

A card's source is the title for the browser, then what stands on one side in HTML: a first-level
heading and what follows. Names of parts of a drawing end in `SIDE`, so that they differ on both.
"""

from __future__ import annotations

from pathlib import Path

from trimkit import files

FILE = "card.html"
SIDE = "@"  # stands for 1 on the upper side and for 2 on the lower
_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
{title}
<style>
  @page {{ margin: 8mm; }}
  * {{ box-sizing: border-box; }}
  body {{ margin: 0; font: 10pt/1.25 sans-serif; color: #000; background: #fff; }}
  .card {{ height: 126mm; padding: 1mm; overflow: hidden; break-inside: avoid; }}
  .card + .card {{ border-top: 1px dashed #000; padding-top: 3mm; }}
  h1, h2 {{ font-size: 14pt; margin: 0 0 1mm; }}
  h1 small, h2 small {{ font-size: 9pt; font-weight: normal; }}
  p {{ margin: 1mm 0; }}
  table {{ border-collapse: collapse; width: 100%; margin: 1.5mm 0; }}
  th, td {{ border: 1px solid #000; padding: .8mm 1.5mm; text-align: left; }}
  th, td {{ vertical-align: middle; }}
  th {{ font-size: 8.5pt; }}
  td.box {{ min-width: 14mm; }}
  tr.fill td {{ height: 9.6mm; }}
  svg {{ display: block; fill: none; stroke: #000; stroke-width: 2; }}
  svg .ink {{ fill: #000; stroke: none; }}
  svg text {{ fill: #000; stroke: none; font: 11px sans-serif; }}
  .row {{ display: flex; gap: 5mm; align-items: center; }}
</style>
</head>
<body>
<section class="card">
{upper}
</section>
<section class="card">
{lower}
</section>
</body>
</html>
"""


def page(source: str) -> str:
    """Make the page of a card.

    Parameters
    ----------
    source : str
        Its source [-].

    Returns
    -------
    str
        HTML with the side twice; on the lower one the heading is of the second level [-].
    """
    title, _, side = source.strip("\n").partition("\n")
    lower = side.replace("<h1>", "<h2>").replace("</h1>", "</h2>")
    return _PAGE.format(title=title, upper=side.replace(SIDE, "1"), lower=lower.replace(SIDE, "2"))


def lay_out(source: Path, released: Path) -> None:
    """Put each lesson's card beside the released lesson.

    Parameters
    ----------
    source, released : pathlib.Path
        Folders of the lessons as written and as released; a lesson that is not released gets
        none [-].
    """
    for path in sorted(source.glob(f"*/{FILE}")):
        folder = released / path.parent.name
        if folder.is_dir():
            files.write_whole(folder / FILE, page(path.read_text("utf-8")).encode("utf-8"))
