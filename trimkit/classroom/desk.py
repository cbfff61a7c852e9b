"""The desk at which one pupil's cells are run, one after another, as a notebook's kernel would.

It keeps what every cell shows and says it as plain data. A cell that raises, shows too much or
takes too long is stopped, and the next one runs: what was answered up to there counts.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

from IPython.core.displayhook import DisplayHook
from IPython.core.displaypub import DisplayPublisher
from IPython.core.interactiveshell import InteractiveShell
from traitlets.config import Config

from trimkit.classroom.guard import Limits

Output = dict[str, Any]
Say = Callable[[dict[str, Any]], None]
CUT = "... (cut)"
LONGEST_TEXT = 200_000  # characters that one cell may print; assumed
_ASK_AGAIN_S = 0.5


class Shown:
    """What one cell has shown so far, up to a limit.

    Parameters
    ----------
    most : int
        Largest size [bytes].
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self.start()

    def start(self) -> None:
        """Begin with another cell."""
        self.outputs: list[Output] = []
        self.size = self.printed = 0

    def add(self, output: Output) -> None:
        """Add one output, or say that it was too large.

        Parameters
        ----------
        output : dict
            An output in the notebook's format [-].
        """
        try:
            size = len(json.dumps(output))
        except (TypeError, ValueError, RecursionError):
            return
        if self.size + size > self.most:
            self.write("stderr", f"{CUT}\n")
            return
        self.size += size
        self.outputs.append(output)

    def write(self, name: str, text: str) -> None:
        """Add printed text.

        Parameters
        ----------
        name : str
            "stdout" or "stderr" [-].
        text : str
            The text [-].

        Raises
        ------
        KeyboardInterrupt
            When it is far too much, to stop the cell.
        """
        left = LONGEST_TEXT - self.printed
        self.printed += len(text)
        if left > 0:
            self._append(name, text if len(text) <= left else f"{text[:left]}\n{CUT}\n")
        elif self.printed > 10 * LONGEST_TEXT:
            raise KeyboardInterrupt("too much output")

    def _append(self, name: str, text: str) -> None:
        last = self.outputs[-1] if self.outputs else {}
        if last.get("name") == name:
            last["text"] += text
        else:
            self.outputs.append({"output_type": "stream", "name": name, "text": text})


class Paper:
    """What stands in for standard output and standard error.

    Parameters
    ----------
    shown : Shown
        Where it goes [-].
    name : str
        "stdout" or "stderr" [-].
    """

    encoding = "utf-8"
    errors = "replace"

    def __init__(self, shown: Shown, name: str) -> None:
        self.shown = shown
        self.name = name

    def write(self, text: str) -> int:
        """Write text.

        Parameters
        ----------
        text : str
            The text [-].

        Returns
        -------
        int
            Its length [-].
        """
        if not isinstance(text, str):
            raise TypeError(f"write() wants text, not {type(text).__name__}")
        self.shown.write(self.name, text)
        return len(text)

    def writelines(self, lines: Sequence[str]) -> None:
        """Write several texts.

        Parameters
        ----------
        lines : sequence of str
            The texts [-].
        """
        for line in lines:
            self.write(line)

    def flush(self) -> None:
        """Do nothing; everything is written at once."""

    def isatty(self) -> bool:
        """Say that it is no terminal.

        Returns
        -------
        bool
            Always False [-].
        """
        return False

    def fileno(self) -> int:
        """Refuse: there is no file behind it.

        Returns
        -------
        int
            Never [-].
        """
        raise OSError("there is no file behind it")


class _Publisher(DisplayPublisher):
    shown: Shown

    def publish(self, data: Any, metadata: Any = None, *_: Any, **__: Any) -> None:
        self.shown.add({"output_type": "display_data", "data": data, "metadata": metadata or {}})

    def clear_output(self, wait: bool = False) -> None:
        self.shown.outputs.clear()


class _Result(DisplayHook):
    shown: Shown

    def write_output_prompt(self) -> None:
        pass

    def write_format_data(self, format_dict: Any, md_dict: Any = None) -> None:
        self.shown.add(
            {
                "output_type": "execute_result",
                "data": format_dict,
                "metadata": md_dict or {},
                "execution_count": self.prompt_count,
            }
        )

    def finish_displayhook(self) -> None:
        self._is_active = False


class _Shell(InteractiveShell):
    shown: Shown

    def _showtraceback(self, etype: Any, evalue: Any, stb: Any) -> None:
        self.shown.add(
            {
                "output_type": "error",
                "ename": str(getattr(etype, "__name__", etype)),
                "evalue": str(evalue)[:LONGEST_TEXT],
                "traceback": [str(line)[:LONGEST_TEXT] for line in stb],
            }
        )

    def ask_exit(self) -> None:
        pass


class Desk:
    """A place for one notebook.

    Parameters
    ----------
    limits : Limits
        Time for a cell and size of its output [-].
    say : callable
        Takes a mapping with "cell", "outputs" and "late" after each cell [-].
    """

    def __init__(self, limits: Limits, say: Say) -> None:
        self.limits = limits
        self.say = say
        self.shown = Shown(limits.output_kb * 1024)
        self.late = False

    def work(self, cells: Sequence[str]) -> None:
        """Run cells.

        Parameters
        ----------
        cells : sequence of str
            Their sources, in order [-].
        """
        before = sys.stdout, sys.stderr, sys.stdin, sys.displayhook, signal.getsignal(_ALARM)
        shell = self._shell()
        sys.stdout, sys.stderr = Paper(self.shown, "stdout"), Paper(self.shown, "stderr")
        owner = os.getpid()
        try:
            for number, source in enumerate(cells):
                self._run(shell, source)
                if os.getpid() != owner:
                    os._exit(0)  # a process that the pupil's own code forked hands nothing in
                self.say({"cell": number, "outputs": self.shown.outputs, "late": self.late})
        finally:
            sys.stdout, sys.stderr, sys.stdin, sys.displayhook = before[:4]
            signal.signal(_ALARM, before[4])
            _Shell.clear_instance()

    def _shell(self) -> Any:
        settings = Config()
        settings.HistoryManager.enabled = False
        settings.InteractiveShell.colors = "nocolor"
        _Shell.clear_instance()
        shell: Any = _Shell.instance(
            config=settings, display_pub_class=_Publisher, displayhook_class=_Result
        )
        for part in (shell, shell.display_pub, shell.displayhook):
            part.shown = self.shown
        return shell

    def _run(self, shell: Any, source: str) -> None:
        self.shown.start()
        self.late = False
        signal.signal(_ALARM, self._stop)
        signal.setitimer(signal.ITIMER_REAL, self.limits.cell_s, _ASK_AGAIN_S)
        try:
            with suppress(BaseException):
                shell.run_cell(source, store_history=True)
        finally:
            with suppress(KeyboardInterrupt):
                signal.setitimer(signal.ITIMER_REAL, 0)

    def _stop(self, *_: Any) -> None:
        self.late = True
        raise KeyboardInterrupt("time is up")


_ALARM = getattr(signal, "SIGALRM", signal.SIGTERM)  # Windows has none, and no marking either
