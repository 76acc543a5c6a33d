"""The showpieces of the deep sky, and any field of it, as targets."""

from __future__ import annotations

import math
from typing import Final

from simview.errors import require_range
from simview.scene import clusters, faint_stars, galaxies, nebulae, open_clusters
from simview.scene.painting import mean_luminance_cd_m2
from simview.scene.scene import Scene, Target, TargetKind
from simview.scene.sky import row_of, sky_scene
from simview.scene.star_catalogue import NOTE as STARS_NOTE

_NOTES: Final = {
    "open": open_clusters.NOTE,
    "globular": clusters.GLOBULAR_NOTE,
    "galaxy": galaxies.NOTE,
    "planetary": nebulae.NOTE,
    "nebula": nebulae.NOTE,
}

# Michelson contrast of typical fine detail inside the object: judged.
_CONTRAST: Final = {"open": 1.0, "globular": 0.5, "galaxy": 0.15, "planetary": 0.3, "nebula": 0.3}


def showpiece(name: str, camera: bool = False) -> Target:
    """Return an object of the table by its own name, with all that lies around it.

    Parameters
    ----------
    camera
        True shows nebulae in the light that a camera collects (the red line of hydrogen in full),
        for a photograph's promise beside the eye's view.
    """
    row = row_of(name)
    centre = (float(row["ra_deg"]), float(row["dec_deg"]))
    kind, magnitude = row["kind"], float(row["magnitude"])
    major, minor = 60.0 * float(row["major_arcmin"]), 60.0 * float(row["minor_arcmin"])
    told: TargetKind = "stars" if kind == "open" else "deep-sky"

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        return sky_scene(centre, pixel_arcsec, pixels, camera=bool(camera))

    glows = kind != "open"
    return Target(
        name=name,
        title=row["title"],
        kind=told,
        size_arcsec=major,
        paint=paint,
        magnitude=magnitude,
        luminance_cd_m2=mean_luminance_cd_m2(magnitude, math.pi / 4.0 * major * minor)
        if glows
        else None,
        contrast=_CONTRAST[kind],
        declination_deg=centre[1],
        notes=(
            _NOTES[kind],
            STARS_NOTE,
            faint_stars.NOTE,
        ),
        recipe={"name": name, **({"camera": True} if camera else {})},
    )


def field(ra_deg: float, dec_deg: float, width_arcmin: float = 60.0) -> Target:
    """Return any star field.

    Parameters
    ----------
    ra_deg
        Right ascension J2000, 0 to 360 deg.
    dec_deg
        Declination J2000, -90 to 90 deg.
    width_arcmin
        How much of the sky is meant, 1 to 3600 arcmin.
    """
    ra_deg = require_range("ra_deg", ra_deg, -360.0, 360.0, unit="deg") % 360.0
    dec_deg = require_range("dec_deg", dec_deg, -90.0, 90.0, unit="deg")
    width_arcmin = require_range("width_arcmin", width_arcmin, 1.0, 3600.0, unit="arcmin")

    def paint(pixel_arcsec: float, pixels: int) -> Scene:
        return sky_scene((ra_deg, dec_deg), pixel_arcsec, pixels)

    return Target(
        name="field",
        title=f"Star field at RA {ra_deg / 15.0:.2f} h, Dec {dec_deg:+.1f}°",
        kind="stars",
        size_arcsec=width_arcmin * 60.0,
        paint=paint,
        declination_deg=dec_deg,
        notes=(STARS_NOTE, faint_stars.NOTE),
        recipe={
            "name": "field",
            "ra_deg": ra_deg,
            "dec_deg": dec_deg,
            "width_arcmin": width_arcmin,
        },
    )
