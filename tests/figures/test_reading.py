"""Every picture can be read: large words, whole, apart from each other, and told in its file."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.figures.drawn import bench_pictures, check_words, hall_pictures
from tests.figures.flown import FLOWN
from trimkit.figures import Picture

BENCH_NAMES = (
    "ruler", "ruler down", "ruler level", "ruler high", "ruler low", "bench", "bench shim",
    "bench low", "readings", "side", "side shim", "side forward", "beam", "glide",
    "glides", "stall", "no glide", "nose rises", "wall", "four", "blades", "blades flat", "steps",
    "one step",
)  # fmt: skip
HALL_NAMES = (
    "torque", "torque bare", "torque weak", "evening", "one flight", "full", "compare",
    "compare stall", *(f"flight {name}" for name in FLOWN),
    *(f"{plane} {kind}" for plane in ("hallfinch-46", "longreed-42", "stubwren-33")
      for kind in ("above", "front", "glide", "level")),
)  # fmt: skip


@pytest.fixture(scope="module")
def bench() -> dict[str, Picture]:
    return bench_pictures()


@pytest.fixture(scope="module")
def bench_slides() -> dict[str, Picture]:
    return bench_pictures(projector=True)


@pytest.fixture(scope="module")
def pages() -> dict[str, Picture]:
    return hall_pictures(projector=False)


@pytest.fixture(scope="module")
def slides() -> dict[str, Picture]:
    return hall_pictures(projector=True)


def test_every_picture_is_listed(
    bench: dict[str, Picture],
    bench_slides: dict[str, Picture],
    pages: dict[str, Picture],
    slides: dict[str, Picture],
) -> None:
    assert set(BENCH_NAMES) == set(bench) == set(bench_slides)
    assert set(HALL_NAMES) == set(pages) == set(slides)


@pytest.mark.parametrize("name", BENCH_NAMES)
def test_words_of_the_bench_are_large_whole_and_apart(bench: dict[str, Picture], name: str) -> None:
    check_words(bench[name], 14)


@pytest.mark.parametrize("name", BENCH_NAMES)
def test_words_of_a_bench_slide_are_read_from_the_back_row(
    bench: dict[str, Picture], bench_slides: dict[str, Picture], name: str
) -> None:
    check_words(bench_slides[name], 28)
    assert bench_slides[name].text == bench[name].text
    assert tuple(bench_slides[name].figure.get_size_inches()) == (16, 9)


@pytest.mark.parametrize("name", HALL_NAMES)
def test_words_of_the_hall_are_large_whole_and_apart(pages: dict[str, Picture], name: str) -> None:
    check_words(pages[name], 14)


@pytest.mark.parametrize("name", HALL_NAMES)
def test_words_on_a_slide_are_read_from_the_back_row(slides: dict[str, Picture], name: str) -> None:
    check_words(slides[name], 28)


@pytest.mark.parametrize("name", HALL_NAMES)
def test_a_slide_says_what_the_page_says(
    pages: dict[str, Picture], slides: dict[str, Picture], name: str
) -> None:
    assert slides[name].text == pages[name].text


@pytest.mark.parametrize("name", [*BENCH_NAMES, *HALL_NAMES])
def test_a_picture_carries_its_words_in_its_file(
    bench: dict[str, Picture], pages: dict[str, Picture], name: str
) -> None:
    picture = {**bench, **pages}[name]
    image = Image.open(BytesIO(picture.png(60)))
    assert image.info["Description"] == picture.text
    assert image.size == (576, round(60 * picture.figure.get_size_inches()[1]))
    assert np.asarray(image.convert("L")).std() > 10
    assert picture.text.endswith(".")
    assert len(picture.text) > 60
