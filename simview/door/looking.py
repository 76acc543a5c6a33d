"""One look through one instrument, and its picture."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from simview import view as light
from simview.kit import Kit, Observer, Sky
from simview.scene.scene import Target
from simview.telescope.exposure import Engine

if TYPE_CHECKING:
    from PIL.Image import Image


@dataclass(frozen=True, kw_only=True, repr=False)
class View(light.View):
    """One look through one instrument at one object; `simview.look` gives it.

    Its figures stand in `numbers`; `image` draws it, and notebooks show it as a picture.
    """

    def image(self, pixels_per_degree: float = 30.0) -> Image:
        """Return the view as a picture, its field stop drawn.

        Parameters
        ----------
        pixels_per_degree
            Of apparent angle, 0.5 to 240.

        Returns
        -------
        PIL.Image.Image
            Square, 8-bit sRGB.

        Raises
        ------
        SimviewError
            For a scale out of range.
        """
        from simview.picture.views.compose import picture_of

        return picture_of(self, pixels_per_degree=pixels_per_degree)

    def _repr_png_(self) -> bytes:
        """Return the picture that a notebook shows, about 500 pixels across."""
        file = io.BytesIO()
        self.image(pixels_per_degree=500.0 / self.beam.apparent_field_deg).save(file, "PNG")
        return file.getvalue()


def look(  # noqa: PLR0913 - the public door takes all that the path needs
    kit: Kit,
    target: Target | str,
    *,
    eyepiece: int = 0,
    power: float | None = None,
    amplifiers: Sequence[int] = (),
    sky: Sky | None = None,
    observer: Observer | None = None,
    engine: Engine = "native",
    traced: bool = True,
) -> View:
    """Follow the light from a target through a kit to the retina.

    Parameters
    ----------
    kit
        Telescope, binocular or naked eye; `simview.load_kit` reads one.
    target
        What `simview.target` gives, or its name.
    eyepiece
        Which of the kit's eyepieces, counted from 0.
    power
        Asks for a power instead, times: with the kit's own pieces if they give it, otherwise with
        an imagined eyepiece (then ``view.beam.in_the_box`` is False).
    amplifiers
        Which of the kit's amplifiers stand before the eyepiece, counted from 0.
    sky
        None takes the kit's own, and the height at which a dated target stands.
    observer
        None takes the kit's own.
    engine
        "native" or "poppy", for the telescope's point spread.
    traced
        False leaves out what the eyepiece's glass does off the middle of the field.

    Returns
    -------
    View
        Figures in ``view.numbers`` (their units by `simview.unit`), picture by ``view.image()``.

    Raises
    ------
    SimviewError
        For an unknown target, pieces that do not go together, an absurd power.

    Examples
    --------
    >>> import simview
    >>> kit = simview.Kit(
    ...     telescope=simview.Telescope(aperture_mm=150, focal_length_mm=750, obstruction=0.3),
    ...     eyepieces=[simview.Eyepiece(focal_length_mm=10)],
    ... )
    >>> view = simview.look(kit, "jupiter")
    >>> view.numbers["power"], view.numbers["exit_pupil_mm"]
    (75.0, 2.0)
    >>> view.image(pixels_per_degree=8).size[0] > 400
    True
    """
    found = light.follow(
        kit,
        target,
        eyepiece=eyepiece,
        power=power,
        amplifiers=amplifiers,
        sky=sky,
        observer=observer,
        engine=engine,
        traced=traced,
    )
    return View(**{spot.name: getattr(found, spot.name) for spot in fields(found)})
