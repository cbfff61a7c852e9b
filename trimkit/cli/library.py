"""The command for the library of flights: library build."""

from __future__ import annotations

import argparse
import os
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from trimkit.cli.shared import DONE, Commands


def describe(commands: Commands) -> None:
    """Describe what can be typed after library.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "library",
        help="build the library of flights that the diagnosis reads",
        description="Fly thousands of aeroplanes with faults, and store what their flights show.",
    )
    kinds = command.add_subparsers(
        dest="kind", required=True, metavar="WHAT", help="what to do with it"
    )
    build = kinds.add_parser(
        "build",
        help="fly and fit it; a build that was stopped goes on",
        description="Fly and fit the library. It keeps both cores of a small computer busy for "
        "an hour or so. A build that was stopped goes on where it was; its working file lies "
        "beside the output until all is done.",
    )
    build.add_argument(
        "--flights", type=int, metavar="N", help="how many to fly (13824 if left out)"
    )
    build.add_argument(
        "--output", type=Path, metavar="FILE", help="file to write (that of the package)"
    )
    build.add_argument("--seed", type=int, default=1, metavar="S", help="of the draws (1)")
    build.set_defaults(run=_build)


def _build(given: argparse.Namespace) -> int:
    from trimkit.diagnosis import build, library

    output = given.output or library.STORED
    work = output.with_suffix(".work.jsonl")
    flights = build.FLIGHTS if given.flights is None else given.flights
    bars = _Bars()
    with ProcessPoolExecutor(os.cpu_count()) as processes:
        built = build.build(flights, given.seed, processes, bars, work)
    bars.close()
    built.save(output)
    work.unlink()
    share = built.response.explained.mean()
    print(f"{output}: {built.flights} flights, {output.stat().st_size / 1024:.0f} KB.")
    print(f"Of what the features do in flights not fitted to, {share:.0%} is foretold.")
    print(built.trial.words())
    return DONE


class _Bars:
    """One progress bar for each thing that is counted."""

    def __init__(self) -> None:
        self.bars: dict[str, Any] = {}

    def __call__(self, what: str, done: int, total: int) -> None:
        from tqdm import tqdm

        bar = self.bars.setdefault(what, None) or tqdm(total=total, desc=what, disable=None)
        self.bars[what] = bar
        bar.update(done - bar.n)

    def close(self) -> None:
        for bar in self.bars.values():
            bar.close()
