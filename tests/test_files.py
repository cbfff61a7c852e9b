"""Aeroplane files: round trips, every problem told together, and nothing that breaks it."""

from __future__ import annotations

import dataclasses
import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.aeroplanes import trainer
from trimkit import files
from trimkit.aeroplane import Aeroplane, Wing, replace
from trimkit.units import quantities

checked = settings(derandomize=True, deadline=None, max_examples=60)
DEMO = sorted((Path(__file__).parents[1] / "datasets_demo" / "aeroplanes").glob("*.toml"))
GOOD = files.dumps(trainer())


def problems(text: str) -> list[str]:
    with pytest.raises(files.FileError) as told:
        files.loads(text, "wren.toml")
    assert "wren.toml has" in str(told.value)
    return [str(problem) for problem in told.value.problems]


def changed(before: str, after: str) -> str:
    assert before in GOOD
    return GOOD.replace(before, after, 1)


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_demo_aeroplanes_load_and_say_they_are_invented(path: Path) -> None:
    aeroplane = files.load_aeroplane(path)
    assert "nvented" in aeroplane.note
    assert files.loads(files.dumps(aeroplane)) == aeroplane


def test_there_are_three_demo_aeroplanes() -> None:
    assert len(DEMO) >= 3


def settings_of(draw_from: type) -> st.SearchStrategy[dict[str, float]]:
    return st.fixed_dictionaries(
        {name: st.floats(q.low, q.high) for name, q in quantities(draw_from).items()}
    )


@checked
@given(
    settings_of(type(trainer().setting)),
    settings_of(Wing),
    st.text(max_size=60).filter(lambda text: text != "" and "\r" not in text),
)
def test_a_round_trip_loses_nothing(
    setting: dict[str, float], wing: dict[str, float], name: str
) -> None:
    wing["tip_chord_mm"] = min(wing["tip_chord_mm"], wing["root_chord_mm"])
    base = replace(trainer(), **setting)
    build = dataclasses.replace(base.build, wing=Wing(**wing))
    aeroplane = Aeroplane(name=name, build=build, setting=base.setting, note=name)
    assert files.loads(files.dumps(aeroplane)) == aeroplane


def test_saving_and_loading(tmp_path: Path) -> None:
    path = tmp_path / "wren.toml"
    files.save_aeroplane(trainer(), path)
    assert files.load_aeroplane(path) == trainer()
    assert [p.name for p in tmp_path.iterdir()] == ["wren.toml"]


def test_a_save_that_fails_keeps_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "wren.toml"
    files.save_aeroplane(trainer(), path)
    before = path.read_bytes()

    def refuse(*_: object) -> None:
        raise OSError("no room")

    monkeypatch.setattr(files.os, "replace", refuse)
    with pytest.raises(OSError, match="no room"):
        files.save_aeroplane(trainer(shim_mm=1.0), path)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["wren.toml"]


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("root_chord_mm = 102.0", "root_chord_mm = 10.2", "centimetres: did you mean 102?"),
        ("root_chord_mm = 102.0", "root_chord_mm = 0.102", "metres: did you mean 102?"),
        ("root_chord_mm = 102.0", "root_chord_mm = 4.0", "did you mean"),
        ("root_chord_mm = 102.0", 'root_chord_mm = "10,2"', "write 10.2, with a point"),
        ("root_chord_mm = 102.0", 'root_chord_mm = "102 mm"', "without its unit"),
        ("root_chord_mm = 102.0", "root_chord_mm = true", "a plain number"),
        ("root_chord_mm = 102.0", "root_chord_mm = nan", "allowed is 40 to 180 mm"),
        ("root_chord_mm = 102.0", "root_chord_mm = 1" + 400 * "0", "allowed is 40 to 180 mm"),
        ("root_chord_mm = 102.0", "rot_chord_mm = 102.0", "did you mean root_chord_mm?"),
        ("root_chord_mm = 102.0", "", "wing.root_chord_mm: nothing given"),
        ("tip_chord_mm = 86.0", "tip_chord_mm = 120.0", "are the two swapped?"),
        ("dihedral_deg = 11.0", "dihedral_deg = 11.0\nsparkle = 3", "not a key of this format"),
        ("strands = 2", "strands = 2.5", "a whole number"),
        ("strands = 2", "strands = 3", "2, 4, 6"),
        ('hand = "right"', 'hand = "rigth"', '"right" or "left"'),
        ("[fin]", "[finn]", "did you mean fin?"),
        (f'format = "{files.FORMAT}"', 'format = "another"', "another kind or age"),
    ],
)
def test_a_slip_is_named(before: str, after: str, words: str) -> None:
    assert words in "\n".join(problems(changed(before, after)))


def test_a_mass_in_kilograms_is_noticed() -> None:
    mass = f"mass_g = {trainer().build.wing.mass_g}"
    told = problems(changed(mass, f"mass_g = {trainer().build.wing.mass_g / 1000}"))
    assert "kilograms" in told[0]


def test_every_problem_is_told_with_its_line_in_order() -> None:
    text = changed("root_chord_mm = 102.0", "root_chord_mm = 10.2").replace(
        "dihedral_deg = 11.0", "dihedral_deg = 99.0"
    )
    told = problems(text)
    assert len(told) == 2
    lines = text.splitlines()
    for words, key in zip(told, ("root_chord_mm", "dihedral_deg"), strict=True):
        number = int(words.split(",")[0].removeprefix("line "))
        assert lines[number - 1].startswith(key)


def test_a_part_is_found_by_its_line() -> None:
    text = GOOD + '\n[[parts]]\nname = "brick"\nmass_g = 500\nstation_mm = 10\n'
    told = problems(text)
    assert len(told) == 1
    line = text[: text.index("mass_g = 500")].count("\n") + 1
    assert told[0].startswith(f"line {line}, parts[")


def test_broken_toml_names_the_line() -> None:
    assert problems('name = "a"\nwing = [\n')[0].startswith("line")


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    for name, content, words in (
        ("bytes.toml", b'name = "\xff"', "UTF-8"),
        ("huge.toml", b"#" * (files.LARGEST_BYTES + 1), "very large"),
    ):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(files.FileError, match=words):
            files.load_aeroplane(tmp_path / name)
    with pytest.raises(files.FileError, match="no such file"):
        files.load_aeroplane(tmp_path / "none.toml")
    with pytest.raises(files.FileError, match="directory"):
        files.load_aeroplane(tmp_path)


@checked
@given(st.text(max_size=300))
def test_any_text_gives_an_aeroplane_or_a_file_error(text: str) -> None:
    with pytest.raises(files.FileError):
        files.loads(text)


@settings(derandomize=True, deadline=None, max_examples=300)
@given(st.integers(0, 2**32), st.integers(1, 6))
def test_a_mutated_file_gives_an_aeroplane_or_a_file_error(seed: int, times: int) -> None:
    source = random.Random(seed)
    text = GOOD
    for _ in range(times):
        start = source.randrange(len(text))
        end = min(len(text), start + source.choice((0, 1, 3, 40)))
        text = text[:start] + source.choice(("", "=", "[", '"', "9", "-", "\n", "nan")) + text[end:]
    try:
        outcome: object = files.loads(text)
    except files.FileError as told:
        outcome = told.problems
    assert isinstance(outcome, Aeroplane | tuple)
    assert outcome


def test_the_documentation_lists_every_key() -> None:
    page = (Path(__file__).parents[1] / "datasets_demo" / "README.md").read_text("utf-8")
    for table, key, allowed, meaning in files.schema():
        assert f"| {table} | `{key}` | {allowed} | {meaning} |" in page
