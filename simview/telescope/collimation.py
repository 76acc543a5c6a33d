"""A star behind a mirror that has been turned by its screws, and what to turn next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simview.errors import FitError, SimviewError, require_range
from simview.kit import Kit, Telescope
from simview.record import require_type
from simview.telescope.faults import apply_faults
from simview.telescope.flat_screws import FlatScrews
from simview.telescope.focus import through_focus
from simview.telescope.opening import REFERENCE_NM
from simview.telescope.screws import NAMES, Screws

# More turns than any mirror cell has thread for. A choice.
MOST_TURNS = 20.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CollimationView:
    """A star out of focus behind a mirror turned by its screws.

    Parameters
    ----------
    image
        (pixels, pixels) float64, the star on pixel ``pixels // 2``, as the sky is seen along the
        tube from behind the mirror: up is up, right is right. Sums to the share of the light
        that the grid catches.
    pixel_arcsec
        Side of a pixel.
    axis_off_mm
        How far the mirror's axis stands from the star in the focal plane.
    tolerance_mm
        How far off it may stand: a quarter wave of coma.
    next
        Screw letter and turns (positive pushes the mirror towards the sky) by the sheet's own
        rule; None when it is good enough.
    """

    image: NDArray[np.float64]
    pixel_arcsec: float
    axis_off_mm: float
    tolerance_mm: float
    next: tuple[str, float] | None

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> NDArray[Any]:
        """Return the image."""
        return np.array(self.image, dtype=dtype, copy=True if copy is None else copy)

    def __repr__(self) -> str:
        shape = "x".join(map(str, self.image.shape))
        return (
            f"CollimationView({shape} at {self.pixel_arcsec:g} arcsec, "
            f"axis_off_mm={self.axis_off_mm:.3g}, tolerance_mm={self.tolerance_mm:.3g}, "
            f"next={self.next})"
        )


def collimation(  # noqa: PLR0913 (the screws' and the picture's settings)
    kit: Kit,
    *,
    turns: Sequence[float] = (0.0, 0.0, 0.0),
    defocus_waves: float = 5.0,
    pixel_arcsec: float = 0.4,
    pixels: int = 160,
    wavelengths_nm: Sequence[float] = (REFERENCE_NM,),
    circle_mm: float | None = None,
    pitch_mm: float | None = None,
    first_deg: float = 90.0,
    focuser_deg: float | None = None,
) -> CollimationView:
    """Return a star out of focus after turns of the three collimating screws.

    They stand behind a Newtonian's or a Maksutov's primary, or before a Cassegrain's or a
    Schmidt-Cassegrain's secondary.

    The mirror was in line before the turns; the telescope is pointed so that the star stands in
    the middle of the field again.

    Parameters
    ----------
    kit
        Any with mirrors; its own faults stay in.
    turns
        (3,) whole turns of A, B and C, -20 to 20; positive pushes the mirror towards the sky.
    defocus_waves
        Of the eyepiece, waves at 550 nm, -60 to 60; positive is outside focus.
    pixel_arcsec, pixels
        Of the image.
    wavelengths_nm
        (n,) of the star's light in equal shares.
    circle_mm
        Diameter of the circle on which the screws stand, no wider than the mirror that they hold;
        None for what is usual: 0.7 of the aperture behind a primary, 0.4 of the shadow before a
        secondary.
    pitch_mm
        By which one turn moves its side of the mirror; None for 1 mm, 0.7 mm at a secondary.
    first_deg
        Where screw A stands, anticlockwise from the right as seen along the tube from behind the
        mirror; B and C follow at thirds of the circle.
    focuser_deg
        Where a Newtonian's focuser stands, seen the same way: the screws are then those of its
        secondary, the primary is set again on the star after the turns, and `axis_off_mm` and
        `tolerance_mm` are of the secondary's shadow on the primary. None for the screws that
        collimate.

    Returns
    -------
    CollimationView

    Raises
    ------
    SimviewError
        For a kit without such screws, or a value out of range.

    Notes
    -----
    Checked by: tests/truth/test_collimation_loop.py, tests/truth/test_folded_loop.py,
    tests/truth/test_flat_loop.py
    (exact rays)

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=150.0, focal_length_mm=750.0, obstruction=0.3)
    >>> shown = simview.collimation(simview.Kit(telescope=scope), turns=(0.25, 0.0, 0.0))
    >>> shown.next
    ('A', -0.25)
    """
    how: dict[str, Any] = {
        "scope": with_screws(kit),
        "circle_mm": circle_mm,
        "pitch_mm": pitch_mm,
        "first_deg": first_deg,
        "layout": kit.layout,
    }
    screws = Screws(**how) if focuser_deg is None else FlatScrews(**how, focuser_deg=focuser_deg)
    a, b, c = _checked(turns)
    tilt = screws.tilt((a, b, c))
    found = apply_faults(screws.scope, (screws.fault(tilt),), layout=kit.layout)
    stack = through_focus(
        found.scope,
        (defocus_waves,),
        wavelengths_nm=wavelengths_nm,
        pixel_arcsec=pixel_arcsec,
        pixels=pixels,
        extras=found.extras,
    )
    further = screws.next_turn(tilt)
    return CollimationView(
        image=stack[0].mean(axis=0, dtype=np.float64),
        pixel_arcsec=float(pixel_arcsec),
        axis_off_mm=screws.off_mm(tilt),
        tolerance_mm=screws.tolerance_mm,
        next=None if further is None else (further[0], round(further[1], 12)),
    )


def with_screws(kit: Kit) -> Telescope:
    """Return a kit's telescope; `Screws` tells whether it has collimating screws.

    Raises
    ------
    FitError
        For a kit without a telescope.
    """
    require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
    if kit.telescope is None:
        raise FitError("collimation", got=f"a kit with {kit.kind}", allowed="a telescope")
    return kit.telescope


def _checked(turns: Sequence[float]) -> tuple[float, float, float]:
    if np.shape(turns) != (len(NAMES),):
        raise SimviewError("turns", got=turns, allowed="three numbers, for A, B and C")
    a, b, c = (
        require_range(f"turns of {name}", turn, -MOST_TURNS, MOST_TURNS, unit="turns")
        for name, turn in zip(NAMES, turns, strict=True)
    )
    return a, b, c
