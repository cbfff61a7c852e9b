"""The command for a drawing: draw."""

from __future__ import annotations

import argparse
from pathlib import Path

from trimkit.cli.shared import DONE, Commands, add_aeroplane, add_json, load, print_json


def describe(commands: Commands) -> None:
    """Describe what can be typed after draw.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "draw",
        help="draw an aeroplane in three views, to scale, to print",
        description="Draws an aeroplane from above, from its side and from the front, to scale, "
        "with its parts named and its measures, as SVG or PDF.",
    )
    add_aeroplane(command)
    command.add_argument(
        "--output", type=Path, required=True, metavar="FILE", help="ends in .svg or .pdf"
    )
    command.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="the paper (a4 if left out)"
    )
    add_json(command)
    command.set_defaults(run=_draw)


def _draw(given: argparse.Namespace) -> int:
    from trimkit import drawing

    drawn = drawing.draw(load(given.aeroplane), given.paper)
    drawing.save(drawn, given.output)
    if given.json:
        print_json({"output": str(given.output), "scale": drawn.scale, "text": drawn.text})
        return DONE
    print(drawn.text)
    print(
        f"Drawn at 1:{drawn.scale:g}: {given.output}. Print it at 100 %, not fitted to the page; "
        "then the bar at the bottom measures 50 mm."
    )
    return DONE
