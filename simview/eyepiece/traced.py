"""A kit's eyepiece as traced glass, and what that glass does to a view: the door for `look`."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.eyepiece import designs
from simview.eyepiece.distortion import distort, distort_smooth, fading
from simview.eyepiece.field_blur import apply_field_blur
from simview.eyepiece.field_edge import bounded
from simview.eyepiece.lens import LensError
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.lensfile import NAMES, lens
from simview.kit import Eyepiece, Telescope
from simview.memory import remembered

# Least apparent field that is traced, deg; below it nothing varies over the field.
_LEAST_FIELD: Final = 5.0

# A piece whose field is wider than that of its design's layout by more than this factor is no such
# piece, whatever its name: the layout would end its field in a dark ring. Judged by eye: a Ploessl
# of 55 deg is still traced, a Kellner of 50 deg would be dark at its rim.
_WIDEST: Final = 1.1


@remembered(32)
def traced(
    scope: Telescope,
    piece: Eyepiece,
    *,
    factor: float = 1.0,
    apparent_field_deg: float | None = None,
) -> EyepieceFigures | None:
    """Return the figures of a kit's eyepiece, or None where no layout of its design has its field.

    Parameters
    ----------
    factor
        Of the amplifiers together; they lengthen the cone and move the objective's image away,
        taken as a telescope of `factor` times the focal length.
    apparent_field_deg
        Full diameter; None takes the piece's own, or what is usual for the design.
    """
    if piece.design not in NAMES:
        return None
    layout = lens(piece.design, piece.focal_length_mm)
    field = apparent_field_deg or designs.apparent_field_deg(piece)
    if field > _WIDEST * layout.apparent_field_deg:
        return None
    focal = scope.focal_length_mm * factor
    ratio = min(max(focal / scope.working_aperture_mm, 1.5), 200.0)
    try:
        return eyepiece_figures(
            layout, None, ratio, focal, apparent_field_deg=max(field, _LEAST_FIELD)
        )
    except LensError:
        return None


def fades(
    pixels: int, pixels_per_degree: float, figures: EyepieceFigures, *, used_pupil: float
) -> NDArray[np.float32] | None:
    """Return the share of an even field's light that the glass leaves, by drawing it larger.

    (pixels, pixels); None where it leaves all. Rims and the field stop do not count.
    """
    return fading(pixels, pixels_per_degree, figures) if used_pupil >= 1.0 else None


def through_glass(
    planes: NDArray[np.floating],
    pixels_per_degree: float,
    figures: EyepieceFigures,
    *,
    weights: NDArray[np.floating],
    used_pupil: float = 1.0,
    obstruction: float = 0.0,
    smooth: bool = False,
) -> NDArray[np.float32]:
    """Return a view as the eyepiece's glass shows it: bent, blurred, coloured, bounded.

    Parameters
    ----------
    planes
        (p, ny, nx) light at sky angle x power, the middle of the field on pixel n // 2.
    pixels_per_degree
        Of apparent angle.
    weights
        (p, 9) of the planes for nine equal bands of 420 to 690 nm.
    used_pupil
        Part of the exit pupil's diameter that enters the eye. Below 1 surfaces keep their
        brightness where they are drawn larger, otherwise they are dimmed by their area.
    obstruction
        Diameter of the secondary against the used pupil.
    smooth
        Whether the light varies over degrees only, where no blur would show: it is left out.

    Returns
    -------
    (p, ny, nx) float32; dark outside the field stop.
    """
    dim = used_pupil >= 1.0
    if smooth:
        seen = distort_smooth(planes, pixels_per_degree, figures, dim=dim)
    else:
        seen = distort(planes, pixels_per_degree, figures, dim=dim)
        seen = apply_field_blur(
            seen,
            pixels_per_degree,
            figures,
            weights=weights,
            used_pupil=used_pupil,
            obstruction=obstruction,
            out=seen,
        )
    return bounded(seen, pixels_per_degree, figures, weights=weights)
