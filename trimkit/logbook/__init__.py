"""A team's logbook of a season: a table that any spreadsheet keeps, a row for each flight.

`read` takes the separators and decimal marks of any country's spreadsheet. A row that cannot be
used is kept as it is and named with its line, its column, what was given and what is allowed;
`write` puts it back where it was. `steps` says in what following flights differ, `effects` what
each change did, with the scatter of the flights: without enough repeats it says that it cannot
tell yet. `to_log` makes the log of one evening, which `diagnosis` reads.

A setting is kept as it stands against the marks of the aeroplane: 0 is as marked, a shim of +0.4
is .4 mm more. An empty cell means as in the flight before of the same aeroplane.
"""

from trimkit.logbook.cells import CellError, DateOrder, value_of
from trimkit.logbook.changes import (
    Effect,
    Scatter,
    Step,
    differences,
    effects,
    scatter,
    set_ups,
    steps,
)
from trimkit.logbook.columns import COLUMNS, Column, columns_words
from trimkit.logbook.evening import to_log
from trimkit.logbook.reading import read, reads, table_rows, table_text
from trimkit.logbook.record import BadRow, CellProblem, FlightRow, Logbook, only
from trimkit.logbook.swaps import Swap, swaps
from trimkit.logbook.writing import dumps, write

__all__ = [
    "COLUMNS", "BadRow", "CellError", "CellProblem", "Column", "DateOrder", "Effect", "FlightRow",
    "Logbook", "Scatter", "Step", "Swap", "columns_words", "differences", "dumps", "effects",
    "only", "read", "reads", "scatter", "set_ups", "steps", "swaps", "table_rows", "table_text",
    "to_log", "value_of", "write",
]  # fmt: skip
