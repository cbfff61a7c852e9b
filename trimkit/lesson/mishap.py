"""What Python says when a cell stops, put into words that help.

`speak_plainly` makes a notebook answer a slip of the fingers with one sentence instead of a
page of red. The whole of it stays within reach: `%tb` shows it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import TracebackType
from typing import Any

Say = Callable[[str], None]


def speak_plainly(shell: Any, say: Say) -> None:
    """Make a notebook's shell say slips in plain words.

    Parameters
    ----------
    shell : IPython.core.interactiveshell.InteractiveShell or None
        The shell; None outside a notebook does nothing [-].
    say : callable
        Shows one text [-].
    """
    if shell is None:
        return

    def stopped(
        _: Any, kind: type[BaseException], error: BaseException, trace: TracebackType, **__: Any
    ) -> None:
        sys.last_type, sys.last_value, sys.last_traceback = kind, error, trace  # for %tb
        say(words(error))

    def unread(*_: Any, **__: Any) -> None:
        say(words(SyntaxError()))

    shell.set_custom_exc((Exception,), stopped)
    shell.showsyntaxerror = unread


def words(error: BaseException) -> str:
    """Say what stopped a cell, and what to do.

    Parameters
    ----------
    error : BaseException
        What Python raised [-].

    Returns
    -------
    str
        Two or three short sentences [-].

    Examples
    --------
    >>> words(ZeroDivisionError())[:31]
    'Something is divided by nothing'
    """
    return f"{_reason(error)} Mend the line, then press Shift + Enter."


def _reason(error: BaseException) -> str:
    if isinstance(error, NameError) and error.name:
        if len(error.name) == 1:
            return f'Python does not know {error.name}. A letter wants quotes, like this: "A".'
        return (
            f"Python does not know {error.name}. Run the cells above it first: choose Run, then "
            "Run All Above Selected Cell. Words want quotes."
        )
    if isinstance(error, SyntaxError):
        return (
            "Python cannot read this line. After the = sign it wants one number with a point, "
            'such as 3.5, or a letter in quotes, such as "A".'
        )
    if isinstance(error, ZeroDivisionError):
        return "Something is divided by nothing. Look at what stands under the line."
    return f"This cell stopped: {str(error)[:200] or type(error).__name__}."
