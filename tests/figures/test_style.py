"""The style: size, ink, and matplotlib as it was before."""

from __future__ import annotations

import subprocess
import sys
from io import BytesIO

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from trimkit import figures


def test_the_file_has_the_asked_size_and_says_what_is_allowed() -> None:
    ruler = figures.ruler_view(31, 26, 90, "wing")
    assert Image.open(BytesIO(ruler.png())).size == (960, 500)
    with pytest.raises(ValueError, match="allowed is 30 to 600"):
        ruler.png(5)


def _light(colour: str) -> float:
    channels = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return float(np.dot(channels, (0.2126, 0.7152, 0.0722)))  # WCAG 2.1, relative luminance


def test_every_ink_is_dark_on_white() -> None:
    for colour in (figures.INK, figures.GREY, figures.BLUE, figures.ORANGE):
        assert 1.05 / (_light(colour) + 0.05) > 6, colour


def test_style_puts_matplotlib_back() -> None:
    before = dict(matplotlib.rcParams)
    with figures.style():
        assert matplotlib.rcParams["font.size"] == 17
    with figures.style(projector=True):
        assert matplotlib.rcParams["font.size"] == 28
    figures.ruler_view(31, 26, 90).png(40)
    assert dict(matplotlib.rcParams) == before


def test_no_window_system_and_no_flight_engine_is_loaded() -> None:
    code = (
        "import sys; from trimkit import figures; figures.ruler_view(31, 26, 90).png(40);"
        "bad = {'matplotlib.pyplot', 'IPython', 'ipywidgets', 'numba'} & set(sys.modules);"
        "sys.exit(len(bad))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_slide_has_larger_type_for_its_size_than_a_page() -> None:
    slide, sheet = figures.page(projector=True), figures.page()
    assert slide.type_pt == 28
    assert slide.type_pt / slide.height_in > 1.5 * sheet.type_pt / sheet.height_in
    assert figures.page(height_in=5.0).height_in == 5.0
    assert sheet.em_in == pytest.approx(14 / 72)
