"""The command line: what it prints, how it ends, and what it says about slips."""

from __future__ import annotations

import json
import re
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from trimkit import cli, faults, observe, places
from trimkit.flight import Flight
from trimkit.jupyter import server

COMMAND = [sys.executable, "-m", "trimkit"]


def refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Run a command that must end with status 2 and give what it said."""
    try:
        status = cli.main(arguments)
    except SystemExit as ended:
        status = int(ended.code or 0)
    said = capsys.readouterr()
    assert status == cli.BAD_INPUT
    assert said.out == ""
    assert "Traceback" not in said.err
    return said.err


@pytest.mark.parametrize(
    ("arguments", "hints"),
    [
        ([], ["COMMAND", "--help"]),
        (["oepn"], ["oepn", "open", "--help"]),
        (["open", "--pupil", "Anna"], ["'Anna'", "0", "9999", "name does not belong"]),
        (["open", "--pupil", "-3"], ["-3", "9999"]),
        (["open", "--pupil", "3.5"], ["3.5", "whole number"]),
        (["rehearse", "--pupils", "0"], ["'0'", "1 to 500"]),
        (["rehearse", "--pupils", "many"], ["'many'", "whole number"]),
        (["pack"], ["--students"]),
        (["pack", "--students", "--class-word", 'a"b'], ["class word", "quotes"]),
        (["release", "--instructor", "nowhere"], ["nowhere", "no source", "--instructor PATH"]),
        (["rehearse", "--instructor", "nowhere"], ["nowhere", "no marking"]),
    ],
)
def test_a_slip_is_named_with_the_next_step(
    arguments: list[str],
    hints: list[str],
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    said = refused(arguments, capsys)
    assert [hint for hint in hints if hint not in said] == []
    assert list(tmp_path.iterdir()) == []


def test_work_in_the_project_and_work_on_a_file_are_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    root = places.checkout()
    assert "inside the project" in refused(["open", "--work", str(root)], capsys)
    (tmp_path / "file").write_text("")
    said = refused(["open", "--work", str(tmp_path / "file")], capsys)
    assert str(tmp_path / "file") in said


def test_another_pupils_folder_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    places.write_pupil(tmp_path / "pupil.toml", places.Pupil(7, "", ""))
    said = refused(["open", "--work", str(tmp_path), "--pupil", "8"], capsys)
    assert "pupil number 7, and you gave 8" in said


@pytest.mark.parametrize(
    "command", ["open", "fly", "diagnose", "library", "pack", "rehearse", "release"]
)
def test_every_command_has_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main([command, "--help"])
    assert ended.value.code == 0
    said = capsys.readouterr().out
    described = cli.parser()._subparsers._group_actions[0].choices[command]  # type: ignore[union-attr,index]
    for action in described._actions:
        assert action.help
        assert str((action.option_strings or [action.metavar])[0]) in said


def test_fly_says_draws_and_keeps_a_flight(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    given = ["fly", "hallfinch-46", "--turns", "750", "--fault", "loose-tail"]
    assert cli.main([*given, "--flight", "kept.npz"]) == cli.DONE
    said = capsys.readouterr().out
    flight = Flight.load("kept.npz")
    seen = observe.watch(flight)
    assert seen.words() in said
    for feature in observe.FEATURES:
        assert feature.meaning in said
    picture = Path("hallfinch-46-750-loose-tail.png")
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert f"{seen['duration_s']:.0f} s" in picture.with_suffix(".txt").read_text("utf-8")
    assert cli.main([*given, "--json"]) == cli.DONE
    assert json.loads(capsys.readouterr().out)["figures"] == dict(seen.values)


def test_the_same_seed_flies_and_sees_the_same(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    said = []
    for seed in ("3", "3", "4"):
        assert cli.main(["fly", "stubwren-33", "--turns", "300", "--seed", seed]) == cli.DONE
        said.append(capsys.readouterr().out)
    assert said[0] == said[1] != said[2]


@pytest.mark.parametrize(
    ("more", "hint"),
    [
        (["hallfinch", "--turns", "750"], "one of the demo aeroplanes: hallfinch-46"),
        (["hallfinch-46", "--turns", "750", "--fault", "loose-tale"], "did you mean loose-tail"),
        (
            ["hallfinch-46", "--turns", "750", "--fault", "loose-tail=big"],
            "write --fault NAME",
        ),
        (["hallfinch-46", "--turns", "750", "--fault", "loose-tail=7"], "allowed is"),
        (["hallfinch-46", "--turns", "5000"], "turns"),
        (["hallfinch-46", "--turns", "many"], "--turns"),
        (["hallfinch-46"], "--turns"),
    ],
)
def test_what_fly_cannot_use_is_answered_and_nothing_is_written(
    more: list[str],
    hint: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert hint in refused(["fly", *more], capsys)
    assert list(tmp_path.iterdir()) == []


def test_the_faults_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["fly", "--list-faults"])
    assert ended.value.code == cli.DONE
    said = capsys.readouterr().out
    assert all(name in said for name in faults.CATALOGUE)


def test_a_reader_that_has_read_enough_gets_no_traceback() -> None:
    process = subprocess.Popen(
        [*COMMAND, "fly", "--list-faults"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    complaints = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait(timeout=60) == cli.NO
    assert "Traceback" not in complaints


def test_diagnose_reads_a_sheet_and_says_what_next(capsys: pytest.CaptureFixture[str]) -> None:
    sheet = places.demo_folder() / "sheets" / "tuesday.csv"
    given = ["diagnose", str(sheet), "--aeroplane", "hallfinch-46"]
    assert cli.main(given) == cli.DONE
    said = capsys.readouterr().out
    for part in ("What is likely wrong", "What teaches most", "One setting", "last word"):
        assert part in said
    assert "%" in said
    assert cli.main([*given, "--json"]) == cli.DONE
    found = json.loads(capsys.readouterr().out)
    assert sum(found["faults"].values()) == pytest.approx(1.0, abs=0.01)
    assert len(found["next_steps"]) == 3


def test_a_sheet_with_slips_is_answered(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    sheet = tmp_path / "evening.csv"
    sheet.write_text("action,turns\nflew,700\n", "utf-8")
    said = refused(["diagnose", str(sheet), "--aeroplane", "hallfinch-46"], capsys)
    assert "line 2: action is 'flew'" in said
    assert "evening.ods" in refused(
        ["diagnose", str(tmp_path / "evening.ods"), "--aeroplane", "hallfinch-46"], capsys
    )


def test_the_columns_of_a_sheet_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["diagnose", "--columns"])
    assert ended.value.code == cli.DONE
    said = capsys.readouterr().out
    assert all(feature.name in said for feature in observe.FEATURES)
    assert "shim_mm" in said


def test_pack_says_what_it_wrote(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    output = tmp_path / "new" / "pupils.zip"
    assert cli.main(["pack", "--students", "--output", str(output), "--json"]) == cli.DONE
    said = json.loads(capsys.readouterr().out)
    assert said["pack"] == str(output)
    assert said["size"] == output.stat().st_size
    assert cli.main(["pack", "--students", "--output", str(output)]) == cli.DONE
    assert "START-HERE.txt" in capsys.readouterr().out


def test_help_is_light() -> None:
    code = (
        "import sys, trimkit.cli; trimkit.cli.parser().format_help(); "
        "print(sorted({'numpy', 'scipy', 'IPython', 'matplotlib', 'nbgrader'} & set(sys.modules)))"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(ended.stdout.replace("'", '"')) in ([], ["numpy"])


def test_importing_trimkit_loads_numpy_at_most() -> None:
    code = (
        "import sys, trimkit; print(*({'scipy', 'tomlkit', 'matplotlib', 'IPython', 'ipywidgets', "
        "'nbgrader', 'tqdm'} & set(sys.modules)))"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ended.stdout.split() == []


def test_check_starts_jupyterlab_asks_it_and_stops_it(tmp_path: Path) -> None:
    work = tmp_path / "a folder with spaces"
    work.mkdir()
    (work / "random.py").write_text("raise SystemExit('a pupil file was imported')")
    ended = subprocess.run(
        [*COMMAND, "open", "--check", "--work", str(work), "--pupil", "7"],
        capture_output=True,
        text=True,
    )
    assert ended.returncode == 0, ended.stderr
    assert ended.stderr == ""
    course = places.course_folder()
    for path in course.glob("*/*.ipynb"):
        name = path.relative_to(course).as_posix()
        assert f"JupyterLab shows {name}" in ended.stdout
        assert (work / name).read_bytes() == path.read_bytes()
    assert "Check done" in ended.stdout


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_open_prints_an_address_that_answers_until_it_is_stopped(
    tmp_path: Path, how: signal.Signals
) -> None:
    with subprocess.Popen(
        [*COMMAND, "open", "--work", str(tmp_path / "work"), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        address = ""
        while not address and (line := process.stdout.readline()):
            found = re.search(r"http://127\.0\.0\.1:\d+/lab\?token=\w+", line)
            address = found.group() if found else ""
        assert address, process.stderr.read()
        assert process.stdout.readline().startswith("Copy this address")
        assert process.stdout.readline().startswith("To stop")
        page = urllib.request.urlopen(address, timeout=30).read().decode()
        process.send_signal(how)
        rest, complaints = process.communicate(timeout=60)
    assert '"news": {"disabled": true}' in page
    assert "Stopping JupyterLab" in rest
    assert complaints == ""
    assert process.returncode == cli.DONE
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(address, timeout=30)


def test_stopped_while_it_starts_it_leaves_no_server(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    started = []

    def interrupt(lab: server.Lab, said: object) -> None:
        started.append(lab)
        signal.raise_signal(signal.SIGTERM)

    monkeypatch.setattr(server, "_wait_until_it_answers", interrupt)
    monkeypatch.setattr(server, "STOP_SECONDS", 1.0)
    assert cli.main(["open", "--work", str(tmp_path / "work")]) == cli.NO
    assert started[0].process.poll() is not None
    assert "Stopped before" in capsys.readouterr().out
    assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL


def test_a_server_that_cannot_start_is_reported_in_its_own_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(server, "SETTINGS", ("--ServerApp.port=none",))
    assert cli.main(["open", "--check", "--work", str(tmp_path / "work")]) == cli.NO
    said = capsys.readouterr().err
    assert "JupyterLab ended at once" in said
    assert "ServerApp.port" in said


def test_a_server_that_fails_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server, "START_SECONDS", 0.0)
    started = []
    start = server._start

    def remember(*given: object) -> server.Lab:
        started.append(start(*given))  # type: ignore[arg-type]
        return started[-1]

    monkeypatch.setattr(server, "_start", remember)
    monkeypatch.setattr(server, "STOP_SECONDS", 1.0)
    with pytest.raises(server.StartError, match="no answer"), server.running(tmp_path):
        pass
    assert started[0].process.poll() is not None


def test_a_busy_port_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    import socket

    with socket.socket() as taken:
        taken.bind((server.HOST, 0))
        monkeypatch.setattr(server, "FIRST_PORT", taken.getsockname()[1])
        monkeypatch.setattr(server, "PORTS_TRIED", 1)
        assert server._free_port() != taken.getsockname()[1]


def test_a_port_that_somebody_takes_meanwhile_is_given_up_for_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, asked = server._free_port, []
    with socket.socket() as taken:
        taken.bind((server.HOST, 0))
        taken.listen()

        def unlucky() -> int:
            asked.append(1)
            return int(taken.getsockname()[1]) if len(asked) == 1 else real()

        monkeypatch.setattr(server, "_free_port", unlucky)
        with server.running(tmp_path) as lab:
            assert lab.port != taken.getsockname()[1]
            assert lab.ask("api/status")
    assert len(asked) == 2
