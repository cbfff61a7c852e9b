"""The page for a coach: whole, quiet and safe, and it loads back; hostile pages are refused."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

import trimkit
from trimkit import cli, letter, places, rules
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import posterior, sheet
from trimkit.diagnosis.causes import title
from trimkit.letter import Letter, LetterError
from trimkit.letter.reading import BEGIN, END
from trimkit.log import Entry, Log, Result

DEMO = places.demo_folder()
WORDS = "It <b>dives</b> & turns.\nThen we moved the shim."
HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(1)>\u202e\u2028"


@pytest.fixture(scope="module")
def trainer() -> Aeroplane:
    return trimkit.load_aeroplane(DEMO / "aeroplanes" / "hallfinch-46.toml")


@pytest.fixture(scope="module")
def tuesday() -> Log:
    return sheet.read(DEMO / "sheets" / "tuesday.csv")


@pytest.fixture(scope="module")
def written(trainer: Aeroplane, tuesday: Log) -> str:
    return letter.write(trainer, tuesday, WORDS)


class Seen(HTMLParser):
    """What a browser would find on a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._raw = False
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._raw = tag in ("script", "style")

    def handle_endtag(self, tag: str) -> None:
        self._raw = self._raw and tag not in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self._raw:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [found for one, found in self.tags if one == tag]


def check_quiet(text: str) -> Seen:
    """A page that fetches nothing, runs nothing and is fit for a screen reader and a printer."""
    seen = Seen(text)
    assert text.startswith("<!DOCTYPE html>")
    assert seen.named("html") == [{"lang": "en"}]
    policy = next(one["content"] for one in seen.named("meta") if one.get("http-equiv") is not None)
    assert policy is not None
    assert policy.startswith("default-src 'none'; img-src data:; style-src 'sha256-")
    assert all(one.get("type") == "application/json" for one in seen.named("script"))
    for _, found in seen.tags:
        assert not [name for name in found if name.startswith("on") or name == "style"]
        for name in ("src", "href", "xlink:href", "action", "srcset"):
            assert (found.get(name) or "data:image/jpeg").startswith("data:image/jpeg")
    outside = re.sub(r'xmlns="http://www\.w3\.org/2000/svg"', "", text)
    assert not re.search(r"https?://|url\(|@import", outside)
    assert not {"iframe", "form", "input", "link", "object", "embed", "base"} & {
        tag for tag, _ in seen.tags
    }
    assert len(seen.named("h1")) == 1
    assert len(seen.named("h2")) >= 3
    assert len(seen.named("caption")) == len(seen.named("table")) > 0
    assert "@media print" in text
    return seen


def test_the_page_is_whole_quiet_and_readable(written: str, trainer: Aeroplane) -> None:
    seen = check_quiet(written)
    assert f"A question about {trainer.name}" in seen.text
    assert "It <b>dives</b> & turns. Then we moved the shim." in seen.text
    assert not seen.named("b")
    assert not seen.named("img")
    assert len(seen.named("svg")) == 1
    for words in ("lift the tail's trailing edge by 0.8 mm", "it flew for 31 s", "looked at tail",
                  "In force now"):  # fmt: skip
        assert words in seen.text, words


def test_the_style_is_the_one_that_the_page_allows(written: str) -> None:
    import base64
    import hashlib

    style = written.split("<style>")[1].split("</style>")[0]
    known = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"'sha256-{known}'" in written


def test_the_likeliest_causes_stand_there_with_their_chances(
    written: str, trainer: Aeroplane, tuesday: Log
) -> None:
    believed = posterior(tuesday, trainer)
    seen = Seen(written)
    for name in believed.ranked(3):
        assert title(name) in seen.text
        assert f"{believed[name]:.0%}" in seen.text
    assert "likelier with it than without" in seen.text
    assert "not a verdict" in seen.text


def test_a_sign_speaks_for_its_own_cause(trainer: Aeroplane, tuesday: Log) -> None:
    from trimkit.letter.writing import _times

    believed = posterior(tuesday, trainer)
    fact = next(one for one in believed.facts if "decalage" in one.words)
    assert _times(believed, fact, "too-little-decalage") > 1.2 > _times(believed, fact, "nothing")


def test_a_log_that_the_model_cannot_judge_still_makes_a_letter(
    trainer: Aeroplane, tuesday: Log
) -> None:
    heavy = trimkit.aeroplane.replace(trainer, ballast_g=5.0, ballast_station_mm=880.0)
    with pytest.raises(ValueError, match="holds its height"):
        posterior(tuesday, heavy)
    seen = check_quiet(letter.write(heavy, tuesday))
    assert "cannot judge this log" in seen.text


def test_no_log_and_no_words_still_make_a_page(trainer: Aeroplane) -> None:
    text = letter.write(trainer)
    seen = check_quiet(text)
    assert "No log came along." in seen.text
    assert "The team wrote no words." in seen.text
    assert "cannot tell" in seen.text
    assert letter.reads(text) == Letter(trainer, Log(), "")


def test_the_page_loads_back_into_a_lab(
    written: str, trainer: Aeroplane, tuesday: Log, tmp_path: Path
) -> None:
    path = tmp_path / "letter.html"
    letter.save_page(written, path)
    found = letter.read(path)
    assert found.aeroplane == trainer
    assert found.words == WORDS
    assert found.log.entries == tuesday.entries
    assert posterior(found.log, found.aeroplane).ranked(3) == posterior(tuesday, trainer).ranked(3)


def test_what_an_eye_named_goes_along(trainer: Aeroplane, tmp_path: Path) -> None:
    seen = Result(readings={"found": 1.0}, named="loose-tail")
    log = Log((Entry(number=1, action="look", what="tail", date="2026-11-24", result=seen),))
    text = letter.write(trainer, log)
    assert f"this was seen: {title('loose-tail')}" in Seen(text).text
    assert letter.reads(text).log == log
    (tmp_path / "evening.toml").write_text(letter.as_sheet(log), encoding="utf-8")
    assert sheet.read(tmp_path / "evening.toml").entry(1).result == seen


def test_the_log_goes_on_as_a_sheet_that_diagnose_reads(tuesday: Log, tmp_path: Path) -> None:
    for name in ("tuesday.csv", "thursday.toml"):
        log = sheet.read(DEMO / "sheets" / name)
        path = tmp_path / "evening.toml"
        path.write_text(letter.as_sheet(log), encoding="utf-8")
        assert sheet.read(path).entries == log.entries


def test_hostile_names_and_words_stay_words(trainer: Aeroplane) -> None:
    import dataclasses

    part = dataclasses.replace(trainer.build.parts[0], name=HOSTILE)
    build = dataclasses.replace(trainer.build, parts=(part, *trainer.build.parts[1:]))
    bad = dataclasses.replace(trainer, name=HOSTILE, note=HOSTILE, build=build)
    text = letter.write(bad, None, HOSTILE)
    seen = check_quiet(text)
    assert not seen.named("img")
    assert len(seen.named("script")) == 1
    assert "\u202e" not in text  # a letter that turns the reading direction
    found = letter.reads(text)
    assert found.aeroplane.name.isprintable()
    assert found.aeroplane.build.parts[0].name.isprintable()
    assert found.aeroplane.name.startswith("</script><script>")
    assert found.words == HOSTILE.replace("\u202e", "?").replace("\u2028", "?")


def test_too_many_words_are_refused(trainer: Aeroplane) -> None:
    with pytest.raises(ValueError, match="allowed is 2000"):
        letter.write(trainer, None, "x" * 2001)


# --- pages from others ------------------------------------------------------------------------


def data_of(text: str) -> Any:
    return json.loads(text.split(BEGIN)[1].split(END)[0])


def with_data(text: str, data: object) -> str:
    before, _, rest = text.partition(BEGIN)
    raw = data if isinstance(data, str) else json.dumps(data)
    return before + BEGIN + raw + END + rest.partition(END)[2]


def changed(change: Callable[[Any], Any]) -> Callable[[str], str]:
    """A page whose data were changed by hand."""

    def make(text: str) -> str:
        data = data_of(text)
        made = change(data)
        return with_data(text, data if made is None else made)

    return make


def on_entry(**values: Any) -> Callable[[str], str]:
    return changed(lambda data: data["log"][0].update(values))


def on_aeroplane(old: str, new: str) -> Callable[[str], str]:
    def change(data: Any) -> None:
        assert old in data["aeroplane"]
        data["aeroplane"] = data["aeroplane"].replace(old, new)

    return changed(change)


ATTACKS: dict[str, tuple[Callable[[str], str], str]] = {
    "nothing": (lambda text: "", "no block of trimkit's data"),
    "another page": (lambda text: "<html><body>hello</body></html>", "no block"),
    "no end": (lambda text: text[: text.index(BEGIN) + 400], "cut short"),
    "two blocks": (lambda text: text + with_data(text, "{}"), "more than one block"),
    "broken JSON": (lambda text: with_data(text, '{"format": '), "its data is broken"),
    "entities for quotes": (
        lambda text: with_data(text, json.dumps(data_of(text)).replace('"', "&quot;")),
        "its data is broken",
    ),
    "no object": (lambda text: with_data(text, [1, 2]), "no JSON object"),
    "nested": (lambda text: with_data(text, "[" * 100_000), "nested without end"),
    "a name twice": (lambda text: with_data(text, '{"log": 1, "log": 2}'), "given twice"),
    "very large": (lambda text: with_data(text, {"format": "x" * 1_100_000}), "more than 1 MB"),
    "long number": (lambda text: with_data(text, "9" * 9000), "its data is broken"),
    "nan": (lambda text: with_data(text, '{"format": NaN}'), "NaN is no number"),
    "another form": (changed(lambda d: d.update(format="trimkit letter 9")), "another trimkit"),
    "more keys": (changed(lambda d: d.update(run="rm")), "not of the form"),
    "aeroplane is a table": (changed(lambda d: d.update(aeroplane={})), "no text"),
    "aeroplane is no TOML": (changed(lambda d: d.update(aeroplane="[[[")), "key = value"),
    "span of a kilometre": (on_aeroplane("span_mm = 460.0", "span_mm = 1e6"), "200 to 700 mm"),
    "endless TOML name": (
        changed(lambda d: d.update(aeroplane="a." * 50_000 + "a = 1")), "more than 20 steps",
    ),
    "too many words": (changed(lambda d: d.update(words="x" * 5000)), "up to 2000 letters"),
    "words are a list": (changed(lambda d: d.update(words=["x"])), "no text"),
    "log is a table": (changed(lambda d: d.update(log={})), "no list of up to 500"),
    "too many entries": (
        changed(lambda d: d.update(log=d["log"] * 200)), "no list of up to 500",
    ),
    "entry is text": (changed(lambda d: d.update(log=["fly"])), "entry 1 of its log"),
    "unknown action": (on_entry(action="__import__('os')"), "entry 1 of its log"),
    "huge value": (on_entry(features={"duration_s": 1e300}), "no number up to"),
    "infinite value": (
        lambda text: text.replace('"duration_s": 5.0', '"duration_s": 1e999', 1), "no number",
    ),
    "text for a number": (on_entry(features={"duration_s": "5"}), "no number"),
    "yes for a number": (on_entry(turns=True), "entry 1 of its log"),
    "unknown feature": (on_entry(features={"__class__": 1}), "nobody can read or see"),
    "unknown reading": (on_entry(readings={"<script>": 1}), "nobody can read or see"),
    "turns below nothing": (on_entry(turns=-1), "entry 1 of its log"),
    "a clock time": (on_entry(date="2026-11-24T18:00"), "no clock time"),
    "number is text": (on_entry(number="1"), "entry 1 of its log"),
    "missing keys": (changed(lambda d: d["log"][0].pop("date") and None), "keys of an entry"),
    "changes are a list": (on_entry(changes=[1]), "entry 1 of its log"),
    "numbers fall": (on_entry(number=9), "rising numbers"),
    "long text": (on_entry(hypothesis="x" * 900), "entry 1 of its log"),
    "half a letter": (on_aeroplane("Hallfinch 46", "\ud800"), "half a letter"),
}  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_hostile_page_is_refused_with_a_sentence(attack: str, written: str) -> None:
    make, hint = ATTACKS[attack]
    with pytest.raises(LetterError) as error:
        letter.reads(make(written), "from\nsomebody\x1b[31m.html")
    told = str(error.value)
    assert hint in told
    assert "Nothing was loaded." in told
    assert told.isprintable()  # nothing that moves a terminal's cursor
    assert len(told) < 1300


@pytest.mark.parametrize(
    ("raw", "hint"), [(b"\xff\xfe\x00", "UTF-8"), (b"x" * 6_000_001, "more than 6 MB")]
)
def test_a_file_that_is_no_page_is_refused(raw: bytes, hint: str, tmp_path: Path) -> None:
    path = tmp_path / "letter.html"
    path.write_bytes(raw)
    with pytest.raises(LetterError, match=hint):
        letter.read(path)


# --- photos -----------------------------------------------------------------------------------


def photo(folder: Path, size: tuple[int, int] = (2400, 1800), kind: str = "jpg") -> Path:
    """A photo with place, camera, comment and a thumbnail's worth of hidden data."""
    path = folder / f"photo.{kind}"
    made = Image.new("RGB", size, (200, 30, 30))
    made.paste((30, 200, 30), (0, 0, size[0] // 2, size[1] // 2))  # a corner, to see it turned
    hidden = made.getexif()
    hidden[0x010F] = "SecretCamera"
    hidden[0x0112] = 6  # held upright: a quarter turn
    where = hidden.get_ifd(0x8825)
    where[1], where[2] = "N", (52.0, 30.0, 0.0)
    if kind == "jpg":
        made.save(path, exif=hidden, comment=b"SecretComment")
    else:
        made.save(path, exif=hidden)
    return path


@pytest.mark.parametrize("kind", ["jpg", "png"])
def test_a_photo_keeps_its_dots_and_loses_all_else(kind: str, tmp_path: Path) -> None:
    path = photo(tmp_path, kind=kind)
    with Image.open(path) as before:
        assert before.getexif().get_ifd(0x8825)[1] == "N"
    raw = letter.cleaned(path)
    after = Image.open(io.BytesIO(raw))
    assert after.format == "JPEG"
    assert dict(after.getexif()) == {}
    assert set(after.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert b"Secret" not in raw
    assert b"Exif" not in raw
    assert after.size == (750, 1000)  # turned upright, and small
    red, green, _ = after.getpixel((700, 100))  # type: ignore[misc]
    assert green > red  # the green corner went from the left to the right


def test_what_is_no_photo_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "photo.jpg"
    path.write_bytes(b"GIF89a" + b"\0" * 100)
    with pytest.raises(ValueError, match="whole JPEG or PNG"):
        letter.cleaned(path)
    whole = photo(tmp_path).read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(ValueError, match="cut short or damaged"):
        letter.cleaned(path)
    made = io.BytesIO()
    Image.new("1", (10_000, 9_000)).save(made, "PNG")  # a few kB that open to 90 million dots
    path.write_bytes(made.getvalue())
    with pytest.raises(ValueError, match="10000 x 9000 dots"):
        letter.cleaned(path)
    path.write_bytes(b"\xff\xd8" + b"\0" * 25_000_000)
    with pytest.raises(ValueError, match="larger than 25 MB"):
        letter.cleaned(path)


def test_a_photo_stands_on_the_page_with_words_for_it(trainer: Aeroplane, tmp_path: Path) -> None:
    seen = check_quiet(letter.write(trainer, photo=letter.cleaned(photo(tmp_path))))
    (found,) = seen.named("img")
    assert found["alt"]


# --- the commands -----------------------------------------------------------------------------


def test_a_photo_needs_an_adults_yes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "letter.html"
    asked = ["letter", "--aeroplane", "hallfinch-46", "--output", str(out)]
    shot = str(photo(tmp_path, (200, 100)))
    assert cli.main([*asked, "--photo", shot]) == cli.BAD_INPUT
    assert "an adult's yes" in capsys.readouterr().err
    assert cli.main([*asked, "--adult-agrees"]) == cli.BAD_INPUT
    assert not out.exists()
    assert cli.main([*asked, "--photo", shot, "--adult-agrees"]) == cli.DONE
    assert "data:image/jpeg;base64," in out.read_text("utf-8")
    assert "photo.jpg" not in out.read_text("utf-8")


def test_a_letter_goes_out_and_comes_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], trainer: Aeroplane
) -> None:
    out, own = tmp_path / "letter.html", tmp_path / "own.toml"
    log = str(DEMO / "sheets" / "tuesday.csv")
    asked = ["letter", "--aeroplane", "hallfinch-46", "--log", log, "--words", "It dives"]
    assert cli.main([*asked, "--output", str(out)]) == cli.DONE
    back = ["letter", "--read", str(out), "--output", str(own)]
    assert cli.main(back) == cli.DONE
    assert "It dives" in capsys.readouterr().out
    assert trimkit.load_aeroplane(own) == trainer
    assert len(sheet.read(tmp_path / "own.evening.toml").entries) == 5
    own.write_text("kept")
    assert cli.main(back) == cli.BAD_INPUT
    assert "is there already" in capsys.readouterr().err
    assert own.read_text() == "kept"


def test_a_hostile_file_leaves_nothing_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "letter.html"
    bad.write_text("<script>alert(1)</script>")
    asked = ["letter", "--read", str(bad), "--output", str(tmp_path / "own.toml")]
    assert cli.main(asked) == cli.BAD_INPUT
    said = capsys.readouterr().err
    assert "Nothing was loaded." in said
    assert "Traceback" not in said
    assert [path.name for path in tmp_path.iterdir()] == ["letter.html"]


@pytest.mark.parametrize(
    ("more", "hint"),
    [
        (["--words", "x"], "--read takes --output only"),
        (["--output", "own.html"], "allowed is FILE.toml"),
    ],
)
def test_reading_takes_nothing_else(
    more: list[str], hint: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["letter", "--read", "x.html", "--output", str(tmp_path / "own.toml"), *more]
    assert cli.main(asked) == cli.BAD_INPUT
    assert hint in capsys.readouterr().err


def test_the_help_asks_for_no_name(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        cli.main(["letter", "--help"])
    told = capsys.readouterr().out
    assert "Write no names" in " ".join(told.split())
    assert "--name" not in told


# --- the check-in sheet -----------------------------------------------------------------------


def test_the_check_in_sheet_has_the_table_the_drawing_and_boxes_for_numbers(
    trainer: Aeroplane, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    card, motors = DEMO / "rules" / "example-card.toml", DEMO / "rules" / "example-motors.toml"
    out = tmp_path / "sheet.html"
    asked = ["contest", str(card), "--aeroplane", "hallfinch-46", "--motors", str(motors)]
    assert cli.main([*asked, "--sheet", str(out)]) == cli.NO
    assert str(out) in capsys.readouterr().out
    seen = check_quiet(out.read_text("utf-8"))
    table = rules.check(rules.read(card), trainer, rules.read_motors(motors))
    for item in table.items:
        assert item.what in seen.text
        assert item.do in seen.text
    for words in ("✓ pass", "✗ fail", "? measure again", "invented example", "team's number",
                  "Numbers only, no names", "never weighed"):  # fmt: skip
        assert words in seen.text, words
    assert len(seen.named("svg")) == 1
    blanks = [one for one in seen.named("span") if one.get("class") == "fill"]
    assert len(blanks) == 4
    boxes = [one for one in seen.named("span") if one.get("class") == "box"]
    assert len(boxes) == len(table.of("look"))


def test_a_page_with_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"allowed is \.html"):
        letter.save_page("x", tmp_path / "page.txt")
    assert list(tmp_path.iterdir()) == []
