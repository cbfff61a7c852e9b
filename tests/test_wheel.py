"""The wheel, built and installed elsewhere: complete, usable, without keys."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

from trimkit import places

pytestmark = pytest.mark.wheel

BIN = "Scripts" if sys.platform == "win32" else "bin"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dist")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=places.checkout(),
        check=True,
        capture_output=True,
    )
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel in its own environment, which borrows everything else from this one."""
    home = tmp_path_factory.mktemp("elsewhere")
    python = home / BIN / "python"
    subprocess.run([sys.executable, "-m", "venv", str(home)], check=True)
    install = [python, "-m", "pip", "install", "-q", "--no-deps", "--no-index", wheel]
    subprocess.run([str(word) for word in install], check=True)
    (site,) = home.rglob("site-packages")
    (site / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return home


def run(installed: Path, *words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    share = Path(sys.prefix) / "share" / "jupyter"
    borrowed = {
        "JUPYTER_PATH": str(share),
        "JUPYTERLAB_DIR": str(share / "lab"),
        "JUPYTER_CONFIG_PATH": str(Path(sys.prefix) / "etc" / "jupyter"),
    }
    path = os.pathsep.join([str(installed / BIN), sysconfig.get_path("scripts"), os.defpath])
    own = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    return subprocess.run(
        [str(installed / BIN / words[0]), *words[1:]],
        cwd=cwd,
        env=own | borrowed | {"PATH": path},
        capture_output=True,
        text=True,
    )


def contents(wheel: Path) -> dict[str, str]:
    with zipfile.ZipFile(wheel) as opened:
        return {name: opened.read(name).decode("utf-8", "replace") for name in opened.namelist()}


def test_the_wheel_carries_the_course_and_no_instructor(wheel: Path) -> None:
    names = contents(wheel)
    course = places.course_folder()
    lessons = {path.relative_to(course).as_posix() for path in course.glob("*/*.ipynb")}
    assert {f"trimkit/released/course/{name}" for name in lessons} <= set(names)
    assert lessons
    assert [n for n in names if "instructor" in n.split("/") or "marking/0" in n] == []


def test_the_wheel_holds_no_key(wheel: Path) -> None:
    everything = "\n".join(contents(wheel).values())
    texts = {
        node.value
        for path in (places.instructor_folder() / "marking").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and len(node.value) > 30
    }
    assert len(texts) > 20
    assert [text for text in texts if text in everything] == []
    assert "### BEGIN SOLUTION" not in everything
    assert "def keys(" not in everything


def test_the_installed_course_opens(installed: Path, tmp_path: Path) -> None:
    done = run(installed, "trimkit", "open", "--check", "--work", str(tmp_path / "work"),
               "--pupil", "7", cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert "Check done" in done.stdout


def test_the_installed_package_makes_the_same_pack(installed: Path, tmp_path: Path) -> None:
    from trimkit.classroom import pack

    done = run(installed, "trimkit", "pack", "--students", "--output", "p.zip", "--json",
               cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    here = pack.write(tmp_path / "here.zip")
    assert json.loads(done.stdout)["sha256"] == here.sha256


def test_a_lesson_handed_in_from_the_installed_course_holds_its_answers(
    installed: Path, tmp_path: Path
) -> None:
    work = tmp_path / "work"
    run(installed, "trimkit", "open", "--check", "--work", str(work), "--pupil", "7", cwd=tmp_path)
    lesson = work / "02-angles" / "angles.ipynb"
    done = run(installed, "python", "-m", "nbconvert", "--to", "notebook", "--execute", "--inplace",
               str(lesson), cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    outputs = [
        output["data"]["application/vnd.trimkit.answer+json"]
        for cell in json.loads(lesson.read_text("utf-8"))["cells"]
        for output in cell.get("outputs", [])
        if "application/vnd.trimkit.answer+json" in output.get("data", {})
    ]
    assert sorted(answer["id"] for answer in outputs) == [f"02.{n}" for n in range(1, 8)]
    assert {answer["pupil"] for answer in outputs} == {7}
    assert (work / "logs" / "attempts.jsonl").is_file()


def test_the_installed_package_marks_a_class(installed: Path, tmp_path: Path) -> None:
    instructor = str(places.instructor_folder())
    done = run(installed, "trimkit", "rehearse", "--pupils", "2", "--output", "r", "--json",
               "--instructor", instructor, cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stderr == ""
    assert json.loads(done.stdout)["good"] is True


def test_an_installed_package_is_told_where_the_instructors_folder_is(
    installed: Path, tmp_path: Path
) -> None:
    done = run(installed, "trimkit", "rehearse", "--output", "r", cwd=tmp_path)
    assert done.returncode == 2
    assert "--instructor PATH" in done.stderr


def test_the_panel_is_installed_with_it_and_leaves_with_it(wheel: Path, tmp_path: Path) -> None:
    python = tmp_path / "home" / BIN / "python"
    subprocess.run([sys.executable, "-m", "venv", str(tmp_path / "home")], check=True)
    before = {path for path in (tmp_path / "home").rglob("*") if path.is_file()}
    pip = [str(python), "-m", "pip"]
    subprocess.run([*pip, "install", "-q", "--no-deps", "--no-index", str(wheel)], check=True)
    share = tmp_path / "home" / "share" / "jupyter" / "labextensions" / "trimkit"
    static = places.package_folder() / "jupyter" / "static"
    assert {path.name for path in share.iterdir()} == {path.name for path in static.iterdir()}
    assert [path.name for path in (tmp_path / "home").glob("etc/jupyter/*/trimkit.json")]
    subprocess.run([*pip, "uninstall", "-q", "-y", "trimkit"], check=True)
    after = {path for path in (tmp_path / "home").rglob("*") if path.is_file()}
    assert {path for path in after - before if "__pycache__" not in path.parts} == set()
    assert not share.exists()
