"""The doors of the server: who may come in, what they tell, and what they refuse."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from nbgrader.utils import notebook_hash

from trimkit import places
from trimkit.jupyter import exchange, extension, standing
from trimkit.lesson import work
from trimkit.lesson.case import log_name


@pytest.fixture(scope="module")
def pupil(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return work.prepare(tmp_path_factory.mktemp("season") / "work", 7).folder


@pytest.fixture(scope="module")
def ask(pupil: Path, serving: Any) -> Iterator[Any]:
    with serving(pupil) as (asked, _):
        yield asked


@pytest.fixture(scope="module")
def coach(class_folder: Path, serving: Any) -> Iterator[Any]:
    with serving(class_folder) as (asked, _):
        yield asked


def everything(folder: Path) -> dict[str, str]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def wait(ask: Any, *states: str) -> dict[str, Any]:
    for _ in range(600):
        run: dict[str, Any] = ask("trimkit/runs")[1]["run"]
        if run["state"] in states:
            return run
        time.sleep(0.1)
    raise AssertionError(f"still {run}")


@pytest.mark.parametrize(
    ("door", "method"),
    [
        ("course", "GET"),
        ("case", "POST"),
        ("hand-in", "POST"),
        ("runs", "GET"),
        ("runs", "POST"),
        ("runs/1", "DELETE"),
    ],
)
def test_nobody_comes_in_without_the_token(ask: Any, door: str, method: str) -> None:
    status, _ = ask(f"trimkit/{door}", method, b"{}" if method == "POST" else None, token="guess")
    assert status == 403


def test_the_panel_is_told_where_the_pupil_stands(ask: Any) -> None:
    status, told = ask("trimkit/course")
    assert status == 200
    assert (told["role"], told["pupil"], told["writable"], told["prefix"]) == ("pupil", 7, True, "")
    assert told["lessons"][0]["notebook"] == "00-start-here/start-here.ipynb"
    assert told["glossary"] == "glossary.md"
    assert not any(word in json.dumps(told) for word in ("instructor", "class_word"))


def test_a_case_comes_back_in_a_notebook_that_is_never_written_over(ask: Any, pupil: Path) -> None:
    name = log_name("week 3", "Hallfinch 46", "", 1)
    (pupil / "logs").mkdir(exist_ok=True)
    (pupil / "logs" / f"{name}.jsonl").write_text("{}\n", encoding="utf-8")
    status, told = ask("trimkit/case", "POST", {"name": name})
    assert (status, told) == (200, {"path": f"cases/{name}.ipynb"})
    notebook = pupil / told["path"]
    code = json.loads(notebook.read_text("utf-8"))["cells"][1]["source"]
    assert 'lesson.case("week 3", "hallfinch-46", faults=1)' in code
    notebook.write_text("mine", encoding="utf-8")
    assert ask("trimkit/case", "POST", {"name": name})[0] == 200
    assert notebook.read_text("utf-8") == "mine"


@pytest.mark.parametrize(
    "name", ["../../elsewhere", "../pupil", "../../../../etc/passwd", "/etc/passwd", "link/log"]
)
def test_a_name_that_leaves_the_folder_gets_403_and_touches_nothing(
    ask: Any, pupil: Path, name: str
) -> None:
    outside = pupil.parent / "elsewhere"
    outside.mkdir(exist_ok=True)
    (outside / "log.jsonl").write_text("{}\n", encoding="utf-8")
    (pupil / "logs").mkdir(exist_ok=True)
    link = pupil / "logs" / "link"
    if not link.is_symlink():
        link.symlink_to(outside, target_is_directory=True)
    before = everything(pupil.parent)
    status, told = ask("trimkit/case", "POST", {"name": name})
    assert status == 403
    assert "leads out of the course folder" in told["message"]
    assert everything(pupil.parent) == before


def test_a_lesson_is_looked_at_and_then_made_into_one_file(ask: Any, pupil: Path) -> None:
    order = {"path": "02-angles/angles.ipynb"}
    status, told = ask("trimkit/hand-in", "POST", order)
    assert (status, told["file"]) == (200, "")
    assert told["missing"][0].startswith("7 of 7 tasks")
    assert not (pupil / "hand-in").exists()
    status, told = ask("trimkit/hand-in", "POST", order | {"make": True})
    assert (status, told["file"]) == (200, "hand-in/pupil-07_02-angles.zip")
    assert (pupil / told["file"]).is_file()


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("../elsewhere/02-angles/angles.ipynb", 403),
        ("/etc/passwd", 403),
        ("02-angles/../../elsewhere/x.ipynb", 403),
        ("glossary.md", 400),
        ("99-none/none.ipynb", 400),
    ],
)
def test_only_a_lesson_of_this_folder_is_handed_in(
    ask: Any, pupil: Path, path: str, status: int
) -> None:
    before = everything(pupil.parent)
    assert ask("trimkit/hand-in", "POST", {"path": path, "make": True})[0] == status
    assert everything(pupil.parent) == before


def test_a_visitor_is_asked_for_a_number_first(ask: Any, pupil: Path) -> None:
    kept = (pupil / places.PUPIL_FILE).read_bytes()
    (pupil / places.PUPIL_FILE).write_text("number = 0\n", encoding="utf-8")
    status, told = ask("trimkit/hand-in", "POST", {"path": "02-angles/angles.ipynb"})
    (pupil / places.PUPIL_FILE).write_bytes(kept)
    assert status == 400
    assert "trimkit open --pupil 7" in told["message"]


def test_a_hand_in_folder_that_is_a_link_out_is_refused(ask: Any, pupil: Path) -> None:
    outside = pupil.parent / "outside"
    outside.mkdir()
    kept = pupil / "hand-in"
    if kept.exists():
        shutil.rmtree(kept)
    kept.symlink_to(outside, target_is_directory=True)
    order = {"path": "04-low-power/low-power.ipynb", "make": True}
    assert ask("trimkit/hand-in", "POST", order)[0] == 403
    assert list(outside.iterdir()) == []
    kept.unlink()


@pytest.mark.parametrize(
    ("body", "status", "hint"),
    [
        (b"{", 400, "no JSON object"),
        ([1], 400, "no JSON object"),
        ({"name": 7}, 400, "must be text"),
        ({"name": ""}, 400, "no name"),
        ({"name": "a\0b"}, 400, "no name"),
        ({"file": "x"}, 400, "Not known: file. Known: name."),
        ({"name": "case-9-1-abcdef"}, 404, "no case 'case-9-1-abcdef'"),
    ],
)
def test_what_cannot_be_used_is_named(ask: Any, body: object, status: int, hint: str) -> None:
    found, told = ask("trimkit/case", "POST", body)
    assert found == status
    assert hint in told["message"]


def test_a_pupils_folder_has_nothing_for_coaches(ask: Any) -> None:
    status, told = ask("trimkit/runs", "POST", {"kind": "report"})
    assert status == 404
    assert "This is for coaches" in told["message"]


def test_a_folder_without_a_course_says_how_to_start(tmp_path: Path) -> None:
    assert extension.site(tmp_path) == extension.Site(None)


def test_the_seasons_folder_is_found_below_the_servers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    folder = work.prepare(places.default_work_folder(), 7).folder
    assert extension.site(tmp_path) == extension.Site(folder, "pupil", folder.name)
    assert extension.site(folder) == extension.Site(folder, "pupil", "")


def test_a_folder_that_cannot_be_written_is_read_and_says_so(tmp_path: Path, serving: Any) -> None:
    folder = work.prepare(tmp_path / "work", 7).folder
    name = log_name("7", "Hallfinch 46", "", 1)
    (folder / "logs").mkdir()
    (folder / "logs" / f"{name}.jsonl").write_text("{}\n", encoding="utf-8")
    before = everything(folder)
    with serving(folder, *read_only(folder)) as (ask, _):
        status, told = ask("trimkit/course")
        assert (status, told["writable"]) == (200, False)
        status, told = ask("trimkit/case", "POST", {"name": name})
        assert status == 507
        assert "cannot be written" in told["message"]
    assert everything(folder) == before


def read_only(folder: Path) -> list[str]:
    """Show a folder read-only to a command; to the superuser rights alone say nothing."""
    if os.geteuid():
        pytest.skip("only the superuser can show a folder read-only")
    bind = 'mount --bind "$1" "$1" && mount -o remount,ro,bind "$1" && shift && exec "$@"'
    words = ["unshare", "--mount", "sh", "-c", bind, "sh", str(folder)]
    if shutil.which("unshare") is None or subprocess.run([*words, "true"]).returncode:
        pytest.skip("this system shows no folder read-only")
    return words


def test_a_coach_sees_who_handed_in(coach: Any, class_folder: Path) -> None:
    handed = class_folder / "marking" / "submitted" / "pupil-07" / "02-angles"
    handed.mkdir(parents=True)
    (handed / "angles.ipynb").write_text("{}", encoding="utf-8")
    _, told = coach("trimkit/course")
    assert told["role"] == "coach"
    counts = {one["folder"]: (one["handed_in"], one["marked"]) for one in told["lessons"]}
    assert counts["02-angles"] == (1, 0)
    assert counts["04-low-power"] == (0, 0)
    assert told["lessons"][0]["notebook"] == "instructor/source/00-start-here/start-here.ipynb"
    shutil.rmtree(class_folder / "marking")


@pytest.mark.parametrize(
    ("order", "status", "hint"),
    [
        ({"kind": "sell"}, 400, "Known: hand-out, collect, mark, pages, report, rehearse"),
        ({"kind": "mark"}, 400, "no name"),
        ({"kind": "mark", "lesson": "99-none"}, 400, "no lesson '99-none'"),
        ({"kind": "mark", "lesson": "../marking"}, 403, "leads out"),
        ({"kind": "mark", "lesson": "/etc"}, 403, "leads out"),
        ({"kind": "rehearse", "pupils": 0}, 400, "allowed are 1 to 500"),
        ({"kind": "rehearse", "pupils": 501}, 400, "allowed are 1 to 500"),
        ({"kind": "rehearse", "pupils": True}, 400, "must be a whole number"),
        ({"kind": "report", "output": "x"}, 400, "Not known: output"),
    ],
)
def test_an_order_that_cannot_be_used_starts_nothing(
    coach: Any, class_folder: Path, order: dict[str, Any], status: int, hint: str
) -> None:
    before = everything(class_folder)
    found, told = coach("trimkit/runs", "POST", order)
    assert found == status
    assert hint in told["message"]
    assert everything(class_folder) == before


@pytest.mark.notebooks
def test_a_report_is_made_on_the_servers_side(coach: Any, class_folder: Path) -> None:
    status, told = coach("trimkit/runs", "POST", {"kind": "report", "pupils": 3})
    assert (status, told["run"]["state"]) == (200, "running")
    run = wait(coach, "good", "not good")
    assert run["state"] == "good", run
    assert (class_folder / run["files"][0]).is_file()
    assert coach("trimkit/course")[1]["report"] == run["files"][0]
    # what is done has ended: the next order is not ended by the one before
    assert coach("trimkit/runs", "POST", {"kind": "collect"})[0] == 200
    assert "Put what pupils gave you" in wait(coach, "good", "not good")["words"]
    desk = coach("trimkit/course")[1]
    assert desk["exchange"] is False
    assert not any(one["to_hand_out"] for one in desk["lessons"])
    order = {"kind": "hand-out", "lesson": "02-angles"}
    assert coach("trimkit/runs", "POST", order)[0] == 200
    assert "no exchange" in wait(coach, "good", "not good")["words"]


def test_a_lesson_goes_through_the_exchange_where_there_is_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = work.prepare(tmp_path / "work", 7).folder
    monkeypatch.setenv("JUPYTER_CONFIG_DIR", str(tmp_path / "settings"))
    monkeypatch.setenv("JUPYTER_DATA_DIR", str(tmp_path / "data"))
    assert exchange.find(folder, "02-angles") is None
    inbound = tmp_path / "exchange" / "trim" / "inbound"
    inbound.mkdir(parents=True)
    (tmp_path / "exchange" / "trim" / "outbound" / "02-angles").mkdir(parents=True)
    inbound.chmod(0o733)  # as nbgrader itself makes it: everybody may put in, nobody may list
    (tmp_path / "exchange").chmod(0o777)
    (tmp_path / "settings").mkdir()
    (tmp_path / "settings" / "nbgrader_config.py").write_text(
        f"c.CourseDirectory.course_id = 'trim'\nc.Exchange.root = {str(tmp_path / 'exchange')!r}\n",
        encoding="utf-8",
    )
    found = exchange.find(folder, "02-angles")
    assert exchange.find(folder, "04-low-power") is None
    assert found == exchange.Exchange(tmp_path / "exchange", "trim")
    name = log_name("7", "Hallfinch 46", "", 1)
    (folder / "logs").mkdir()
    (folder / "logs" / f"{name}.jsonl").write_text("{}\n", encoding="utf-8")
    (folder / "02-angles" / "diary.txt").write_text("mine", encoding="utf-8")
    exchange.submit(folder, "02-angles", found)
    (there,) = inbound.iterdir()
    assert {path.name for path in there.iterdir()} == {
        "angles.ipynb", f"{name}.jsonl", "timestamp.txt", "submission_secret.txt",
    }  # fmt: skip
    with pytest.raises(OSError, match="did not take it"):
        exchange.submit(folder, "02-angles", exchange.Exchange(tmp_path / "nowhere", "trim"))

    secret = (there / "submission_secret.txt").read_text("ascii")
    given_back = tmp_path / "exchange" / "trim" / "feedback"
    assert exchange.fetch(folder) == ""  # there is no such folder yet
    given_back.mkdir()
    page = given_back / f"{notebook_hash(secret=secret, notebook_id='angles')}.html"
    page.write_text("<strong>12 of 16 points in all.</strong>", encoding="utf-8")
    assert exchange.fetch(folder) == ""
    (lesson,) = (one for one in standing.read(folder).lessons if one.page.id == "02")
    assert lesson.state == "marked: 12 of 16 points"
    kept = folder / lesson.feedback
    kept.write_text("read", encoding="utf-8")
    assert exchange.fetch(folder) == ""
    assert kept.read_text("utf-8") == "read"  # a page that is here already is left alone
    shutil.rmtree(folder / "02-angles" / "feedback")
    (folder / "02-angles" / "feedback").write_text("no folder", encoding="utf-8")
    assert "cannot be fetched" in exchange.fetch(folder)


@pytest.mark.notebooks
def test_one_thing_at_a_time_and_it_stops_when_asked(coach: Any, class_folder: Path) -> None:
    number = coach("trimkit/runs", "POST", {"kind": "rehearse", "pupils": 2})[1]["run"]["number"]
    status, told = coach("trimkit/runs", "POST", {"kind": "report"})
    assert (status, told["message"]) == (
        409, "Rehearsal is still running. Wait, or stop it first.",
    )  # fmt: skip
    assert coach(f"trimkit/runs/{number + 1}", "DELETE")[0] == 404
    assert coach(f"trimkit/runs/{number}", "DELETE")[1]["run"]["state"] == "stopping"
    assert wait(coach, "stopped")["words"].startswith("Stopped.")


@pytest.mark.notebooks
def test_a_server_that_ends_takes_its_work_along_and_says_so_later(
    class_folder: Path, serving: Any
) -> None:
    with serving(class_folder) as (ask, process):
        ask("trimkit/runs", "POST", {"kind": "rehearse", "pupils": 2})
        process.kill()
        process.wait(30)
    with serving(class_folder) as (ask, _):
        run = ask("trimkit/runs")[1]["run"]
        assert run["state"] == "cut short"
        assert "A rehearsal begins anew" in run["words"]
