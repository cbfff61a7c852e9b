"""The house keeps its floors, its docstrings keep their units, and `import trimkit` stays light."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import inspect
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

PROJECT = Path(__file__).parents[1]
PACKAGE = PROJECT / "trimkit"
BENCH = (
    "units", "air", "section", "wing", "motor", "propeller", "aeroplane", "incidence", "balance",
    "trim", "files",
)  # fmt: skip
FLOORS = (
    BENCH,
    ("flight", "settings", "faults", "observe", "fleet", "log", "diagnosis"),
    (
        "inspection",
        "measurement",
        "logbook",
        "rules",
        "fit",
        "plan",
        "figures",
        "drawing",
        "letter",
    ),
    ("lesson", "labs", "classroom", "jupyter", "cli", "__main__"),
)
OUTSIDE = ("places", "released")  # `places` alone knows folders; anyone but the bench may ask it
CLASS_ONLY = ("IPython", "ipywidgets", "nbgrader", "jupyterlab")
BENCH_TOOLS = {"numpy"}
BENCH_LAZY_TOOLS = {"scipy", "tomlkit"}  # only inside functions
UNWANTED = re.compile(  # in brackets, so that this line is not its own first find
    r"\b(?:TO[D]O|FI[X]ME|X[X]X)\b|(?i:coming [s]oon|lorem [i]psum|not implemented [y]et)"
    r"|(?<![\w.~}-])/(?:home|Users|root|work|tmp|mnt)/|\b[A-Z]:\\+Users\b"
)


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


def test_the_wing_lies_between_section_and_motor() -> None:
    assert BENCH[BENCH.index("section") :][:3] == ("section", "wing", "motor")
    assert {room_of(path) for path in rooms()} - {"__init__"} >= set(BENCH)


@pytest.mark.parametrize("path", sorted(rooms()), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_run_down_and_to_the_left(path: Path) -> None:
    room = room_of(path)
    if room in OUTSIDE or path == PACKAGE / "__init__.py":
        return
    floor = floor_of(room)
    names = FLOORS[floor]
    for other in own(imports(path)) - {room}:
        assert floor_of(other) <= floor, f"{room} imports {other}, which is a floor up"
        if floor_of(other) == floor:
            assert names.index(other) < names.index(room), f"{room} imports {other} to its right"


@pytest.mark.parametrize("path", sorted(rooms()), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_every_import_of_our_own_gives_its_full_name(path: Path) -> None:
    nodes = ast.walk(ast.parse(path.read_text("utf-8")))
    assert not [node.lineno for node in nodes if isinstance(node, ast.ImportFrom) and node.level]


@pytest.mark.parametrize("room", BENCH)
def test_the_bench_needs_only_its_tools(room: str) -> None:
    path = PACKAGE / f"{room}.py"
    outside = {name.split(".")[0] for name in imports(path)} - sys.stdlib_module_names
    assert outside <= BENCH_TOOLS | BENCH_LAZY_TOOLS | {"trimkit"}
    assert not {name for name in imports(path) if name.startswith("trimkit.places")}
    top = ast.parse(path.read_text("utf-8")).body
    at_once = {
        name.split(".")[0]
        for node in top
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in (
            [a.name for a in node.names] if isinstance(node, ast.Import) else [node.module or ""]
        )
    }
    assert not at_once & BENCH_LAZY_TOOLS


@pytest.mark.parametrize("path", sorted(rooms()), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_only_the_class_floor_knows_notebooks(path: Path) -> None:
    room = room_of(path)
    if room in OUTSIDE or path == PACKAGE / "__init__.py" or floor_of(room) == 3:
        return
    tops = {name.split(".")[0] for name in imports(path)}
    assert not tops & set(CLASS_ONLY)
    if floor_of(room) == 0:
        assert "matplotlib" not in tops


def test_the_names_at_the_door_are_fetched_and_others_refused() -> None:
    trimkit = importlib.import_module("trimkit")
    for name in trimkit.__all__:
        assert getattr(trimkit, name).__name__ == name
    assert re.fullmatch(r"\d+\.\d+\.\d+.*", trimkit.__version__)
    with pytest.raises(AttributeError, match="load_aeroplane"):
        _ = trimkit.load_airplane


def test_importing_trimkit_brings_nothing_heavy() -> None:
    heavy = ["scipy", "matplotlib", "IPython", "ipywidgets", "numba", "nbgrader", "tomlkit"]
    code = (
        "import sys; before = set(sys.modules); import trimkit; "
        f"found = [name for name in {heavy!r} if name in sys.modules]; "
        "added = {name.split('.')[0] for name in set(sys.modules) - before}; "
        "found += sorted(added - set(sys.stdlib_module_names) - {'trimkit', 'numpy'}); "
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


def has_unit(text: str) -> bool:
    return re.search(r"\[[^\]]+\]\.?\s*$", text.strip()) is not None


def wanted_names(thing: object) -> set[str]:
    """Parameters of a function, fields of a record."""
    if dataclasses.is_dataclass(thing):
        return {field.name for field in dataclasses.fields(thing) if not field.name.startswith("_")}
    if inspect.isfunction(thing):
        return {name.strip("*") for name in inspect.signature(thing).parameters} - {"self", "cls"}
    return set()


def gaps(thing: object) -> list[str]:
    """List what a docstring leaves out."""
    text = inspect.cleandoc(getattr(thing, "__doc__", None) or "") + "\n"
    if not text.strip():
        return ["no docstring"]
    if isinstance(thing, property):
        return [] if re.search(r"\[[^\]]+\]", text) else ["no unit"]
    described = dict(entries(section(text, "Parameters")))
    found = [f"{names} has no unit" for names, body in described.items() if not has_unit(body)]
    told = {name.strip(" *") for names in described for name in names.split(",")}
    found += [f"{name} is not described" for name in sorted(wanted_names(thing) - told)]
    if inspect.isfunction(thing) and inspect.signature(thing).return_annotation not in (
        "None",
        None,
    ):
        returns = list(entries(section(text, "Returns") or section(text, "Yields")))
        if not returns or not all(has_unit(body) for _, body in returns):
            found.append("the return has no unit")
    return found


@pytest.mark.parametrize("thing", DOCUMENTED)
def test_a_docstring_gives_units(thing: object) -> None:
    assert gaps(thing) == []


def test_a_docstring_without_units_is_noticed() -> None:
    def lift(low: float, high: float, area_mm2: float) -> float:
        """Lift.

        Parameters
        ----------
        low, high : float
            Range of angles.

        Returns
        -------
        float
            Lift.
        """
        return low + high + area_mm2

    told = gaps(lift)
    assert told == [
        "low, high has no unit", "area_mm2 is not described", "the return has no unit",
    ]  # fmt: skip


def tracked() -> Iterator[Path]:
    """Every file under version control, or every file of a copy that has none."""
    command = ["git", "-C", str(PROJECT), "ls-files", "-z"]
    try:
        listed = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError):
        folders = ("trimkit", "tests", "course", "instructor", "datasets_demo")
        yield from PROJECT.glob("*.*")
        yield from (path for folder in folders for path in (PROJECT / folder).rglob("*"))
        return
    yield from (PROJECT / name for name in listed.split("\0") if name)


def unwanted(text: str) -> list[str]:
    lines = enumerate(text.split("\n"), start=1)
    return [f"{number}: {line.strip()[:90]}" for number, line in lines if UNWANTED.search(line)]


def test_nothing_unfinished_and_no_path_of_a_machine() -> None:
    told: list[str] = []
    count = 0
    for path in tracked():
        if not path.is_file() or "__pycache__" in path.parts:
            continue
        raw = path.read_bytes()
        if b"\0" in raw:  # a picture
            continue
        count += 1
        told += [f"{path.relative_to(PROJECT)}:{line}" for line in unwanted(raw.decode("utf-8"))]
    assert told == []
    assert count > 50


@pytest.mark.parametrize(
    "line",
    [
        "x = 1  # TO" + "DO: later", "FIX" + "ME", "more is Coming " + "soon", "'/ho" + "me/ann/x'",
        "open('/tm" + "p/x')", "C:" + chr(92) + "Users", "cd /wo" + "rk/main",
    ],
)  # fmt: skip
def test_an_unwanted_line_is_noticed(line: str) -> None:
    assert unwanted(f"a\n{line}\nb") == [f"2: {line}"]
    assert unwanted("tmp_path / 'work' and TODOS and course/home/x and ~/home/") == []
