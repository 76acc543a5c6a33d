"""What all planets' targets share: mean figures, and the record that leaves the room."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np

from simview.scene.aspect import Aspect
from simview.scene.brightness import planet_magnitude
from simview.scene.ephemeris import moment_notes
from simview.scene.painting import Drawing, boxed, mean_luminance_cd_m2, painter, sunlight
from simview.scene.planet_colours import AGAINST_SUNLIGHT
from simview.scene.scene import Dot, Satellite, Scene, Target
from simview.scene.star_colour import temperature_of_rgb

# Mean distances from the Sun, au. Source: the constant terms of VSOP87's semi-major axes (Bretagnon
# & Francou 1988, A&A 202, 309): 5.202603, 9.554909, 19.218446, 30.110387. Elements that are fitted
# to some centuries differ by up to 0.2 % (Standish, JPL: 5.20336, 9.53707, 19.19126, 30.06896).
SUN_AU: Final = {
    "mercury": 0.3871,
    "venus": 0.7233,
    "mars": 1.5237,
    "jupiter": 5.2026,
    "saturn": 9.5549,
    "uranus": 19.218,
    "neptune": 30.110,
}

# Limb darkening: Minnaert's exponents in red, green, blue. Source: near 1 for the giants in the
# visible, lower in the blue (after Tejfel's profiles), about 0.6 for Mars' dust (memory).
LIMB: Final = {
    "mercury": (0.65, 0.65, 0.65),
    "venus": (0.92, 0.92, 0.90),
    "mars": (0.68, 0.62, 0.52),
    "jupiter": (0.98, 0.97, 0.94),
    "uranus": (0.85, 0.80, 0.75),
    "neptune": (0.85, 0.80, 0.75),
}

# Sizes that may be asked for, arcsec: a little more than what ever happens.
SIZES: Final = {
    "mercury": (4.0, 14.0),
    "venus": (9.0, 68.0),
    "mars": (3.4, 26.0),
    "jupiter": (25.0, 55.0),
    "saturn": (13.0, 22.0),
    "uranus": (3.0, 4.3),
    "neptune": (2.1, 2.5),
}


def lit_share(phase_deg: float) -> float:
    """Return the lit share of a disc."""
    return 0.5 * (1.0 + math.cos(math.radians(phase_deg)))


def given_options(local: dict[str, Any]) -> dict[str, Any]:
    """Return what the user gave, as plain values for the recipe."""
    return {word: value for word, value in local.items() if value is not None}


def mean_opposition(body: str, **values: float) -> dict[str, float]:
    """Return a planet's mean opposition, with its turn."""
    return {"sun_au": SUN_AU[body], "earth_au": SUN_AU[body] - 1.0, **values}


# Part of a blue-green planet's red against blue that it keeps as a star: the rest would be violet,
# for no star is green. Choice.
_KEPT: Final = 0.6


def _as_a_star(against_sunlight: tuple[float, float, float]) -> float:
    """Return the temperature in K of the star that looks most like a planet of this colour."""
    red, green, blue = against_sunlight
    kept = _KEPT if red < blue else 1.0
    return temperature_of_rgb(np.array([red**kept, green, blue**kept]) * sunlight())


def planet_target(  # noqa: PLR0913 - one record, each part named
    body: str,
    held: Aspect,
    given: dict[str, Any],
    *,
    drawing: Drawing,
    contrast: float,
    drawn: str,
    finish: Callable[[Scene], Scene] | None = None,
    extra: str = "",
    shadows: tuple[tuple[str, float], ...] = (),
    moons: tuple[Satellite, ...] = (),
    fetch: Callable[[], None] | None = None,
) -> Target:
    """Return a planet's target.

    Parameters
    ----------
    held
        How it stands.
    given
        What the user gave, for the recipe.
    drawing
        Its globe in relative light.
    contrast
        Michelson contrast of its typical fine detail.
    drawn
        What the caption says of its surface.
    finish
        Adds moons.
    extra
        For the title.
    shadows
        Moons whose shadows lie on it, and how wide they are, arcsec.
    moons
        Those that stand beside it.
    fetch
        Makes what it is painted from, beside other work.
    """
    globe = held.globe
    magnitude = planet_magnitude(
        body, held.sun_au, held.earth_au, globe.phase_deg, latitude_deg=globe.tilt_deg
    )
    across, along = globe.outline
    title = f"{body.capitalize()}, {globe.diameter_arcsec:.1f}″"
    return Target(
        name=body,
        title=f"{title}, {extra}" if extra else title,
        kind="planet",
        size_arcsec=globe.diameter_arcsec,
        paint=painter(
            drawing,
            reach_arcsec=boxed(across, along, globe.pole_angle_deg),
            detail_arcsec=globe.diameter_arcsec / 900.0,
            magnitude=magnitude,
            colour=AGAINST_SUNLIGHT[body],
            finish=finish,
        ),
        magnitude=magnitude,
        luminance_cd_m2=mean_luminance_cd_m2(
            magnitude, math.pi * across * along * lit_share(globe.phase_deg)
        ),
        contrast=contrast,
        declination_deg=held.declination_deg(),
        notes=(
            f"{body.capitalize()}: size and magnitude published (Archinal et al. 2018; Mallama & "
            f"Hilton 2018); {drawn}.",
            *moment_notes(held.seen),
        ),
        recipe={"name": body, **given},
        altitude_deg=held.altitude_deg(),
        # Jupiter has moons beside it, and is never so small.
        dot=None
        if finish
        else Dot(
            diameter_arcsec=globe.diameter_arcsec,
            magnitude=magnitude,
            temperature_k=_as_a_star(AGAINST_SUNLIGHT[body]),
        ),
        shadows=shadows,
        moons=moons,
        fetch=fetch,
    )
