"""An eyepiece's own glass, traced."""

from __future__ import annotations

from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.kit import Telescope
from simview.record import require_type


def trace_eyepiece(
    design: str,
    focal_length_mm: float,
    telescope: Telescope,
    *,
    apparent_field_deg: float | None = None,
) -> EyepieceFigures:
    """Trace an eyepiece's glass behind a telescope.

    Parameters
    ----------
    design
        "huygens", "ramsden", "kellner", "plossl" or another of the library.
    focal_length_mm
        1 to 100 mm.
    telescope
        Gives the focal ratio, 1.5 to 200, and the distance of its objective.
    apparent_field_deg
        Full diameter, 5 to 120 deg; None takes the layout's own.

    Returns
    -------
    EyepieceFigures
        Eye relief, distortion, curvature, colour and blur over the field.

    Raises
    ------
    SimviewError
        For an unknown design, a value out of range, or a layout that does not pass the light.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=150, focal_length_mm=750)
    >>> traced = simview.trace_eyepiece("plossl", 20, scope)
    >>> round(traced.exit_pupil_mm, 3)
    4.0
    """
    require_type("telescope", telescope, Telescope, "a Telescope")
    return eyepiece_figures(
        design,
        focal_length_mm,
        telescope.focal_ratio,
        telescope.focal_length_mm,
        apparent_field_deg=apparent_field_deg,
    )
