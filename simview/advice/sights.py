"""What an instrument shows, in four figures that can be compared.

The faintest star and the finest detail on a planet come from the whole light path (simview.view);
the widest field and the rest after a touch from first-order figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from simview.eyepiece.beam import Beam
from simview.eyepiece.train import choices
from simview.kit import Kit, Mount, Observer, Sky
from simview.telescope.mount import apparent_motion_arcmin

if TYPE_CHECKING:
    from simview.view import View

# What the faintest star and the finest detail are sought on.
STARS: Final = "pleiades"
PLANET: Final = "jupiter"

NAKED: Final = Mount(kind="fixed")

# One step in each figure: about what two people at two eyepieces would call different. Choices.
STEP_MAG: Final = 0.5
STEP_RATIO: Final = 1.25
STEP_MOTION: Final = 2.0

# Where counting begins: an eye's own resolution on bright things, arcsec; a view of half a degree;
# a picture that swings by 20 arcmin two seconds after a touch is no picture. Choices.
COARSE_ARCSEC: Final = 60.0
KEYHOLE_DEG: Final = 0.5
WILD_ARCMIN: Final = 20.0

# No one asks for a wider view than this, degrees, or for a steadier one, arcmin: choices.
WIDE_DEG: Final = 7.0
STILL_ARCMIN: Final = 0.3

# When the eye looks again after touching the tube, seconds: a choice.
AFTER_TOUCH_S: Final = 2.0

# Powers past this many per mm of aperture are not tried: no eye gains there.
MOST_PER_MM: Final = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shows:
    """What an instrument shows.

    Parameters
    ----------
    faintest_mag
        Faintest star above the air, V, at its best power.
    finest_arcsec
        Finest detail on Jupiter at its best power; None where nothing on it can be made out.
    widest_deg
        Widest true field.
    motion_arcmin
        How far the picture still swings at the eye two seconds after a touch, at the power that
        shows finest, but no more than once per mm of aperture.
    power
        The power that shows finest.
    """

    faintest_mag: float
    finest_arcsec: float | None
    widest_deg: float
    motion_arcmin: float
    power: float

    def steps(self, naked_mag: float) -> dict[str, float]:
        """Return by how many noticeable steps each figure beats the naked eye.

        The steps are choices of this project: half a magnitude, a quarter finer, a quarter wider,
        half the swing.
        """
        fine = self.finest_arcsec or COARSE_ARCSEC
        wide = min(max(self.widest_deg, KEYHOLE_DEG), WIDE_DEG)
        swing = min(max(self.motion_arcmin, STILL_ARCMIN), WILD_ARCMIN)
        return {
            "faint": max(0.0, (self.faintest_mag - naked_mag) / STEP_MAG),
            "fine": max(0.0, math.log(COARSE_ARCSEC / fine) / math.log(STEP_RATIO)),
            "wide": math.log(wide / KEYHOLE_DEG) / math.log(STEP_RATIO),
            "steady": math.log(WILD_ARCMIN / swing) / math.log(STEP_MOTION),
        }


@lru_cache(maxsize=256)
def shows(kit: Kit, sky: Sky, observer: Observer) -> Shows:
    """Return what a kit shows with the pieces that it has."""
    ways = looks(kit)
    details = [(detail, way) for way in ways if (detail := _finest(kit, way, sky, observer))]
    finest, best = min(details, key=lambda one: one[0], default=(None, ways[0]))
    power = _beam(kit, best).power
    calm = min(power, _aperture_mm(kit)) if kit.kind == "telescope" else power
    return Shows(
        faintest_mag=max(_faintest(kit, way, sky, observer) for way in ways),
        finest_arcsec=finest,
        widest_deg=max(_beam(kit, way).true_field_arcmin for way in ways) / 60.0,
        motion_arcmin=apparent_motion_arcmin(kit.mount, calm, AFTER_TOUCH_S),
        power=power,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Which pieces of a kit to look through: indices into its eyepieces and amplifiers."""

    eyepiece: int = 0
    amplifiers: tuple[int, ...] = ()


def looks(kit: Kit) -> tuple[Look, ...]:
    """Return every way to look through a kit that its aperture can carry, lowest power first."""
    if kit.kind != "telescope":
        return (Look(),)
    most = MOST_PER_MM * _aperture_mm(kit)
    ways = sorted(choices(kit), key=lambda way: way[0])
    kept = [way for way in ways if way[0] <= most] or ways[:1]
    return tuple(
        Look(eyepiece=kit.eyepieces.index(way.eyepiece), amplifiers=way.amplifiers)
        for _, way in kept
    )


def look_at(kit: Kit, way: Look, name: str, sky: Sky, observer: Observer) -> View:
    """Return the view of a named target through one way of a kit.

    Parameters
    ----------
    kit, sky, observer
        As in `simview.look`.
    way
        Which eyepiece and which amplifiers.
    name
        Of the target.
    """
    from simview.scene.targets import target
    from simview.view import follow

    return follow(
        kit,
        target(name),
        eyepiece=way.eyepiece,
        amplifiers=way.amplifiers,
        sky=sky,
        observer=observer,
    )


def naked_eye_mag(sky: Sky, observer: Observer) -> float:
    """Return the faintest star for the naked eye under that sky, V above the air."""
    return shows(Kit(mount=NAKED), sky, observer).faintest_mag


def _faintest(kit: Kit, way: Look, sky: Sky, observer: Observer) -> float:
    return look_at(kit, way, STARS, sky, observer).numbers["limiting_magnitude"] or 0.0


def _finest(kit: Kit, way: Look, sky: Sky, observer: Observer) -> float | None:
    return look_at(kit, way, PLANET, sky, observer).numbers["finest_detail_arcsec"]


def _beam(kit: Kit, way: Look) -> Beam:
    from simview.eyepiece.train import beam

    return beam(kit, eyepiece=way.eyepiece, amplifiers=way.amplifiers, eye_pupil_mm=7.0)


def _aperture_mm(kit: Kit) -> float:
    return 7.0 if kit.telescope is None else kit.telescope.working_aperture_mm
