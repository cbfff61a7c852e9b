"""The command `trimkit`.

For pupils: open, hand-in, fly, diagnose. For a team: measure, inspect, logbook, fit, plan,
contest, draw, letter. For coaches: collect, mark, words, override, report, forget, rehearse,
pack. For maintainers: release, library. For everybody: selfcheck.

Exit status: 0 done, 1 the answer is no, 2 something that was typed cannot be used.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from trimkit.cli import (
    contest,
    diagnose,
    draw,
    fit,
    flights,
    handin,
    inspect,
    keeping,
    lessons,
    letter,
    library,
    logbook,
    mark,
    measure,
    plan,
    report,
    selfcheck,
    words,
)
from trimkit.cli.shared import BAD_INPUT, DONE, NO, Parser

__all__ = ["BAD_INPUT", "DONE", "NO", "main", "parser"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    Parameters
    ----------
    arguments : sequence of str or None
        What was typed after `trimkit`, None for the command line's own [-].

    Returns
    -------
    int
        Exit status, see above [-].
    """
    try:
        given = parser().parse_args(arguments)
        return int(given.run(given))
    except BrokenPipeError:  # whoever reads our words has read enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NO
    except (ValueError, OSError) as error:
        print(f"trimkit: {_plain(error)}", file=sys.stderr)
        return BAD_INPUT
    except RuntimeError as error:  # JupyterLab or nbgrader failed, in its own words
        print(f"trimkit: {error}", file=sys.stderr)
        return NO


def parser() -> argparse.ArgumentParser:
    """Describe everything that can be typed.

    Returns
    -------
    argparse.ArgumentParser
        The description [-].
    """
    top = Parser(
        prog="trimkit",
        description="A course on trimming small indoor rubber-powered aeroplanes.",
        epilog="Exit status: 0 done, 1 the answer is no, 2 something typed cannot be used.",
    )
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    lessons.describe(commands)
    flights.describe(commands)
    diagnose.describe(commands)
    library.describe(commands)
    handin.describe(commands)
    keeping.describe(commands)
    report.describe(commands)
    selfcheck.describe(commands)
    words.describe(commands)
    measure.describe(commands)
    inspect.describe(commands)
    logbook.describe(commands)
    fit.describe(commands)
    plan.describe(commands)
    mark.describe(commands)
    contest.describe(commands)
    draw.describe(commands)
    letter.describe(commands)
    return top


def _plain(error: Exception) -> str:
    if isinstance(error, OSError) and error.strerror and error.filename:
        return f"{error.filename}: {error.strerror}. Check the name, and that you may write there."
    return str(error)
