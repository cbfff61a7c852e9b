"""The command that leads through the readings of a team's own aeroplane: measure."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from trimkit.cli.shared import DONE, NO, Commands, add_json, print_json, save_picture

if TYPE_CHECKING:
    from trimkit.measurement import Answer, Measured, Question, Reading

BACK, STOP, FINISH, SKIP = "back", "stop", "done", "?"
YES = ("y", "yes")


def describe(commands: Commands) -> None:
    """Describe what can be typed after measure.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "measure",
        help="make a file of your own aeroplane with a ruler and a balance",
        description="Asks for one reading after the other and says where to put the ruler. Five "
        "readings are enough to start; the rest is guessed from the trainer and named as guessed. "
        "Every answer is kept at once in a sheet beside the file; the same command goes on there.",
    )
    command.add_argument(
        "file",
        nargs="?",
        type=Path,
        default=Path("my-aeroplane.toml"),
        metavar="FILE",
        help="the aeroplane file to make (if left out: my-aeroplane.toml here)",
    )
    command.add_argument(
        "--pictures", type=Path, metavar="DIR", help="save pictures of where to put the ruler"
    )
    command.add_argument(
        "--write", action="store_true", help="ask nothing; make the file from its sheet as it is"
    )
    add_json(command)
    command.set_defaults(run=_measure)


def _measure(given: argparse.Namespace) -> int:
    from trimkit import measurement

    if given.json and not (given.write and not given.pictures):
        raise ValueError("--json asks nothing: give --write with it, and no --pictures")
    aeroplane = _checked_file(given.file)
    sheet_file = measurement.sheet_path(aeroplane)
    if given.pictures:
        _save_pictures(given.pictures)
    if not sheet_file.exists():
        if given.write:
            raise ValueError(
                f"there is no sheet {sheet_file}; answer some questions first: "
                f"trimkit measure {given.file}"
            )
        if aeroplane.exists():
            raise ValueError(
                f"{aeroplane} is there and has no sheet {sheet_file.name} beside it; it would be "
                "overwritten. Name another file"
            )
    interview = Interview(sheet_file, given.pictures)
    if not given.write and not interview.ask_all():
        print(f"Kept in {sheet_file}. Go on with: trimkit measure {given.file}")
        return NO
    return _finish(interview, aeroplane, given.json)


def _checked_file(path: Path) -> Path:
    if path.suffix.lower() != ".toml" or path.name.endswith(".sheet.toml"):
        raise ValueError(f"{path} is given; allowed is a name such as my-aeroplane.toml")
    if not path.parent.is_dir():
        raise ValueError(f"there is no folder {path.parent}; make it first")
    return path


def _save_pictures(folder: Path) -> None:
    from trimkit.figures import questions

    folder.mkdir(parents=True, exist_ok=True)
    for name in questions.PICTURES:
        save_picture(questions.question_view(name), folder / f"{name}.png")
    print(f"{len(questions.PICTURES)} pictures in {folder}, each with its words beside it.")


def _finish(interview: Interview, aeroplane: Path, as_json: bool) -> int:
    from trimkit import measurement
    from trimkit.files import dumps, keep_before, save_aeroplane

    kept: Path | None = None
    measured: Measured = measurement.aeroplane_of(interview.sheet, interview.errors)
    if aeroplane.exists() and aeroplane.read_text("utf-8") != dumps(measured.aeroplane):
        kept = keep_before(aeroplane)
    save_aeroplane(measured.aeroplane, aeroplane)
    if as_json:
        print_json(
            {
                "aeroplane": measured.aeroplane.name,
                "file": str(aeroplane),
                "kept": str(kept) if kept else None,
                "guessed": dict(measured.guessed),
                "remarks": list(measured.remarks),
                "derived": [one.words() for one in measured.derived],
            }
        )
        return DONE
    if kept:
        print(f"The file that was there is now {kept}")
    print(f"\n{measured.words()}\n\nWritten: {aeroplane}\nNext: trimkit inspect {aeroplane}")
    return DONE


class Interview:
    """Asks the questions on a terminal and keeps each answer.

    Parameters
    ----------
    sheet_file : pathlib.Path
        Where the answers are kept; one that is there is gone on with [-].
    pictures : pathlib.Path or None
        Folder in which the pictures lie [-].
    """

    def __init__(self, sheet_file: Path, pictures: Path | None = None) -> None:
        from trimkit import measurement

        self.sheet_file = sheet_file
        self.pictures = pictures
        self.sheet: dict[str, Answer | None] = {}
        self.errors: dict[str, float] = {}
        if sheet_file.exists():
            self.sheet, self.errors = measurement.load_sheet(sheet_file)

    def ask_all(self) -> bool:
        """Ask what is not answered yet.

        Returns
        -------
        bool
            Whether the aeroplane is to be written [-].
        """
        from trimkit.measurement import FIRST, NAMES

        print(
            f"Type a number, or {SKIP} to skip, {BACK} for the question before, {STOP} to go on "
            f"another day.\nOnce the first five are answered, {DONE_WORDS}.\n"
        )
        place = self._first_open()
        if place:
            print(f"Going on with {self.sheet_file}: {len(self.sheet)} answered or skipped.")
        while place < len(NAMES):
            step = self._ask(place)
            if step is None:
                return False
            if step == FINISH:
                if self._enough():
                    return True
                continue
            place = max(place + int(step), 0)
            if step == "1" and place == len(FIRST) + 1:
                print(f"\nThat is enough to start: {DONE_WORDS}. Or go on.\n")
        return True

    def _first_open(self) -> int:
        from trimkit.measurement import NAMES

        return next((i for i, name in enumerate(NAMES) if name not in self.sheet), len(NAMES))

    def _enough(self) -> bool:
        from trimkit.measurement import BY_NAME, FIRST

        missing = [BY_NAME[name].title for name in FIRST if name not in self.sheet]
        if missing:
            print(f"Not yet: answer or skip {', '.join(missing)} first.")
        return not missing

    def _ask(self, place: int) -> str | None:
        """Ask one question: "1" for the next, "-1" for the one before, done, None to stop."""
        from trimkit.measurement import BY_NAME, NAMES

        question = BY_NAME[NAMES[place]]
        print("\n".join(self._question_lines(question, place)))
        while True:
            typed = self._typed()
            if typed is None or typed.lower() == STOP:
                return None
            if typed.lower() == FINISH:
                return FINISH
            if typed.lower() == BACK:
                if place == 0:
                    print("This is the first question.")
                return "-1"
            if self._answer(question, typed):
                return "1"

    def _question_lines(self, question: Question, place: int) -> Iterator[str]:
        from trimkit.measurement import NAMES, QUESTIONS

        if place == 0 or QUESTIONS[place - 1].group != question.group:
            yield f"--- {question.group} ---"
        yield f"{place + 1} of {len(NAMES)}: {question.title} ({question.words()})"
        shown = self.pictures / f"{question.picture}.png" if self.pictures else ""
        yield f"   {question.where}" + (f" Picture: {shown}" if shown else "")
        if question.name in self.sheet:
            kept = self.sheet[question.name]
            yield f"   Kept so far: {SKIP if kept is None else kept}. Enter keeps it."

    def _typed(self, asked: str = "> ") -> str | None:
        try:
            return input(asked).strip()
        except (EOFError, KeyboardInterrupt):
            print()
            return None

    def _answer(self, question: Question, typed: str) -> bool:
        """Keep an answer; False when it must be given again."""
        from trimkit.measurement import SlipError, read_answer

        if not typed:
            if question.name not in self.sheet:
                print(f"Nothing was typed. {SKIP} skips this one.")
            return question.name in self.sheet
        if typed == SKIP:
            self._keep(question.name, None)
            return True
        try:
            reading = read_answer(question.name, typed, self.sheet)
        except SlipError as slip:
            print(f"   Not kept: {slip}")
            return False
        if reading.said:
            print(f"   {reading.said}.")
        if reading.doubt and not self._meant(reading):
            return False
        self._keep(question.name, reading.value)
        return True

    def _meant(self, reading: Reading) -> bool:
        print(f"   {reading.doubt}")
        typed = self._typed("   keep it as typed? yes or no > ")
        meant = typed is not None and typed.lower() in YES
        if not meant:
            print("   Not kept. Type it again.")
        return meant

    def _keep(self, name: str, value: Answer | None) -> None:
        from trimkit.measurement import NAMES, save_sheet

        fresh = {**self.sheet, name: value}
        self.sheet = {one: fresh[one] for one in NAMES if one in fresh}
        self.errors.pop(name, None)
        save_sheet(self.sheet, self.sheet_file, self.errors)


DONE_WORDS = f"{FINISH} writes the aeroplane and the rest is guessed"
