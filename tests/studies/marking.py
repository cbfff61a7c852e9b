"""How long marking a class takes, beside nbgrader's own autograding in the same run. By hand.

    python tests/studies/marking.py --pupils 30 --lesson 02-angles --output marking_study.json

Both mark the same hand-ins with the same keys into gradebooks of their own; the marks must agree.
Seconds are those of a clock, from the start of the command to its end, with the guard on. What
was measured last stands in marking_study.json.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat

from trimkit import places
from trimkit.classroom import gradebook, marking, pupils
from trimkit.classroom.course import Course
from trimkit.lesson import tasks
from trimkit.lesson.handin import folder_name

WORD = "rehearsal"


def make(root: Path, lesson: str, count: int) -> Course:
    """Make a course in which a class has handed in one lesson."""
    course = Course(root=root, instructor=places.instructor_folder(), class_word=WORD)
    course.prepare()
    course.run("generate_assignment", lesson)
    marks = marking.load(course.instructor / "marking" / f"{lesson[:2]}.py")
    path = next((course.released / lesson).glob("*.ipynb"))
    for number, policy in enumerate(pupils.policies(count), 1):
        released = nbformat.read(path, as_version=4)
        paper = pupils.fill_in(released, tasks.load(lesson[:2]), marks, (number, WORD), policy)
        folder = course.marking / "submitted" / folder_name(number) / lesson
        folder.mkdir(parents=True)
        nbformat.write(paper.notebook, folder / path.name)
    return course


def stock(course: Course, lesson: str) -> float:
    """Mark as nbgrader does, one after another."""
    gradebook.enrol(course)
    start = time.monotonic()
    course.run("autograde", lesson)
    return time.monotonic() - start


def ours(course: Course, lesson: str, jobs: int) -> tuple[float, dict[str, object]]:
    """Mark as `trimkit mark` does, the whole command with its start."""
    command = ["mark", lesson, "--course", str(course.root), "--class-word", WORD, "--json"]
    command += ["--instructor", str(course.instructor), "--guard", "required", "--again"]
    start = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-m", "trimkit", *command, "--jobs", str(jobs)],
        capture_output=True,
        text=True,
        check=False,
    )
    seconds = time.monotonic() - start
    if done.returncode:
        raise SystemExit(done.stdout + done.stderr)
    return seconds, json.loads(done.stdout)


def first_alone(course: Course, lesson: str) -> None:
    """Mark one pupil beforehand, so that the edition is known as it is in a running course."""
    submitted = course.marking / "submitted"
    aside = submitted.with_name("aside")
    submitted.rename(aside)
    shutil.copytree(aside / folder_name(1), submitted / folder_name(1))
    ours(course, lesson, 1)
    shutil.rmtree(submitted)
    aside.rename(submitted)


def main() -> None:
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--pupils", type=int, default=30)
    given.add_argument("--lesson", default="02-angles")
    given.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    given.add_argument("--output", type=Path, help="a file for the figures, as JSON")
    asked = given.parse_args()
    with tempfile.TemporaryDirectory(prefix="trimkit-marking-") as folder:
        one = make(Path(folder) / "one", asked.lesson, asked.pupils)
        two = make(Path(folder) / "two", asked.lesson, asked.pupils)
        first_alone(two, asked.lesson)
        load = [os.getloadavg()[0]]
        quick, outcome = ours(two, asked.lesson, asked.jobs)
        memory_kB = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
        load.append(os.getloadavg()[0])
        slow = stock(one, asked.lesson)
        again, _ = ours(two, asked.lesson, asked.jobs)
        load.append(os.getloadavg()[0])
        same = gradebook.rows(one) == gradebook.rows(two)
    figures = {
        "pupils": asked.pupils,
        "lesson": asked.lesson,
        "jobs": asked.jobs,
        "cores": os.cpu_count(),
        "guard": outcome["guarded"],
        "nbgrader_autograde_s": round(slow, 1),
        "trimkit_mark_s": [round(quick, 1), round(again, 1)],
        "times_as_fast": [round(slow / ours_s, 1) for ours_s in (quick, again)],
        "largest_process_MB": round(memory_kB / 1000),
        "load": [round(one, 1) for one in load],
        "marks_the_same": same,
    }
    written = json.dumps(figures, indent=1) + "\n"
    print(written, end="")
    if asked.output:
        asked.output.write_text(written, encoding="utf-8")


if __name__ == "__main__":
    main()
