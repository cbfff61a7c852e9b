"""The right-hand side as the Python that it is written in, with nothing compiled."""

from __future__ import annotations

import importlib.util
from types import ModuleType, SimpleNamespace

import numpy as np
import pytest

from trimkit.flight import compiled, equations
from trimkit.flight.model import MODEL_TYPE, STATES, Model
from trimkit.units import Floats


def module() -> ModuleType:
    """Read the equations again, with a `compiled` that leaves functions as they are."""
    found = importlib.util.spec_from_file_location("plain_equations", equations.__file__)
    assert found is not None
    assert found.loader is not None
    made = importlib.util.module_from_spec(found)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compiled, "compiled", lambda function: function)
        found.loader.exec_module(made)
    assert not hasattr(made.rates, "py_func")
    return made


class Plain:
    """The right-hand side of one model."""

    def __init__(self, m: Model) -> None:
        self.equations = module()
        fields = {name: m[name] for name in MODEL_TYPE.names or ()}
        self.m = SimpleNamespace(
            **{name: got if got.ndim else float(got) for name, got in fields.items()}
        )

    def rates(self, time: float, state: Floats) -> Floats:
        change = np.empty(STATES)
        self.equations.rates(time, state, self.m, change)
        return change
