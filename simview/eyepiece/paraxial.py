"""First-order optics and third-order sums of a lens behind a telescope.

Rays are pairs (height y, angle n u) followed by refraction n'u' = n u - y (n' - n) c and
transfer y' = y + t u; everything broadcasts over the wavelengths.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece.trace import System

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cardinal:
    """First-order points, each (n,) over the wavelengths.

    Parameters
    ----------
    focal_length_mm
        Equivalent focal length; negative for a Barlow.
    front_focus_mm, back_focus_mm
        Places of the focal points on the axis, the first vertex at 0.
    back_focal_mm
        From the last vertex to the back focal point.
    """

    focal_length_mm: Floats
    front_focus_mm: Floats
    back_focus_mm: Floats
    back_focal_mm: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Seidel:
    """Third-order sums in mm, of the whole lens, and the two sums of first-order colour.

    In the notation of Hopkins and Welford: W040 = spherical / 8, W131 = coma / 2, W222 =
    astigmatism / 2, W220 (at the Petzval surface) = petzval / 4, W311 = distortion / 2. They are
    those of the objective's image seen from the exit pupil's edge (full aperture and field).
    """

    spherical: float
    coma: float
    astigmatism: float
    petzval: float
    distortion: float
    axial_colour: float
    lateral_colour: float


def follow(optics: System, height: Floats, slope: Floats) -> tuple[Floats, Floats]:
    """Follow paraxial rays from the first vertex plane.

    Parameters
    ----------
    height, slope
        (n,) or broadcastable: y in mm at the first vertex and u before it.

    Returns
    -------
    (k + 1, n) heights at the vertices (the last row repeats the last) and (k + 1, n) slopes
    before the first and behind each surface.
    """
    count = len(optics.curvature)
    heights = np.empty((count + 1, len(optics.wavelengths_nm)))
    slopes = np.empty_like(heights)
    y = np.broadcast_to(np.asarray(height, float), heights.shape[1:])
    u = np.broadcast_to(np.asarray(slope, float), heights.shape[1:])
    slopes[0] = u
    for k, c in enumerate(optics.curvature):
        heights[k] = y
        before, behind = optics.index[k], optics.index[k + 1]
        u = (before * u - y * (behind - before) * c) / behind
        slopes[k + 1] = u
        if k + 1 < count:
            y = y + (optics.vertex_mm[k + 1] - optics.vertex_mm[k]) * u
    heights[count] = heights[count - 1]
    return heights, slopes


def cardinal(optics: System) -> Cardinal:
    """Return focal length and focal points at every wavelength.

    Source: Gaussian optics; Born & Wolf, Principles of Optics, section 4.4.
    Checked by: tests/truth/test_lens_relations.py
    """
    one, zero = np.ones(1), np.zeros(1)
    parallel_y, parallel_u = follow(optics, one, zero)
    _, tilted_u = follow(optics, zero, one)
    power = -parallel_u[-1]
    with np.errstate(divide="ignore"):
        focal = 1.0 / power
    back = parallel_y[-1] * focal
    # A ray through the front focal point at distance d before the vertex leaves level.
    front = tilted_u[-1] / parallel_u[-1]
    return Cardinal(
        focal_length_mm=focal,
        front_focus_mm=front,
        back_focus_mm=optics.vertex_mm[-1] + back,
        back_focal_mm=back,
    )


def image_after(optics: System, count: int, object_mm: float) -> float:
    """Return where the first `count` surfaces image the axial point `object_mm`, first wavelength.

    The place is on the axis, the first vertex at 0; before the lens (`count` 0) it is
    `object_mm` itself.
    """
    if count == 0:
        return object_mm
    heights, slopes = follow(optics, np.array([-object_mm]), np.ones(1))
    return float(optics.vertex_mm[count - 1] - heights[count - 1, 0] / slopes[count, 0])


def exit_pupil_mm(optics: System, pupil_mm: float) -> Floats:
    """Return where the lens images the axial point `pupil_mm` (the objective), (n,) mm."""
    heights, slopes = follow(optics, np.array([-pupil_mm]), np.ones(1))
    return np.asarray(optics.vertex_mm[-1] - heights[-1] / slopes[-1])


def seidel(
    optics: System, *, focus_mm: float, pupil_mm: float, focal_ratio: float, height_mm: float
) -> Seidel:
    """Return the third-order sums at the first wavelength, colour between the other two.

    Parameters
    ----------
    optics
        At three wavelengths: the main one, a short and a long one for the colour sums; with one
        wavelength only, the colour sums are 0.
    focus_mm
        Place of the telescope's focus, the first vertex at 0.
    pupil_mm
        Place of the objective.
    focal_ratio
        Of the telescope.
    height_mm
        Of the image point in the focal plane.

    Notes
    -----
    Source: Welford, Aberrations of Optical Systems (1986), sections 8.3 and 10.3.
    Checked by: tests/truth/test_lens_third_order.py
    """
    u0 = 1.0 / (2.0 * focal_ratio)
    chief_u0 = height_mm / (focus_mm - pupil_mm)
    y, u = follow(optics, np.array([-focus_mm * u0]), np.array([u0]))
    yb, ub = follow(optics, np.array([-pupil_mm * chief_u0]), np.array([chief_u0]))
    n = optics.index[:, 0]
    y, u, yb, ub = y[:-1, 0], u[:, 0], yb[:-1, 0], ub[:, 0]
    before, behind = n[:-1], n[1:]
    a = before * (u[:-1] + y * optics.curvature)
    b = before * (ub[:-1] + yb * optics.curvature)
    jump = u[1:] / behind - u[:-1] / before
    lagrange = float(n[0] * (u[0] * yb[0] - ub[0] * y[0]))
    curve = optics.curvature * (1.0 / behind - 1.0 / before)
    one, two, three = -a * a * y * jump, -a * b * y * jump, -b * b * y * jump
    four = -(lagrange**2) * curve
    # b / a (S3 + S4) with a divided out: good also where the marginal ray meets a surface
    # squarely, a = 0.
    five = b * yb * (2.0 * b * y - a * yb) * curve
    five -= b**3 * y * (1.0 / behind**2 - 1.0 / before**2)
    colour = np.zeros_like(before)
    if optics.index.shape[1] > 2:
        spread = (optics.index[:, 1] - optics.index[:, 2]) / n
        colour = spread[1:] - spread[:-1]
    return Seidel(
        spherical=float(one.sum()),
        coma=float(two.sum()),
        astigmatism=float(three.sum()),
        petzval=float(four.sum()),
        distortion=float(five.sum()),
        axial_colour=float((a * y * colour).sum()),
        lateral_colour=float((b * y * colour).sum()),
    )
