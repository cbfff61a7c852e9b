"""The house keeps its floors, its docstrings keep their units, and `import trimkit` stays light."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

PACKAGE = Path(__file__).parents[1] / "trimkit"
BENCH = (
    "units", "air", "section", "wing", "motor", "propeller", "aeroplane", "incidence", "balance",
    "trim", "files",
)  # fmt: skip
FLOORS = (
    BENCH,
    ("flight", "faults", "observe", "log", "diagnosis"),
    ("logbook", "fit", "plan", "rules", "figures", "drawing", "letter"),
    ("lesson", "labs", "classroom", "jupyter", "cli", "__main__"),
)
OUTSIDE = ("places", "released")  # `places` alone knows folders; anyone but the bench may ask it
CLASS_ONLY = ("IPython", "ipywidgets", "nbgrader", "jupyterlab")


def rooms() -> Iterator[Path]:
    yield from PACKAGE.rglob("*.py")


def room_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE).parts
    return inside[0].removesuffix(".py")


def floor_of(room: str) -> int:
    return next(number for number, names in enumerate(FLOORS) if room in names)


def imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def own(names: Iterator[str]) -> set[str]:
    found = {name.split(".")[1] for name in names if name.startswith("trimkit.")}
    return found & {room for floor in FLOORS for room in floor}


@pytest.mark.parametrize("path", sorted(rooms()), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_run_down_and_to_the_left(path: Path) -> None:
    room = room_of(path)
    if room in OUTSIDE or path == PACKAGE / "__init__.py":
        return
    floor = floor_of(room)
    for other in own(imports(path)) - {room}:
        assert floor_of(other) <= floor, f"{room} imports {other}, which is a floor up"
        if floor == 0 and floor_of(other) == 0:
            assert BENCH.index(other) < BENCH.index(room), f"{room} imports {other} to its right"


@pytest.mark.parametrize("path", sorted(rooms()), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_the_class_floor_knows_notebooks(path: Path) -> None:
    room = room_of(path)
    if room in OUTSIDE or path == PACKAGE / "__init__.py" or floor_of(room) == 3:
        return
    tops = {name.split(".")[0] for name in imports(path)}
    assert not tops & set(CLASS_ONLY)
    if floor_of(room) == 0:
        assert "matplotlib" not in tops


def test_importing_trimkit_brings_nothing_heavy() -> None:
    heavy = ["scipy", "matplotlib", "IPython", "ipywidgets", "numba", "nbgrader", "tomlkit"]
    code = (
        "import sys, trimkit; "
        f"found = [name for name in {heavy!r} if name in sys.modules]; "
        "sys.exit(f'loaded {found}' if found else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def public_things(module: ModuleType) -> Iterator[tuple[str, object]]:
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", "") != module.__name__:
            continue
        if inspect.isfunction(thing):
            yield name, thing
        elif inspect.isclass(thing):
            yield name, thing
            for inner, member in vars(thing).items():
                if inner.startswith("_"):
                    continue
                if isinstance(member, property):
                    yield f"{name}.{inner}", member
                elif isinstance(member, classmethod | staticmethod):
                    yield f"{name}.{inner}", member.__func__
                elif inspect.isfunction(member):
                    yield f"{name}.{inner}", member


DOCUMENTED = [
    pytest.param(thing, id=f"{room}.{name}")
    for room in BENCH
    for name, thing in public_things(importlib.import_module(f"trimkit.{room}"))
]


def section(text: str, title: str) -> str:
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", text, re.M | re.S)
    return found[1] if found else ""


def entries(text: str) -> Iterator[tuple[str, str]]:
    """Split a numpydoc section into (names, body)."""
    for head, body in re.findall(r"^(\S.*)\n((?:[ \t]+.*\n?|\n)+)", text, re.M):
        yield head.partition(" : ")[0], body


@pytest.mark.parametrize("thing", DOCUMENTED)
def test_a_docstring_gives_units(thing: object) -> None:
    text = inspect.cleandoc(getattr(thing, "__doc__", None) or "") + "\n"
    assert text.strip(), "has no docstring"
    if isinstance(thing, property):
        assert re.search(r"\[[^\]]+\]", text)
        return
    described: set[str] = set()
    for names, body in entries(section(text, "Parameters")):
        assert re.search(r"\[[^\]]+\]\.?\s*$", body.strip()), f"{names} has no unit in brackets"
        described |= {name.strip(" *") for name in names.split(",")}
    if inspect.isfunction(thing):
        wanted = {name.strip("*") for name in inspect.signature(thing).parameters}
        wanted -= {"self", "cls"}
        assert wanted <= described, f"not described: {wanted - described}"
        if inspect.signature(thing).return_annotation not in ("None", None):
            returns = section(text, "Returns") or section(text, "Yields")
            assert re.search(r"\[[^\]]+\]", returns), "the return has no unit in brackets"
