"""Thin plates, flat or cambered, at the Reynolds numbers of a small indoor aeroplane.

Below a Reynolds number of about 70,000 a thin circular-arc plate has more lift for its drag
than a thick section (E. V. Laitone, Experiments in Fluids 23 (1997) 405). The model here blends
attached flow into fully separated flow, so it holds through the stall and at negative angles.

How the constants were found: least squares through the lift and drag that NeuralFoil 0.3.3
"xlarge" gives for arcs of 4, 5 and 6 % and a flat plate, Reynolds number 10,000 and 20,000,
angles 0 to 6 degrees. All 69 figures are met within 25 %, 57 of them within 15 %. NeuralFoil is
a fit to another code and not a measurement. That fit is flat in three numbers: the angle of no
lift, the power of the Reynolds number and the angle of separation. They were chosen so that thin
plates stall near 8 to 10 degrees and the test aeroplane dives and stalls at the changes of
decalage the trade sees (common practice, no source): those rows are fitted, not predicted.

With Helmbold's wing the flat plate also meets a measured wing of aspect ratio 2, which was not
used (Pelletier and Mueller, J. Aircraft 37(5), 2000). Outside those angles and cambers the shape
is assumed: a plate at right angles to the flow, cn = 1.9 sin a / (0.56 + 0.44 |sin a|), from
Hoerner, Fluid-Dynamic Lift, 1975, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from trimkit.units import Floats, as_given, checked

LOWEST_REYNOLDS, HIGHEST_REYNOLDS = 8_000.0, 30_000.0
MOST_CAMBER_PERCENT = 8.0
LEAST_QUALITY = 0.7

LIFT_SLOPE_PER_RAD = 6.28  # thin-airfoil theory's 2 pi; a fit left free goes there too
ZERO_LIFT_DEG_PER_PERCENT = -0.62  # chosen, see above; an arc in ideal flow would have -1.15
LIFT_REYNOLDS_POWER_PER_PERCENT = 0.006  # chosen, see above; a flat plate hardly depends on it
SEPARATION_DEG = 10.0  # chosen, see above: half of the flow has left the upper side
LOWER_SEPARATION_DEG = -SEPARATION_DEG  # a flat plate is the same upside down
LOWER_SEPARATION_PER_PERCENT = 1.51  # fitted: camber brings that nearer to zero
WIDTH_DEG = 1.8  # fitted
LEAST_DRAG = 0.0239  # fitted; two-sided laminar friction, 2.656/sqrt(Re), is 0.0233
LEAST_DRAG_PER_PERCENT = 0.0016  # fitted
DRAG_RISE = 0.125  # fitted
LEAST_DRAG_LIFT_PER_PERCENT = 0.11  # fitted
MOMENT_PER_PERCENT = -0.017  # assumed: about half of thin-airfoil theory
REFERENCE_REYNOLDS = 13_000.0
POOR_COVERING_DRAG = 0.12  # assumed: drag for each 1 of lost covering quality


@dataclass(frozen=True, slots=True)
class SectionCoefficients:
    """Forces and moment of a section, for each unit of span.

    Parameters
    ----------
    lift : float or numpy.ndarray
        Lift coefficient [-].
    drag : float or numpy.ndarray
        Drag coefficient, friction and pressure, without induced drag [-].
    moment : float or numpy.ndarray
        Moment coefficient about the quarter chord, + nose up [-].
    """

    lift: float
    drag: float
    moment: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A thin plate, as the constants of its curve.

    Parameters
    ----------
    lift_slope_per_rad : float
        Slope of the attached lift [1/rad].
    zero_lift_deg : float
        Angle at which the attached lift vanishes [deg].
    lift_reynolds_power : float
        Attached lift grows with this power of the Reynolds number [-].
    stall_deg : float
        Angle of greatest lift [deg].
    separation_deg : float
        Angle at which half of the flow has left the upper side [deg].
    negative_stall_deg : float
        Angle at which half of the flow has left the lower side [deg].
    stall_width_deg : float
        How gradual that is [deg].
    least_drag : float
        Least drag coefficient at the reference Reynolds number [-].
    drag_rise : float
        Rise of drag with the square of lift [-].
    least_drag_lift : float
        Lift coefficient at which the drag is least [-].
    pitching_moment : float
        Moment coefficient about the quarter chord in attached flow [-].
    reference_reynolds : float
        Reynolds number of `least_drag` and of `lift_slope_per_rad` [-].
    covering_quality : float
        1 for smooth and whole [-].
    """

    lift_slope_per_rad: float
    zero_lift_deg: float
    lift_reynolds_power: float
    stall_deg: float
    separation_deg: float
    negative_stall_deg: float
    stall_width_deg: float
    least_drag: float
    drag_rise: float
    least_drag_lift: float
    pitching_moment: float
    reference_reynolds: float
    covering_quality: float

    def attached_share(self, alpha_deg: ArrayLike) -> Floats:
        """Say how much of the flow is attached.

        Parameters
        ----------
        alpha_deg : float or array_like
            Angle of attack [deg].

        Returns
        -------
        numpy.ndarray
            1 when all of it follows the plate, 0 when none does [-].
        """
        alpha = np.asarray(alpha_deg, dtype=float)
        upper = 1 + np.exp((alpha - self.separation_deg) / self.stall_width_deg)
        lower = 1 + np.exp((self.negative_stall_deg - alpha) / self.stall_width_deg)
        return np.asarray(1 / (upper * lower))

    def coefficients(self, alpha_deg: ArrayLike, reynolds: ArrayLike) -> SectionCoefficients:
        """Work out lift, drag and moment at an angle.

        Parameters
        ----------
        alpha_deg : float or array_like
            Angle of attack, -90 to 90 [deg].
        reynolds : float or array_like
            Reynolds number, 8,000 to 30,000 [-].

        Returns
        -------
        SectionCoefficients
            Scalars for scalars, arrays for arrays [-].

        Raises
        ------
        ValueError
            When angle or Reynolds number is outside its range.

        Examples
        --------
        >>> found = plate(5.0).coefficients(4.0, 20_000)
        >>> round(found.lift, 2), round(found.drag, 3)
        (0.75, 0.033)
        """
        alpha = checked("alpha_deg", alpha_deg, -90, 90, "is it in another unit?")
        number = checked(
            "reynolds",
            reynolds,
            LOWEST_REYNOLDS,
            HIGHEST_REYNOLDS,
            "is the speed in m/s and the chord in mm?",
        )
        return self._blend(alpha, number / self.reference_reynolds)

    def lift(self, alpha_deg: Floats, reynolds: Floats) -> Floats:
        """Work out the lift alone, for a search that asks many times: no range is checked.

        Parameters
        ----------
        alpha_deg : numpy.ndarray
            Angles of attack, -90 to 90 [deg].
        reynolds : numpy.ndarray
            Reynolds numbers, 8,000 to 30,000 [-].

        Returns
        -------
        numpy.ndarray
            Lift coefficients, those of `coefficients` to the last bit [-].
        """
        attached = self.attached_share(alpha_deg)
        linear, normal, angle = self._flows(alpha_deg, reynolds / self.reference_reynolds, attached)
        return np.asarray(self.covering_quality * (attached * linear + normal * np.cos(angle)))

    def _flows(
        self, alpha_deg: Floats, reynolds_ratio: Floats, attached: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Lift of attached flow, push across the plate of the rest, and the angle in radians."""
        angle = np.radians(alpha_deg)
        sine = np.sin(angle)
        normal = (1 - attached) * 1.9 * sine / (0.56 + 0.44 * np.abs(sine))
        linear = self.lift_slope_per_rad * np.sin(angle - np.radians(self.zero_lift_deg))
        return linear * reynolds_ratio**self.lift_reynolds_power, normal, angle

    def _blend(self, alpha_deg: Floats, reynolds_ratio: Floats) -> SectionCoefficients:
        attached = self.attached_share(alpha_deg)
        linear, normal, angle = self._flows(alpha_deg, reynolds_ratio, attached)
        friction = self.least_drag / np.sqrt(reynolds_ratio)
        rise = attached * self.drag_rise * (linear - self.least_drag_lift) ** 2
        lever = 0.075 + 0.1114 * np.abs(angle)  # assumed: centre of pressure goes to mid chord
        quality = self.covering_quality
        return SectionCoefficients(
            as_given(quality * (attached * linear + normal * np.cos(angle))),
            as_given(friction + rise + normal * np.sin(angle) + POOR_COVERING_DRAG * (1 - quality)),
            as_given(quality * (attached * self.pitching_moment - normal * lever)),
        )


@lru_cache(maxsize=64)
def plate(camber_percent: float, covering_quality: float = 1.0) -> Section:
    """Make the section of a thin plate bent to a circular arc.

    Parameters
    ----------
    camber_percent : float
        Height of the arc in percent of the chord, 0 (flat) to 8 [-].
    covering_quality : float
        1 for a smooth whole covering, down to 0.7; lift falls with it and drag rises [-].

    Returns
    -------
    Section
        The constants [-].

    Raises
    ------
    ValueError
        When camber or quality is outside its range.

    Examples
    --------
    >>> round(plate(5.0).stall_deg, 1)
    8.3
    """
    checked("camber_percent", camber_percent, 0, MOST_CAMBER_PERCENT, "0.05 would be 5 %")
    checked("covering_quality", covering_quality, LEAST_QUALITY, 1, "97 would be 0.97")
    made = Section(
        lift_slope_per_rad=LIFT_SLOPE_PER_RAD,
        zero_lift_deg=ZERO_LIFT_DEG_PER_PERCENT * camber_percent,
        lift_reynolds_power=LIFT_REYNOLDS_POWER_PER_PERCENT * camber_percent,
        stall_deg=SEPARATION_DEG,
        separation_deg=SEPARATION_DEG,
        negative_stall_deg=LOWER_SEPARATION_DEG + LOWER_SEPARATION_PER_PERCENT * camber_percent,
        stall_width_deg=WIDTH_DEG,
        least_drag=LEAST_DRAG + LEAST_DRAG_PER_PERCENT * camber_percent,
        drag_rise=DRAG_RISE,
        least_drag_lift=LEAST_DRAG_LIFT_PER_PERCENT * camber_percent,
        pitching_moment=MOMENT_PER_PERCENT * camber_percent,
        reference_reynolds=REFERENCE_REYNOLDS,
        covering_quality=covering_quality,
    )
    return _with_stall(made)


def _with_stall(section: Section) -> Section:
    angles = np.linspace(0.0, SEPARATION_DEG, 1061)
    lift = np.asarray(section.coefficients(angles, REFERENCE_REYNOLDS).lift)
    rising = np.diff(lift) > 0
    first_fall = int(np.argmin(rising)) if not rising.all() else angles.size - 1
    return replace(section, stall_deg=float(angles[first_fall]))
