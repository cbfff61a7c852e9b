"""A class marked on a Dask cluster: the same marks, also when a worker is killed half-way."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from papers import hand_in, instructor_with, new_class

from trimkit.classroom import cluster, crowd, gradebook
from trimkit.classroom.course import Course

LESSON, PUPILS = "04-low-power", 6
STARTED = [sys.executable, "-m", "distributed.cli.dask_{}"]


class Machines:
    """A scheduler and its workers, each a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.told = folder, folder / "scheduler.json"
        self.scheduler = self.start("scheduler", "--port", "0", "--host", "127.0.0.1",
                                    "--scheduler-file", str(self.told),
                                    "--no-dashboard")  # fmt: skip
        self.workers = [self.worker(number) for number in range(2)]
        self.address = self.waited_for()

    def worker(self, number: int) -> subprocess.Popen[bytes]:
        return self.start("worker", "--scheduler-file", str(self.told), "--nthreads", "1",
                          "--no-nanny", "--no-dashboard", "--host", "127.0.0.1",
                          "--local-directory", str(self.folder / str(number)))  # fmt: skip

    def start(self, what: str, *options: str) -> subprocess.Popen[bytes]:
        command = [part.format(what) for part in STARTED]
        with (self.folder / f"{what}.log").open("a") as log:
            return subprocess.Popen(
                [*command, *options], stdout=log, stderr=log, cwd=self.folder,
                env=os.environ | {"OPENBLAS_NUM_THREADS": "1"},
            )  # fmt: skip

    def waited_for(self) -> str:
        for _ in range(600):
            with suppress(OSError, ValueError):
                return str(json.loads(self.told.read_text("utf-8"))["address"])
            time.sleep(0.05)
        raise AssertionError((self.folder / "scheduler.log").read_text("utf-8"))

    def stop(self) -> None:
        for processes in (self.workers, [self.scheduler]):  # a worker takes leave of its scheduler
            for process in processes:
                process.terminate()
            for process in processes:
                process.wait(30)


@pytest.fixture
def machines(tmp_path: Path) -> Iterator[Machines]:
    if "scale" not in os.environ.get("TRIMKIT_REQUIRE", ""):
        pytest.importorskip("distributed", reason="no Dask here: pip install distributed")
    folder = tmp_path / "machines"
    folder.mkdir()
    made = Machines(folder)
    yield made
    made.stop()


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory) -> Course:
    """Make a class that has handed in, and nobody has marked it."""
    some = instructor_with(tmp_path_factory.mktemp("some") / "instructor", LESSON)
    made = new_class(tmp_path_factory.mktemp("class") / "season", some)
    assert not crowd.mark(made, LESSON).good  # released; nobody has handed in
    hand_in(made, LESSON, PUPILS)
    return made


def copied(course: Course, root: Path) -> Course:
    shutil.copytree(course.root, root)
    return Course(root=root, instructor=course.instructor, class_word=course.class_word)


def kill_when_one_is_marked(machines: Machines, course: Course) -> subprocess.Popen[bytes]:
    """Watch from a process of its own, so that the worker is at work when it is killed."""
    journal = course.marking / "journal" / f"{LESSON}.jsonl"
    watch = (
        "import os, signal, sys, time, pathlib\n"
        "path = pathlib.Path(sys.argv[1])\n"
        "while not (path.is_file() and path.read_text().strip()): time.sleep(0.01)\n"
        "os.kill(int(sys.argv[2]), signal.SIGKILL)"
    )
    return subprocess.Popen(
        [sys.executable, "-c", watch, str(journal), str(machines.workers[0].pid)]
    )


@pytest.mark.scale
def test_a_worker_killed_half_way_loses_nothing(
    course: Course, machines: Machines, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    near, far = copied(course, tmp_path / "near"), copied(course, tmp_path / "far")
    assert crowd.mark(near, LESSON).good
    killer = kill_when_one_is_marked(machines, far)
    outcome = crowd.mark(far, LESSON, cluster=machines.address)
    assert killer.wait(10) == 0
    assert machines.workers[0].wait(10) == -signal.SIGKILL
    assert outcome.good, outcome.words()
    assert outcome.guarded
    assert gradebook.rows(far) == gradebook.rows(near)
    assert [one.outcome for one in outcome.results] == ["marked"] * PUPILS

    machines.stop()
    monkeypatch.setattr(cluster, "CONNECT_S", 1.0)
    assert {
        one.outcome for one in crowd.mark(far, LESSON, cluster="tcp://127.0.0.1:1").results
    } == {"as before"}  # nothing to do: nobody is asked
    with pytest.raises(ValueError, match=r"no cluster answers at .* dask scheduler"):
        crowd.mark(far, LESSON, cluster=machines.address, again=True)
    assert gradebook.rows(far) == gradebook.rows(near)


@pytest.mark.scale
def test_a_worker_that_cannot_help_is_named_and_nothing_is_marked(
    course: Course, machines: Machines, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    far = copied(course, tmp_path / "far")
    monkeypatch.setattr(cluster, "version", lambda _: "99.0")
    with pytest.raises(
        RuntimeError, match=r"worker tcp.* cannot help: it has trimkit 0.*needs trimkit 99"
    ):
        crowd.mark(far, LESSON, cluster=machines.address)
    assert not list(far.marking.glob("autograded/*"))


@pytest.mark.parametrize("given", ["here", "http://example.org:80", "tcp://host", "host:port"])
def test_an_address_that_is_none_is_said(given: str) -> None:
    with pytest.raises(ValueError, match="is no address of a cluster"):
        cluster.Cluster(given)


def test_without_dask_it_is_said_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(RuntimeError, match=r"install trimkit\[cluster\]"):
        cluster.Cluster("tcp://127.0.0.1:8786")
