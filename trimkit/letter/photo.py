"""A photo for the page: small, made anew, with nothing hidden in it."""

from __future__ import annotations

import io
import warnings
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

LARGEST_BYTES = 25_000_000
MOST_DOTS = 60_000_000  # a good telephone takes 50 million
LONGEST_SIDE = 1000  # dots; enough to see a warp, too few to read a face far away; assumed
QUALITY = 80  # of JPEG, of 100; common practice, no source
KINDS = ("JPEG", "PNG")


def cleaned(path: Path) -> bytes:
    """Take the dots out of a photo and nothing else.

    Place, time, camera, thumbnail and comments stay behind: the picture is decoded, made smaller,
    copied dot by dot into a new one and encoded again.

    Parameters
    ----------
    path : pathlib.Path
        A JPEG or PNG file [-].

    Returns
    -------
    bytes
        A JPEG file [-].

    Raises
    ------
    ValueError
        When it is no photo of an allowed kind and size.
    """
    with path.open("rb") as source:
        raw = source.read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        raise ValueError(f"{path.name} is larger than 25 MB; allowed is less; save it smaller")
    fresh = _copied(path.name, raw)
    file = io.BytesIO()
    fresh.save(file, "JPEG", quality=QUALITY)
    return file.getvalue()


def _copied(name: str, raw: bytes) -> Image.Image:
    """A new picture with the dots of an old one, turned as the camera was held."""
    wrong = f"{name} is no photo that can be used; allowed is a whole JPEG or PNG file"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # judged below
            found = Image.open(io.BytesIO(raw), formats=KINDS)
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError) as error:
        raise ValueError(wrong) from error
    if found.width * found.height > MOST_DOTS:
        raise ValueError(
            f"{name} has {found.width} x {found.height} dots; allowed is {MOST_DOTS // 10**6} "
            "million; save it smaller"
        )
    try:
        found.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))  # a large JPEG is decoded small
        turned = ImageOps.exif_transpose(found).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise ValueError(f"{wrong}; this one is cut short or damaged") from error
    turned.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    fresh = Image.new("RGB", turned.size)
    fresh.paste(turned)
    return fresh
