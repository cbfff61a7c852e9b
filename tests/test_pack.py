"""What pupils are given: complete, without keys, the same bytes each time."""

from __future__ import annotations

import ast
import os
import zipfile
from pathlib import Path

import pytest

from trimkit import places
from trimkit.classroom import pack


@pytest.fixture
def packed(tmp_path: Path) -> pack.Pack:
    return pack.write(tmp_path / "pupils.zip", "swift")


def inside(packed: pack.Pack) -> dict[str, bytes]:
    with zipfile.ZipFile(packed.path) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def secrets() -> set[str]:
    """Read every longer text of the marking files: keys' reasons and mistakes' words."""
    texts = set()
    for path in (places.instructor_folder() / "marking").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                texts.add(node.value)
    return {text for text in texts if len(text) > 30}


def test_the_pack_holds_what_a_pupil_needs(packed: pack.Pack) -> None:
    names = {name.removeprefix("trimkit-course/") for name in inside(packed)}
    assert {"START-HERE.txt", "pyproject.toml", "README.md", "trimkit/places.py"} <= names
    assert "trimkit/jupyter/server.py" in names
    course = places.course_folder()
    lessons = {f"course/{path.relative_to(course).as_posix()}" for path in course.glob("*/*.ipynb")}
    assert lessons <= names


def test_nothing_of_the_instructors_goes_in(packed: pack.Pack) -> None:
    content = inside(packed)
    assert not [name for name in content if "instructor" in name.split("/")]
    assert not [name for name in content if "__pycache__" in name or "/." in name]
    everything = b"\n".join(content.values()).decode("utf-8", "replace")
    found = secrets()
    assert len(found) > 20
    assert not [text for text in found if text in everything]
    assert "### BEGIN " + "SOLUTION" not in everything
    assert "def " + "keys(" not in everything


def test_the_same_content_gives_the_same_bytes(
    packed: pack.Pack, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    again = pack.write(Path("again.zip"), "swift")
    assert again.sha256 == packed.sha256
    assert again.path.read_bytes() == packed.path.read_bytes()
    other = pack.write(Path("other.zip"), "hawk")
    assert other.sha256 != packed.sha256


def test_the_start_text_has_the_class_word_and_both_systems() -> None:
    assert pack.start_here("swift").count('trimkit open --pupil 7 --class-word "swift"') == 2
    assert "--class-word" not in pack.start_here()
    assert ".tools\\Scripts\\trimkit open" in pack.start_here()
    assert "risk assessment" in pack.start_here()


def test_a_pack_over_an_old_one_replaces_it_whole(packed: pack.Pack) -> None:
    packed.path.write_bytes(b"old")
    again = pack.write(packed.path, "swift")
    assert again.sha256 == packed.sha256
    assert os.listdir(packed.path.parent) == ["pupils.zip"]


def test_a_folder_is_no_place_for_a_zip(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="name of a file"):
        pack.write(tmp_path)


def test_an_installed_package_packs_the_same(
    packed: pack.Pack, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A coach without the project's folder makes the same zip."""
    root = places.checkout()
    assert root is not None
    unzipped = tmp_path / "unzipped"
    with zipfile.ZipFile(packed.path) as opened:
        opened.extractall(unzipped)
    package = unzipped / "trimkit-course" / "trimkit"
    released = package / "released"
    released.mkdir()
    for name in ("course", "datasets_demo", "pyproject.toml"):
        if (package.parent / name).exists():
            (package.parent / name).rename(released / name)
        else:
            (released / name).mkdir()
    monkeypatch.setattr(places, "_PACKAGE", package)
    monkeypatch.setattr(places, "__file__", str(package / "places.py"))
    assert places.checkout() is None
    assert pack.write(tmp_path / "again.zip", "swift").sha256 == packed.sha256
