"""The equations of motion in C, compiled in a folder of their own and called through ctypes."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
from pathlib import Path

import numpy as np

from trimkit.flight import equations, march, model
from trimkit.flight.model import MODEL_TYPE, STATES, Model
from trimkit.units import Floats

SOURCE = Path(__file__).with_name("rates.c")
OPTIONS = ("-O3", "-march=native", "-std=gnu11", "-fPIC", "-shared")


def header() -> str:
    """Write the struct that is laid out as `MODEL_TYPE`, and the constants of the engine."""
    numbers = {
        name: value
        for module in (model, equations, march)
        for name, value in vars(module).items()
        if name.isupper() and not name.startswith("_") and type(value) in (int, float)
    }
    lines = [f"#define {name} {value!r}" for name, value in sorted(numbers.items())]
    lines.append("typedef struct {")
    fields = MODEL_TYPE.fields
    assert fields is not None
    for name, given in fields.items():
        sizes = "".join(f"[{size}]" for size in given[0].shape)
        lines.append(f"    double {name}{sizes}; /* at {given[1]} */")
    lines += ["} Model;", f'_Static_assert(sizeof(Model) == {MODEL_TYPE.itemsize}, "layout");']
    lines += [
        f'_Static_assert(__builtin_offsetof(Model, {name}) == {given[1]}, "layout");'
        for name, given in fields.items()
    ]
    return "\n".join(lines) + "\n"


def compiler() -> str | None:
    return shutil.which("cc")


class Compiled:
    """The library; models and states are numpy's, used in place."""

    def __init__(self, folder: Path, *options: str) -> None:
        (folder / "model.h").write_text(header(), encoding="utf-8")
        made = folder / "rates.so"
        command = [compiler() or "cc", *OPTIONS, *options, f"-I{folder}", str(SOURCE), "-o"]
        subprocess.run([*command, str(made), "-lm"], check=True, timeout=300)
        self.library = ctypes.CDLL(str(made))
        number, whole, place = ctypes.c_double, ctypes.c_int, ctypes.c_void_p
        self.library.rates.argtypes = [number, place, place, place]
        self.library.rates.restype = None
        self.library.march.argtypes = [
            number, place, place, number, whole, whole, place, place, whole,
        ]  # fmt: skip
        self.library.march.restype = whole

    def rates(self, time: float, state: Floats, m: Model) -> Floats:
        change, held = np.empty(STATES), np.array([m])
        self.library.rates(time, state.ctypes.data, held.ctypes.data, change.ctypes.data)
        return change

    def march(self, state: Floats, m: Model, step: float, steps: int, every: int) -> Floats:
        """Move the state on; return the history, whose last row is the end."""
        held, touches = np.array([m]), np.empty((march.MOST_TOUCHES, 2))
        history = np.empty((steps // every + 2, STATES))
        taken = self.library.march(
            0.0, state.ctypes.data, held.ctypes.data, step, steps, every,
            history.ctypes.data, touches.ctypes.data, len(touches),
        )  # fmt: skip
        assert taken == steps
        return history[: -(-steps // every) + 1]
