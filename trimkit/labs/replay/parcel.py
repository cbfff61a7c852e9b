"""A flight in few bytes: whole numbers, and words that come again, in half bytes.

A flight is smooth, so a row is nearly what the two rows before it lead one to expect. What is
sent of each number is only the difference, counted in grains; most of them fit into half a byte.
`flight.js` opens what is made here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trimkit.units import Floats

Whole = NDArray[np.int64]

PIECE_BITS = 3  # of a number in each half byte; the fourth bit says that more follow
MORE = 1 << PIECE_BITS
MOST_PIECES = 10  # so much a whole number of 30 bits takes, which a page can shift
STOP = "\n"  # between two sentences


def packed(numbers: Whole) -> bytes:
    """Pack whole numbers, small ones into half a byte.

    Parameters
    ----------
    numbers : numpy.ndarray
        From 0 to below 2 to the power of 30 [-].

    Returns
    -------
    bytes
        The lower half of each byte comes first [-].

    Raises
    ------
    ValueError
        When a number is outside its range.

    Examples
    --------
    >>> packed(np.array([5, 0, 9])).hex()
    '0519'
    """
    most = 1 << (PIECE_BITS * MOST_PIECES)
    if numbers.size and (numbers.min() < 0 or numbers.max() >= most):
        raise ValueError(
            f"numbers go from {numbers.min()} to {numbers.max()}; allowed is 0 to {most - 1}; "
            "are the grains too fine?"
        )
    left = numbers.ravel()[:, None] >> (PIECE_BITS * np.arange(MOST_PIECES + 1))
    follows = left[:, 1:] > 0
    pieces = (left[:, :-1] & (MORE - 1)) | np.where(follows, MORE, 0)
    there = np.column_stack([np.ones(len(left), dtype=bool), follows[:, :-1]])
    halves = pieces[there].astype(np.uint8)
    if halves.size % 2:
        halves = np.append(halves, np.uint8(MORE))  # a number that never ends is none
    return bytes(halves[::2] | halves[1::2] << 4)


def rows(values: NDArray[np.floating[Any]], grains: Floats) -> bytes:
    """Pack rows of a flight.

    Parameters
    ----------
    values : numpy.ndarray
        One row a beat [in any unit].
    grains : numpy.ndarray
        For each column the step in which it is counted [in its unit].

    Returns
    -------
    bytes
        For `rows` of `flight.js` [-].
    """
    counted = np.rint(values / grains).astype(np.int64)
    ahead = np.zeros((2, counted.shape[1]), dtype=np.int64)
    bends = np.diff(np.vstack([ahead, counted]), n=2, axis=0)
    return packed(np.where(bends < 0, -2 * bends - 1, 2 * bends))


def sentences(said: Sequence[str]) -> dict[str, Any]:
    """Pack sentences as a list of their words, the usual ones first, and a number for each.

    Parameters
    ----------
    said : sequence of str
        Words with single spaces between them [-].

    Returns
    -------
    dict
        For `sentences` of `flight.js` [-].
    """
    told = f" {STOP} ".join(said).split(" ")
    words = [word for word, _ in Counter(told).most_common()]
    place = {word: row for row, word in enumerate(words)}
    return {"words": words, "told": packed(np.array([place[word] for word in told]))}
