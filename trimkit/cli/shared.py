"""What all commands share: exit statuses, the parser, JSON."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING, NoReturn, TypeAlias

DONE, NO, BAD_INPUT = 0, 1, 2


class Parser(argparse.ArgumentParser):
    """A parser that says the next step, and ends with the status for bad input."""

    def error(self, message: str) -> NoReturn:
        """End with a message.

        Parameters
        ----------
        message : str
            What is wrong with what was typed [-].
        """
        self.exit(BAD_INPUT, f"trimkit: {message}\nNext: {self.prog} --help\n")


if TYPE_CHECKING:
    Commands: TypeAlias = argparse._SubParsersAction[Parser]
else:
    Commands = argparse._SubParsersAction  # it takes no parameter when it runs


def add_json(command: argparse.ArgumentParser) -> None:
    """Give a command the option --json.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command, changed [-].
    """
    command.add_argument("--json", action="store_true", help="print the result as JSON")


def print_json(content: object) -> None:
    """Print for another program to read.

    Parameters
    ----------
    content : object
        Plain data [-].
    """
    print(json.dumps(content, indent=1, ensure_ascii=False))
