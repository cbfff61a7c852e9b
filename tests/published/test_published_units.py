"""Units against NIST SP 811 (2008), through pint 0.25 and scipy 1.17; tolerance 1e-9."""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import units


def test_factors() -> None:
    assert pytest.approx(7.061551814, rel=1e-9) == units.MNM_PER_OUNCE_INCH
    assert units.G_PER_OUNCE == 28.349523125
    assert units.MM_PER_INCH == 25.4
    assert units.MM_PER_FOOT == 304.8
    assert units.STANDARD_GRAVITY_M_S2 == 9.80665


def test_an_ounce_inch_in_gram_force_centimetres() -> None:
    gram_force_cm_mNm = 9.80665e-2
    assert units.MNM_PER_OUNCE_INCH / gram_force_cm_mNm == pytest.approx(72.0078, abs=5e-5)


def test_scalar_and_array() -> None:
    torque = units.ounce_inches_to_mNm(np.array([0.4, 0.65, 0.85]))
    assert torque == pytest.approx([2.8246207, 4.5900087, 6.0023190], abs=5e-8)
    assert units.mNm_to_ounce_inches(torque) == pytest.approx([0.4, 0.65, 0.85], rel=1e-12)
