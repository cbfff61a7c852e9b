"""Pupils' code behind walls: what it sees, what it may use, and what comes back from it."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from trimkit import places
from trimkit.classroom import guard, host, visit
from trimkit.classroom.guard import Limits
from trimkit.classroom.host import Room
from trimkit.classroom.message import ANSWER_TYPE
from trimkit.classroom.visit import RoomLostError, Visit

LIMITS = Limits(
    cell_s=0.8, notebook_s=6, memory_mb=300, processes=20, file_mb=2, files=200, grace_s=0.4
)
SECRET = "the key is 42"
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="marking needs a fork")


@pytest.fixture(scope="module")
def secrets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("secrets")
    (folder / "key.txt").write_text(SECRET, encoding="utf-8")
    return folder


def opened(folder: Path, wish: host.Wish, log: Path) -> Iterator[Room]:
    with (
        log.open("w", encoding="utf-8") as words,
        Room(["import json"], 1, LIMITS, wish, [folder], words) as room,
    ):
        room.wait()
        yield room


@pytest.fixture(scope="module")
def walled(secrets: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    for room in opened(secrets, "auto", tmp_path_factory.mktemp("log") / "walled.log"):
        if not room.walled:
            pytest.skip(room.words)
        yield room


@pytest.fixture(scope="module")
def bare(secrets: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    yield from opened(secrets, "off", tmp_path_factory.mktemp("log") / "bare.log")


@pytest.fixture(params=["walled", "bare"])
def room(request: pytest.FixtureRequest) -> Room:
    found: Room = request.getfixturevalue(request.param)
    return found


def run(room: Room, *cells: str) -> Visit:
    start = time.monotonic()
    found = visit.visit(room.lines[0], [*cells, "'and on'"], {"TRIMKIT_PUPIL": "7"}, 6.0)
    assert time.monotonic() - start < 15
    return found


def printed(found: Visit, cell: int = 0) -> str:
    return "".join(o.get("text", "") for o in found.outputs.get(cell, []))


def goes_on(found: Visit) -> bool:
    last = found.outputs.get(max(found.outputs, default=0), [])
    return any("and on" in o.get("data", {}).get("text/plain", "") for o in last)


def test_cells_share_names_and_show_what_a_notebook_shows(room: Room) -> None:
    found = run(room, "a = 3", "print(a); a + 1", "display(a)", "1 / 0", "import os\n"
                "print(os.environ['TRIMKIT_PUPIL'], sorted(os.listdir('.')))")  # fmt: skip
    assert found.stopped == ""
    assert [o.output_type for o in found.outputs[1]] == ["stream", "execute_result"]
    assert found.outputs[2][0].data["text/plain"] == "3"
    assert found.outputs[3][0].ename == "ZeroDivisionError"
    assert printed(found, 4) == "7 ['.ipython']\n"
    assert goes_on(found)


STOPPED = {
    "a loop": "while True: pass",
    "a loop that ignores every interrupt": (
        "import signal\n"
        "for n in (signal.SIGINT, signal.SIGTERM, signal.SIGALRM): signal.signal(n, 1)\n"
        "while True:\n"
        "    try:\n"
        "        while True: pass\n"
        "    except BaseException: pass"
    ),
    "a loop in C": "sum(range(10**12))",
    "a long sleep": "import time; time.sleep(1000)",
    "sudden death": "import os; os._exit(0)",
    "a broken pointer": "import ctypes; ctypes.string_at(0)",
    "an abort": "import os; os.abort()",
    "deep recursion in C": "x = []\nfor _ in range(10**6): x = [x]\nrepr(x)",
}


@pytest.mark.parametrize("name", STOPPED)
def test_nothing_runs_for_ever_and_nobody_else_is_hurt(walled: Room, name: str) -> None:
    stops(walled, name)


@pytest.mark.parametrize("name", ["a loop that ignores every interrupt", "a broken pointer"])
def test_nothing_runs_for_ever_without_walls_either(bare: Room, name: str) -> None:
    stops(bare, name)


def stops(room: Room, name: str) -> None:
    found = run(room, STOPPED[name])
    assert found.stopped or found.late == [0] or goes_on(found)
    assert goes_on(run(room, "1"))


def test_a_huge_allocation_is_an_error_in_its_own_cell(room: Room) -> None:
    found = run(room, "x = bytearray(4 * 10**9)")
    assert found.outputs[0][0].ename == "MemoryError"
    assert goes_on(found)


def test_output_without_end_is_cut(room: Room) -> None:
    found = run(room, "while True: print('x' * 1000)", "'é' * 9_000_000")
    assert len(printed(found)) < 250_000
    assert "(cut)" in printed(found)
    assert len(str(found.outputs[1])) < 10_000
    assert goes_on(found)


def test_files_are_limited_in_size(room: Room) -> None:
    found = run(room, "open('big', 'wb').write(bytes(10**7))")
    assert found.outputs[0][0].ename == "OSError"
    assert goes_on(found)


def test_files_are_limited_in_number_and_gone_afterwards(walled: Room) -> None:
    found = run(walled, "for n in range(9999): open(f'f{n}', 'w').close()")
    assert "No space left" in found.outputs[0][0].evalue
    found = run(walled, "import os; print(os.listdir('.'), os.listdir(os.path.expanduser('~')))")
    assert printed(found) == "['.ipython'] ['.ipython']\n"


def test_a_fork_bomb_fizzles_out(walled: Room) -> None:
    bomb = (
        "import os, time\nn = 0\ntry:\n    while n < 500:\n"
        "        if os.fork() == 0: time.sleep(60); os._exit(0)\n        n += 1\n"
        "except OSError: print(n)"
    )
    found = run(walled, bomb)
    assert int(printed(found)) < LIMITS.processes
    assert goes_on(run(walled, "1"))


def test_a_forked_copy_hands_nothing_in(room: Room) -> None:
    found = run(room, "import os; child = os.fork()", "print('twice')")
    assert sorted(found.outputs) == [0, 1, 2]
    assert printed(found, 1) == "twice\n"


def test_what_is_left_running_ends_with_the_notebook(room: Room) -> None:
    left = (
        "import subprocess, sys; p = subprocess.Popen(['sleep', '98765'], start_new_session=True)"
    )
    assert goes_on(run(room, left))
    end = time.monotonic() + 5
    while _running("98765") and time.monotonic() < end:
        time.sleep(0.05)
    assert not _running("98765")


def _running(word: str) -> bool:
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            if word.encode() in path.read_bytes().split(b"\0"):
                return True
        except OSError:
            continue
    return False


def test_no_network(walled: Room) -> None:
    found = run(walled, "import socket; socket.create_connection(('192.0.2.1', 80), 0.5)")
    assert found.outputs[0][0].ename == "OSError"
    assert "unreachable" in found.outputs[0][0].evalue


def test_no_sight_of_secrets_others_or_the_coach(walled: Room, secrets: Path) -> None:
    here = Path(__file__).resolve()
    for hidden in (secrets / "key.txt", here, Path.home() / ".bashrc", Path("/etc/passwd")):
        found = run(walled, f"print(open({str(hidden)!r}).read())")
        assert found.outputs[0][0].ename in ("FileNotFoundError", "PermissionError"), hidden
    found = run(walled, "import os; print(sorted(k for k in os.environ), os.getuid())\n"
                "print([n for n in os.listdir('/proc') if n.isdigit()])")  # fmt: skip
    names, processes = printed(found).splitlines()
    assert "TRIMKIT_COURSE_ROOT" not in names
    assert names.endswith(f" {guard.INSIDE_ID}")
    assert processes in ("[]", "['1']")


def test_a_patched_package_lives_only_as_long_as_its_pupil(walled: Room) -> None:
    package = str(Path(places.__file__).parent)
    patch = (
        f"import os, trimkit\nfor folder, _, names in os.walk({package!r}):\n"
        "    for name in [*names, 'planted.py']:\n"
        "        try: open(os.path.join(folder, name), 'w').write('x'); print(folder)\n"
        "        except OSError: pass\n"
        "trimkit.planted = True"
    )
    touched = set(printed(run(walled, patch)).split())
    assert all(folder.endswith("__pycache__") for folder in touched)
    found = run(walled, "import trimkit, glob; print(hasattr(trimkit, 'planted'))\n"
                f"print(glob.glob({package!r} + '/**/planted.py', recursive=True))")  # fmt: skip
    assert printed(found) == "False\n[]\n"
    assert not list(Path(package).rglob("planted.py"))


def test_walls_cannot_be_taken_down_from_inside(walled: Room, secrets: Path) -> None:
    escape = (
        "import ctypes, os\nlibc = ctypes.CDLL(None, use_errno=True)\n"
        "print([libc.umount2(p, 2) for p in (b'/run/home', b'/run/room', b'/proc')])\n"
        "print(libc.unshare(0x10020000))\n"
        "print([libc.umount2(p, 2) for p in (b'/run/home', b'/run/room', b'/proc')])\n"
        f"print(os.path.exists({str(secrets)!r}), os.path.exists('/proc/2'))"
    )
    lines = printed(run(walled, escape)).splitlines()
    assert lines[0] == lines[2] == "[-1, -1, -1]"
    assert lines[3] == "False False"


FORGED = """
import json, os
line = {"cell": 1, "outputs": [{"output_type": "display_data", "metadata": {}, "data": {}}]}
for junk in (b"\\xff\\xfe", b"[" * 90000, b"{}", b'{"cell": "1", "outputs": []}',
             b'{"cell": 99, "outputs": []}', b'{"cell": 0, "outputs": 7}',
             b'{"cell": 0, "outputs": [7, {"output_type": "stream"}, {"output_type": "cake"}]}',
             json.dumps(line).encode()):
    os.write(3, junk + b"\\n")
"""


def test_a_forged_line_is_data_and_the_rest_is_left_out(room: Room) -> None:
    found = run(room, FORGED, "print('true')")
    assert found.left_out >= 8
    assert found.outputs[0] == []
    assert found.outputs[1][0].data == {}
    assert found.outputs[2][0].data["text/plain"] == "'and on'"


def test_what_no_notebook_can_hold_is_left_out(room: Room) -> None:
    odd = (
        "from IPython.display import display\n"
        "display({'text/plain': '\\ud800', 'text/html': 7}, raw=True)\n"
        f"display({{{ANSWER_TYPE!r}: {{'value': float('nan')}}}}, raw=True)\n"
        f"display({{{ANSWER_TYPE!r}: 'x' * 99999}}, raw=True)\n"
        "display({'text/plain': object()}, raw=True)\n"
        "print('\\ud800')"
    )
    found = run(room, odd)
    data = [o.data for o in found.outputs[0] if "data" in o]
    assert data[0] == {}
    assert data[1] == {ANSWER_TYPE: {"value": None}}
    assert data[2] == {}
    json.dumps(found.outputs[0]).encode("utf-8")
    assert goes_on(found)


def test_walls_that_are_missing_are_said_in_one_line_or_refused(
    secrets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guard, "available", lambda: "")
    with (tmp_path / "log").open("w") as log:
        with Room([], 1, LIMITS, "auto", [secrets], log) as room:
            room.wait()
            assert not room.walled
            assert "limits only, because bubblewrap is not installed" in room.words
            assert "\n" not in room.words
        with (
            Room([], 1, LIMITS, "required", [secrets], log) as room,
            pytest.raises(RuntimeError, match=r"not installed\. Nothing was marked\. Install"),
        ):
            room.wait()


def test_what_a_killed_run_left_behind_is_removed(
    secrets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(host.tempfile, "tempdir", str(tmp_path))
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    names = [f"trimkit-room-{ended.pid}-a", f"trimkit-room-{os.getpid()}-b", "trimkit-room-x-c"]
    for name in names:
        (tmp_path / name / "deep").mkdir(parents=True)
    with (tmp_path / "log").open("w") as log, Room([], 1, LIMITS, "off", [secrets], log) as room:
        assert room.folder.parent == tmp_path
    assert sorted(path.name for path in tmp_path.iterdir()) == ["log", *sorted(names[1:])]


def test_walls_that_do_not_stand_are_found_out(
    secrets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guard, "available", lambda: "/bin/false")
    with (
        (tmp_path / "log").open("w") as log,
        Room([], 1, LIMITS, "required", [secrets], log) as room,
        pytest.raises(RuntimeError, match="does not work on this machine"),
    ):
        room.wait()


def test_a_lesson_that_does_not_run_is_the_coachs_to_mend(secrets: Path, tmp_path: Path) -> None:
    with (
        (tmp_path / "log").open("w") as log,
        Room(["1 / 0"], 1, LIMITS, "off", [secrets], log) as room,
        pytest.raises(RuntimeError, match="the lesson itself stops: ZeroDivisionError"),
    ):
        room.wait()


def test_a_room_that_is_gone_is_nobodys_fault() -> None:
    ours, theirs = socket.socketpair()
    theirs.close()
    with ours, pytest.raises(RoomLostError, match="does not answer"):
        visit.visit(ours, ["1"], {}, 1.0)


def test_secret_folders_are_covered_and_python_is_shown() -> None:
    inside = Path(sys.prefix) / "class" / "marking"
    command = guard.walls(Path("/scratch"), [inside, Path("/elsewhere")], [])
    shown = [command[n + 1] for n, word in enumerate(command) if word == "--ro-bind"]
    covered = [command[n + 1] for n, word in enumerate(command) if word == "--tmpfs"]
    assert sys.prefix in shown
    assert covered == [str(inside.resolve())]
    assert not any(Path("/elsewhere").is_relative_to(path) for path in shown)
    checkout = places.checkout()
    assert checkout is None or str(checkout) not in shown
