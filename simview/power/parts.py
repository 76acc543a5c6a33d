"""What each part of the light path alone would let an eye make out: aperture, air, mount, eye.

The same object, contrast and light as in the whole curve; all other parts are left out. The
whole can be no better than the worst of its parts, so these are its bounds. `steps` tells of one
view how detail grows coarser as each part comes in, `star_steps` how a star grows wider.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.air import alone
from simview.air.alone import is_calm
from simview.air.seeing import seeing_at_arcsec
from simview.eye.clarity import width_arcsec
from simview.eye.contrast import receptor_transfer, sensitivity
from simview.eye.optics import aberration_transfer
from simview.eye.starimage import star_image, star_width
from simview.eye.state import EyeState
from simview.eye.stations import Station
from simview.eye.system import LightPath
from simview.eye.transfer import transfer_curve
from simview.kit import Mount, Sky
from simview.power.finest import period_at, periods_at, seen_contrast, troland_of
from simview.scene.scene import Target
from simview.telescope.mount import shake_rms_arcsec, shake_transfer

Array = NDArray[np.float64]

# Frequency past which no bound is sought, cycles/arcsec: 25 metres of aperture.
FINEST_CYCLES: Final = 200.0

# A mount's shake that makes detail less than so many times as coarse is not told, nor is what makes
# a star less than so many times as wide. Choice.
_ADDS: Final = 1.01

# How far out a star's image is asked for, in its widths: no width needs more.
_REACH: Final = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Finest detail (half a period, arcsec) that each part alone leaves.

    Parameters
    ----------
    aperture_arcsec, air_arcsec, mount_arcsec
        With the eye at its most sensitive; None where a part takes nothing, or where the object's
        contrast is too low for any eye. All but the average of long exposures takes the image's
        wander out, which has a meaning for one aperture only: there the air's figure is that of
        the air before this aperture.
    eye_arcsec
        At each power; None where even the eye alone makes out nothing.
    """

    aperture_arcsec: float | None
    air_arcsec: float | None
    mount_arcsec: float | None
    eye_arcsec: tuple[float | None, ...]


def parts(places: Sequence[Station], target: Target) -> Parts:
    """Return the bounds that aperture, air, mount and eye set on one object's detail.

    Parameters
    ----------
    places
        The powers of a curve, from `simview.eye.stations`.
    target
        With a luminance; otherwise there are no bounds.

    Notes
    -----
    Checked by: tests/unit/power/test_parts.py
    """
    lit = [place for place in places if place.eye.object_cd_m2 and not place.dark]
    if target.luminance_cd_m2 is None or not lit:
        return Parts(
            aperture_arcsec=None,
            air_arcsec=None,
            mount_arcsec=None,
            eye_arcsec=(None,) * len(places),
        )
    least = min(_least_transfer(place, target) for place in lit)
    # The aperture's bound is the whole aperture's: powers so low that the eye stops it are the
    # eye's own doing.
    whole = max(lit, key=lambda place: place.path.beam.aperture_mm)
    scope, sky = whole.path.scope, whole.path.sky
    if whole.path.fault_arcsec:
        scope = places[-1].path.scope
    space = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)
    still = Mount(kind="fixed")
    aperture = transfer_curve(
        scope,
        space,
        still,
        aperture_mm=whole.path.beam.aperture_mm,
        obstruction=whole.path.beam.obstruction,
    )
    g = np.geomspace(1e-4, FINEST_CYCLES, 2000)
    air = alone.kept(sky, g, whole.path.beam.aperture_mm)
    if sky.air not in ("long", "none"):
        air = air * aperture(g)
    shake = np.asarray(shake_transfer(whole.path.mount, g, np.zeros_like(g)))
    return Parts(
        aperture_arcsec=_half_period(g, aperture(g), least),
        air_arcsec=None if is_calm(sky) else _half_period(g, air, least),
        mount_arcsec=_half_period(g, shake, least),
        eye_arcsec=tuple(
            period and period / 2.0 for period in periods_at(places, target, np.ones_like)
        ),
    )


def steps(path: LightPath, eye: EyeState, target: Target) -> list[tuple[str, float]]:
    """Return the finest detail in one view as its parts come in, one after the other, arcsec.

    First what the eye alone would make out at this power, then the same eye through the aperture
    without air, then with the air, then on its mount. The last is the finest detail. What takes
    nothing is left out: an air that is not there, a mount that adds less than a hundredth.

    Notes
    -----
    Checked by: tests/unit/power/test_parts.py
    """
    space = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)
    shakes = shake_rms_arcsec(path.mount) > 0.0
    # One that does not shake stands for itself: its curves have been made for the whole.
    still = Mount(kind="fixed") if shakes else path.mount
    before = {"aperture": (space, still)}
    if not is_calm(path.sky):
        before["air"] = (path.sky, still)
    if shakes:
        before["mount"] = (path.sky, path.mount)
    found = {"eye": period_at(path, eye, target, np.ones_like)}
    for part, (sky, mount) in before.items():
        kept = transfer_curve(
            path.scope,
            sky,
            mount,
            aperture_mm=path.beam.aperture_mm,
            obstruction=path.beam.obstruction,
        )
        found[part] = period_at(path, eye, target, kept)
    told = {part: period / 2.0 for part, period in found.items() if period is not None}
    if "mount" in told:
        *_, last = (part for part in told if part != "mount")
        if told["mount"] < _ADDS * told[last]:
            told[last] = told.pop("mount")
    return list(told.items())


def star_steps(path: LightPath) -> list[tuple[str, float]]:
    """Return how wide a star is in one view as the parts come in, one after the other, arcsec.

    Full width at half maximum, the mean over directions: first of the aperture alone, then with the
    air of the object's height, with that air's prism, on the mount, and to the eye: the last is
    `simview.eye.clarity.width_arcsec`. What takes nothing is left out, and so is what adds less
    than a hundredth, but for the air and the eye.

    Notes
    -----
    Checked by: tests/unit/power/test_parts.py
    """
    sky, still = path.sky, Mount(kind="fixed")
    space = Sky(air="none", altitude_deg=90.0, extinction_mag=0.0)
    before = {"aperture": replace(path, sky=space, mount=still)}
    if not is_calm(sky):
        overhead = replace(sky, altitude_deg=90.0, seeing_arcsec=seeing_at_arcsec(sky))
        before["air"] = replace(path, sky=overhead, mount=still)
        before["prism"] = replace(path, mount=still)
    before["mount"] = path
    whole = width_arcsec(path)
    reach = _REACH * whole
    found: list[tuple[str, float]] = []
    for part, each in before.items():
        image = star_image(each, reach, with_eye=False)
        width = star_width(image, path.beam.aperture_mm)
        if part in ("aperture", "air") or width >= _ADDS * found[-1][1]:
            found.append((part, width))
    return [*found, ("eye", max(whole, found[-1][1]))]


def _least_transfer(place: Station, target: Target) -> float:
    """Return the contrast that telescope and air must keep for this eye at its best frequency."""
    beam = place.path.beam
    u = np.geomspace(0.3, 60.0, 60)
    eyes: Literal[1, 2] = 2 if place.eye.eyes == 2 else 1
    seen = aberration_transfer(u, beam.used_pupil_mm) * receptor_transfer(u, place.eye.sight)
    seen *= sensitivity(
        u,
        troland=troland_of(place.eye),
        object_deg=target.size_arcsec * beam.power / 3600.0,
        eyes=eyes,
    )
    return float(1.0 / max(seen.max() * seen_contrast(place.eye, target), 1e-12))


def _half_period(f: Array, kept: Array, least: float) -> float | None:
    """Return half of the period at which a falling transfer comes down to `least`."""
    below = np.flatnonzero(kept < least)
    if len(below) == 0 or below[0] == 0:
        return None
    i = int(below[0])
    step = (kept[i - 1] - least) / (kept[i - 1] - kept[i])
    return float(0.5 / (f[i - 1] + (f[i] - f[i - 1]) * step))
