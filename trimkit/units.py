"""Bench units and the declaration of a measured quantity.

At every public door trimkit speaks bench units: mm, g, degrees, mN m, turns, s and m/s, and
the unit stands in the name. This module converts to and from the other units a coach meets
(ounce-inches on a torque meter, feet in a hall) and declares, once for each quantity, its
unit, its allowed range and what it means.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

STANDARD_GRAVITY_M_S2 = 9.80665  # exact, 3rd CGPM 1901
MNM_PER_OUNCE_INCH = 7.061551814  # NIST SP 811 (2008), appendix B.8: ozf in
MM_PER_INCH = 25.4  # exact, NIST SP 811
MM_PER_FOOT = 304.8  # exact, NIST SP 811
G_PER_OUNCE = 28.349523125  # exact, NIST SP 811


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a measured number is: its unit, its allowed range and its meaning.

    Parameters
    ----------
    unit : str
        Unit as printed, "" for a pure number [-].
    low, high : float
        Smallest and largest value allowed, both included [in that unit].
    meaning : str
        One plain sentence without its full stop [-].
    """

    unit: str
    low: float
    high: float
    meaning: str


def quantity(unit: str, low: float, high: float, meaning: str, default: Any = None) -> Any:
    """Declare a dataclass field that holds a measured number.

    Parameters
    ----------
    unit : str
        Unit as printed [-].
    low, high : float
        Allowed range, both ends included [in that unit].
    meaning : str
        What the number is, one plain sentence [-].
    default : float or None
        Value when the file leaves it out; None makes the field required [in that unit].

    Returns
    -------
    dataclasses.Field
        A field whose metadata holds the `Quantity` [-].
    """
    metadata = {"quantity": Quantity(unit, low, high, meaning)}
    if default is None:
        return dataclasses.field(metadata=metadata)
    return dataclasses.field(default=default, metadata=metadata)


def quantities(record: Any) -> Mapping[str, Quantity]:
    """Return the declared quantities of a record or record class by field name.

    Parameters
    ----------
    record : dataclass or dataclass instance
        Where to look [-].

    Returns
    -------
    dict of str to Quantity
        In the order of the fields; fields that are not measured numbers are left out [-].
    """
    return {
        f.name: f.metadata["quantity"]
        for f in dataclasses.fields(record)
        if "quantity" in f.metadata
    }


def out_of_range(record: Any) -> list[str]:
    """List what is outside its allowed range in a record, in words.

    Parameters
    ----------
    record : dataclass instance
        Record whose declared quantities are checked [-].

    Returns
    -------
    list of str
        One sentence per bad number, empty when all are in range [-].
    """
    problems = []
    for name, declared in quantities(record).items():
        value = getattr(record, name)
        if not (declared.low <= value <= declared.high):  # also catches NaN
            unit = f" {declared.unit}" if declared.unit else ""
            problems.append(
                f"{name} is {value:g}{unit}; allowed is {declared.low:g} to {declared.high:g}{unit}"
            )
    return problems


def check_ranges(record: Any) -> None:
    """Raise when a record holds a number outside its allowed range.

    Parameters
    ----------
    record : dataclass instance
        Record whose declared quantities are checked [-].

    Raises
    ------
    ValueError
        Naming every bad number, what was given and what is allowed.
    """
    problems = out_of_range(record)
    if problems:
        raise ValueError(f"{type(record).__name__}: " + "; ".join(problems))


def ounce_inches_to_mNm(torque_ozin: ArrayLike) -> Floats:
    """Convert a torque-meter reading from ounce-inches.

    Parameters
    ----------
    torque_ozin : array_like
        Torque [oz in].

    Returns
    -------
    numpy.ndarray
        Torque [mN m].

    Examples
    --------
    >>> round(float(ounce_inches_to_mNm(0.4)), 3)
    2.825
    """
    return np.asarray(torque_ozin, dtype=float) * MNM_PER_OUNCE_INCH


def mNm_to_ounce_inches(torque_mNm: ArrayLike) -> Floats:
    """Convert a torque to ounce-inches.

    Parameters
    ----------
    torque_mNm : array_like
        Torque [mN m].

    Returns
    -------
    numpy.ndarray
        Torque [oz in].
    """
    return np.asarray(torque_mNm, dtype=float) / MNM_PER_OUNCE_INCH


def as_given(value: ArrayLike) -> float:
    """Turn a result without dimensions into a plain float and leave arrays alone.

    Parameters
    ----------
    value : array_like
        Result of a calculation [in its own unit].

    Returns
    -------
    float or numpy.ndarray
        A float for a single number, else the array [in the same unit].
    """
    return float(cast(float, value)) if np.ndim(value) == 0 else cast(float, value)


def checked(name: str, value: ArrayLike, low: float, high: float, slip: str) -> Floats:
    """Turn numbers into an array, or say which are outside their range.

    Parameters
    ----------
    name : str
        What the caller calls them [-].
    value : float or array_like
        The numbers [in their own unit].
    low, high : float
        Allowed range, both ends included [in the same unit].
    slip : str
        The likely slip, said in the error [-].

    Returns
    -------
    numpy.ndarray
        The same numbers [in the same unit].

    Raises
    ------
    ValueError
        When a number is outside the range or none at all.
    """
    found = np.asarray(value, dtype=float)
    if not np.all((found >= low) & (found <= high)):  # also catches NaN
        raise ValueError(f"{name} is {value!s}; allowed is {low:.6g} to {high:.6g}; {slip}")
    return found
