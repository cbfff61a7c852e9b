"""The evening's bars are as long as its figures, and its words say all of them."""

from __future__ import annotations

import pytest

from tests.figures.artists import lines, words
from tests.figures.drawn import EVENING, FULL
from trimkit import figures
from trimkit.figures import SessionRow


def widths(picture: figures.Picture, name: str) -> list[float]:
    patches = picture.figure.axes[0].patches
    return [patch.get_width() for patch in patches if patch.get_gid() == name]


@pytest.mark.parametrize("rows", [EVENING, FULL, EVENING[:1]])
def test_bars_have_the_length_of_their_figures(rows: tuple[SessionRow, ...]) -> None:
    picture = figures.session_view(rows)
    times, on, left = (widths(picture, name) for name in ("time", "turns on", "turns left"))
    assert [width / times[0] for width in times] == pytest.approx(
        [row.duration_s / rows[0].duration_s for row in rows]
    )
    assert [width / on[0] for width in on] == pytest.approx(
        [row.turns_on / rows[0].turns_on for row in rows]
    )
    assert [a / b for a, b in zip(left, on, strict=True)] == pytest.approx(
        [row.turns_left / row.turns_on for row in rows]
    )


def test_words_say_every_flight_and_the_longest() -> None:
    picture = figures.session_view(EVENING)
    assert "An evening with 4 flights." in picture.text
    assert "Flight 1 (nothing changed): 8 s, 400 turns on, 352 left." in picture.text
    assert (
        "Flight 2 (changed before it: shim +1.5 mm): 6 s, 750 turns on, 705 left. "
        "It stalls from the hand." in picture.text
    )
    assert "Settled." in picture.text
    assert "The longest flight was number 4 with 98 s." in picture.text
    assert {"98", "1157, 467", "shim +1.5 mm"} <= words(picture)


def test_a_mark_stands_where_something_changed_and_nowhere_else() -> None:
    axes = figures.session_view(EVENING).figure.axes[0]
    assert [int(line.get_ydata()[0]) for line in lines(axes, "change")] == [1, 2, 3]


def test_a_long_change_is_cut_on_the_picture_and_whole_in_the_words() -> None:
    long = "wing forward by three millimetres and a new shim under the tail"
    picture = figures.session_view([SessionRow(1, 400, 300, 9, long)])
    assert long in picture.text
    assert any(said.startswith("wing forward") and said.endswith("…") for said in words(picture))


@pytest.mark.parametrize(
    ("figures_of", "said"),
    [
        ((0, 400, 300, 9), "allowed is 1 or more"),
        ((1, 0, 0, 9), "allowed is more than 0"),
        ((1, 400, 500, 9), "are the two swapped"),
        ((1, 400, 300, -1), "is it in another unit"),
    ],
)
def test_a_row_that_cannot_be_is_refused(figures_of: tuple[float, ...], said: str) -> None:
    number, on, left, time = figures_of
    with pytest.raises(ValueError, match=said):
        SessionRow(int(number), on, left, time)


def test_rows_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="allowed is 1 to 12"):
        figures.session_view([])
    with pytest.raises(ValueError, match="allowed is 1 to 12"):
        figures.session_view([*FULL, SessionRow(13, 400, 300, 9)])
    with pytest.raises(ValueError, match="allowed is each once, in order"):
        figures.session_view(EVENING[::-1])
