"""Films: a star, or any view, in motion, frame by frame."""

from __future__ import annotations

from collections.abc import Iterator

from PIL.Image import Image, fromarray

from simview.air.conditions import conditions
from simview.door.python import speaks_python
from simview.kit import Kit, Observer, Sky
from simview.picture.films.motion import Motion
from simview.picture.films.view_film import ViewFilm, view_film
from simview.record import require_type
from simview.scene.scene import Target
from simview.scene.targets import as_target


@speaks_python(size="side")
def film(  # noqa: PLR0913 - the public door takes all that a film needs
    kit: Kit,
    target: Target | str,
    *,
    frames: int = 60,
    power: float | None = None,
    eyepiece: int = 0,
    sky: Sky | None = None,
    observer: Observer | None = None,
    side: int = 512,
) -> Iterator[Image]:
    """Give the frames of a view in motion, each as it is computed: boiling air, a shaking mount.

    Parameters
    ----------
    kit
        The instrument and its mount.
    target
        What `simview.target` gives, or its name.
    frames
        How many.
    power, eyepiece
        As in `simview.look`.
    sky, observer
        None takes the kit's own.
    side
        Of a frame in pixels.

    Returns
    -------
    iterator of PIL.Image.Image
        8-bit sRGB, in order; work that is not asked for is not done.

    Raises
    ------
    SimviewError
        As `simview.look`, and for numbers of frames and sides that films cannot have.

    Examples
    --------
    >>> import simview
    >>> scope = simview.Telescope(aperture_mm=150, focal_length_mm=750, obstruction=0.3)
    >>> shown = simview.film(simview.Kit(telescope=scope), "castor", power=150, frames=4, side=256)
    >>> next(shown).size[0] == next(shown).size[0]
    True
    """
    require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
    subject = as_target(target)
    air, eye = conditions((kit,), subject, sky, observer)
    asked = ViewFilm(
        kit=kit,
        target=subject,
        motion=Motion(sky=air, mount=kit.mount, frames=frames),
        observer=eye,
        eyepiece=eyepiece,
        power=power,
        side=side,
    )
    return (fromarray(frame) for frame in view_film(asked, bare=True).frames)
