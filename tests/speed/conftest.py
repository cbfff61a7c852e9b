"""The table of times, printed when all are taken."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.speed.in_c import Compiled, compiler
from trimkit import flight


class Table:
    """Rows of what was timed, how long it took, and how that compares."""

    def __init__(self) -> None:
        self.rows: list[tuple[str, str, str]] = []

    def add(self, what: str, figure: str, against: str = "") -> None:
        self.rows.append((what, figure, against))

    def __str__(self) -> str:
        widths = [max(len(row[i]) for row in self.rows) for i in range(3)]
        return "\n".join(
            f"{what:<{widths[0]}}  {figure:>{widths[1]}}  {against}"
            for what, figure, against in self.rows
        )


@pytest.fixture(scope="session")
def table() -> Iterator[Table]:
    made = Table()
    yield made
    print(f"\n\n{made}")


@pytest.fixture(scope="session", autouse=True)
def engine() -> None:
    flight.prepare()


@pytest.fixture(scope="session")
def in_c(tmp_path_factory: pytest.TempPathFactory) -> Compiled:
    if compiler() is None:
        pytest.fail("there is no C compiler named cc")
    folder: Path = tmp_path_factory.mktemp("c")
    return Compiled(folder)
