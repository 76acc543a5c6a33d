"""Whether a thin dark line or a small dark spot on an object is seen: no grating stands for them.

An eye sees a dark line far thinner than what it resolves: its image is a broad shallow shadow, and
the shadow's depth counts. The same holds behind a telescope, for the gap in Saturn's ring, a rille
or the shadow of one of Jupiter's moons.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from simview.bessel import j1
from simview.eye.contrast import receptor_transfer, sensitivity
from simview.eye.optics import aberration_transfer
from simview.eye.state import EyeState
from simview.eye.stations import DARKEST_OBSTRUCTION, Station
from simview.eye.system import LightPath
from simview.eye.transfer import transfer_curve
from simview.power.finest import seen_contrast, troland_of
from simview.scene.scene import Target

# Diameter over which the eye sums the light of a spot, deg. A choice between the finest blur of the
# eye and what Ricco's law holds for in bright light (some arcmin; from memory).
SPOT_DEG: Final = 0.1

_NODES: Final = 400
# Places across a line's bands at which their light is found.
_ACROSS: Final = 80

Array = NDArray[np.float64]

# Saturn's rings on the ansa, thousand km from the middle, and their light. Edges of C, B and of the
# division: the table of the PDS Ring-Moon Systems Node, "Vital Statistics for Saturn's Rings"
# (74.491, 91.975, 117.570), and 122.170 as glossaries give it; A's outer edge and the light as in
# simview.scene.saturn.
_RING: Final = (
    (74.7, 92.0, 0.07),
    (92.0, 99.5, 0.72),
    (99.5, 104.5, 0.90),
    (104.5, 117.6, 1.04),
    (117.6, 122.2, 0.10),
    (122.2, 129.0, 0.70),
    (129.0, 136.8, 0.61),
)
_RING_END: Final = _RING[-1][1]
_DIVISION: Final = (122.2 - 117.6) / (2.0 * _RING_END)
_DIVISION_CONTRAST: Final = 0.9
_RINGS: Final = (_RING_END - 92.0) / (2.0 * _RING_END)  # width of the two bright rings it parts

# A line between two bright bands is a line while the light dips there at all (Sparrow 1916,
# Astrophys. J. 44, 76); this much of a dip, against rounding. A choice.
LEAST_DIP: Final = 0.01

# With less of a dip it is barely seen: an eye that knows where to look calls a line what measures
# as hardly more than a shoulder, and a print holds next to nothing of it (0.055 in 100 mm came out
# as one level of grey). A choice.
CLEAR_DIP: Final = 0.09

# Io's diameter over Jupiter's at the equator: 3643 and 142984 km (Archinal et al. 2018, as in
# simview.scene.galilean). A shadow
# as wide leaves hardly any light.
_SHADOW: Final = 3643.0 / 142984.0

# The shadows of Jupiter's moons, by the moon's name.
SHADOWS: Final = {
    "io": "Io's shadow",
    "europa": "Europa's shadow",
    "ganymede": "Ganymede's shadow",
    "callisto": "Callisto's shadow",
}
# What is said of Jupiter where none lies on it.
ANY_SHADOW: Final = "A shadow like Io's, when one falls"

# What is said of the Moon, whose map draws no ground finer than 2 to 4 km: what the telescope would
# show, and no sheet does.
A_RILLE: Final = "A rille of 1 km, finer than the map drawn"

# A rille a kilometre wide on a Moon of 3474 km, half in shadow, on ground whose own light and dark
# have a contrast of 0.2. A choice of example.
_RILLE: Final = 1.0 / 3474.0
_RILLE_CONTRAST: Final = 0.5
_RILLE_CLUTTER: Final = 0.2

# On ground with a contrast of its own a line must be deeper: as the ground's contrast over what is
# just seen, to this power. Legge & Foley 1980, J. Opt. Soc. Am. 70, 1458 (exponents near 0.6).
MASKING: Final = 0.6

# Phase below which the Moon counts as full, deg. A choice.
FULL_DEG: Final = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Feature:
    """A thin line or small spot, darker than what surrounds it.

    Parameters
    ----------
    name
        In a few words.
    shape
        A long line, or a round spot.
    width_arcsec
        Of the line, or the spot's diameter.
    contrast
        How much of the light around it is missing, 0 to 1.
    ground_arcsec
        Width of the ground that it lies on.
    there
        Whether the object shows it as it is drawn; a moon's shadow falls at times only, and a map
        draws no ground finer than itself.
    clutter
        Contrast of that ground's own light and dark, 0 to 1.
    bands
        Of a line between narrow bands: (from, to, light) of each across it, arcsec from anywhere.
    """

    name: str
    shape: Literal["line", "spot"]
    width_arcsec: float
    contrast: float
    ground_arcsec: float
    there: bool = True
    clutter: float = 0.0
    bands: tuple[tuple[float, float, float], ...] = ()

    def figures(self) -> dict[str, Any]:
        """Return what is told of it, for JSON."""
        told = ("name", "shape", "width_arcsec", "contrast", "ground_arcsec", "there")
        return {name: getattr(self, name) for name in told}


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A feature in one view.

    Parameters
    ----------
    depth
        Of its shadow's middle on the retina against the light around it, 0 to 1.
    needed
        The depth that is just seen; infinite in the dark.
    dip
        By how much the light falls between two bands, against the dimmer one; None on open ground.
    """

    feature: Feature
    depth: float
    needed: float
    dip: float | None = None

    @property
    def seen(self) -> bool:
        """Whether it is seen at least half of the time."""
        parted = self.dip is None or self.dip >= LEAST_DIP
        return parted and self.depth >= self.needed

    @property
    def barely(self) -> bool:
        """Whether it is seen and hardly more than a shoulder of light."""
        return self.seen and self.dip is not None and self.dip < CLEAR_DIP

    def figures(self) -> dict[str, Any]:
        """Return the record as plain numbers and words, for JSON; no depth would do: null."""
        return {
            **self.feature.figures(),
            "depth": self.depth,
            "dip": self.dip,
            "depth_needed": self.needed if math.isfinite(self.needed) else None,
            "seen": self.seen,
            "barely": self.barely,
        }


def features_of(target: Target) -> tuple[Feature, ...]:
    """Return the thin features that an object offers, now or at times; they go with its size."""
    size = target.size_arcsec
    if target.name == "jupiter":
        return tuple(
            Feature(
                name=SHADOWS[moon],
                shape="spot",
                width_arcsec=width,
                contrast=1.0,
                ground_arcsec=size,
            )
            for moon, width in target.shadows
        ) or (
            Feature(
                name=ANY_SHADOW,
                shape="spot",
                width_arcsec=_SHADOW * size,
                contrast=1.0,
                ground_arcsec=size,
                there=False,
            ),
        )
    if target.name == "saturn":
        return (
            Feature(
                name="Cassini division",
                shape="line",
                width_arcsec=_DIVISION * size,
                contrast=_DIVISION_CONTRAST,
                ground_arcsec=_RINGS * size,
                bands=tuple(
                    (0.5 * size * low / _RING_END, 0.5 * size * high / _RING_END, light)
                    for low, high, light in _RING
                ),
            ),
        )
    # No shadow lies in a rille of the full Moon.
    if target.name != "moon" or (target.phase_deg or 0.0) < FULL_DEG:
        return ()
    return (
        Feature(
            name=A_RILLE,
            shape="line",
            width_arcsec=_RILLE * size,
            contrast=_RILLE_CONTRAST,
            ground_arcsec=100.0 * _RILLE * size,
            there=False,
            clutter=_RILLE_CLUTTER,
        ),
    )


def seen_in(path: LightPath, eye: EyeState, target: Target, feature: Feature) -> Seen | None:
    """Judge a feature in one view; None where the object has no light.

    The shadow's middle is the feature's own contrast times the integral of what telescope, air,
    mount, eye's optics and receptors keep of its spectrum. The depth needed is twice the least
    Michelson contrast of any grating at that light and width (Barten 1999), more on uneven ground.
    Between two narrow bands the light must dip besides.

    Source: Barten 1999; held against Hecht & Mintz 1939, "The visibility of single lines at various
    illuminations and the retinal basis of visual resolution", J. Gen. Physiol. 22, 593.
    Checked by: tests/truth/test_thin_features.py
    """
    beam = path.beam
    if eye.object_cd_m2 is None or eye.object_cd_m2 <= 0.0:
        return None
    if beam.obstruction >= DARKEST_OBSTRUCTION:
        return None
    kept = transfer_curve(
        path.scope,
        path.sky,
        path.mount,
        aperture_mm=beam.aperture_mm,
        obstruction=beam.obstruction,
    )
    f = np.linspace(0.0, kept.cutoff_cycles_arcsec, _NODES)
    at_eye = f * 3600.0 / beam.power
    passed = np.maximum(kept.signed, 0.0)
    passed = np.interp(f, np.linspace(0.0, f[-1], len(passed)), passed)
    passed = passed * aberration_transfer(at_eye, beam.used_pupil_mm)
    passed = passed * receptor_transfer(at_eye, eye.sight)
    veiled = seen_contrast(eye, target) / target.contrast if target.contrast else 1.0
    depth = feature.contrast * veiled * shadow(f, passed, feature)
    needed = depth_needed(
        troland_of(eye), feature.shape, feature.ground_arcsec * beam.power / 3600.0
    )
    return Seen(
        feature=feature,
        depth=min(depth, 1.0),
        needed=needed * masked(feature.clutter, needed),
        dip=dip(f, passed, feature.bands) if feature.bands else None,
    )


def seen_from(
    places: Sequence[Station], target: Target, feature: Feature
) -> tuple[float | None, bool]:
    """Return the lowest of these powers at which a feature is seen, and whether it barely is.

    Where it is clear at any of them, the lowest that shows it clearly; None where none shows it.
    """
    barely: float | None = None
    for place in places:
        found = seen_in(place.path, place.eye, target, feature)
        if found is None or not found.seen:
            continue
        if not found.barely:
            return place.power, False
        barely = barely or place.power
    return barely, barely is not None


def shadow(f: Array, passed: Array, feature: Feature) -> float:
    """Return the depth of a black feature's shadow after what an instrument passes.

    Parameters
    ----------
    f, passed
        (n,) frequencies from 0, cycles/arcsec, and the contrast that is kept there.
    """
    w = feature.width_arcsec
    if feature.shape == "line":
        return float(2.0 * w * np.trapezoid(passed * np.sinc(f * w), f))
    x = np.maximum(np.pi * f * w, 1e-9)
    disc = math.pi / 4.0 * w**2 * 2.0 * j1(x) / x
    return float(2.0 * math.pi * np.trapezoid(passed * disc * f, f))


def dip(f: Array, passed: Array, bands: Sequence[tuple[float, float, float]]) -> float:
    """Return how far the light falls between bands that an instrument has blurred, 0 to 1.

    The deepest place against the dimmer of the brightest on either side of it: 0 where the light
    only rises and falls once. Bands are taken as straight; on Saturn's curved ansa the same comes
    out 0.01 to 0.02 less (summed in two dimensions).
    """
    across = np.linspace(bands[0][0], bands[-1][1], _ACROSS)
    low, high, lit = np.array(bands).T
    # An edge at p leaves at x the integral of passed sin(2 pi f (x - p)) / (pi f). A band is the
    # difference of two, and sines of differences are sums of products.
    turns = 2.0 * np.pi * f
    ends = np.exp(1j * np.outer(low, turns)) - np.exp(1j * np.outer(high, turns))
    wave = np.exp(1j * np.outer(across, turns[1:]))
    weight = (passed[1:] / (np.pi * f[1:])) * (lit @ ends.conj()[:, 1:])
    spectrum = np.empty((_ACROSS, len(f)))
    spectrum[:, 0] = 2.0 * passed[0] * (lit @ (high - low))
    spectrum[:, 1:] = (wave * weight).imag
    light = np.asarray(np.trapezoid(spectrum, f, axis=1))
    before = np.maximum.accumulate(light)
    after = np.maximum.accumulate(light[::-1])[::-1]
    return float(np.max(1.0 - light / np.maximum(np.minimum(before, after), 1e-12)))


def masked(clutter: float, needed: float) -> float:
    """Return by how much a shadow must be deeper on ground of a contrast of its own."""
    just_seen = needed / 2.0  # of a grating: its contrast, not its depth
    if not math.isfinite(needed) or clutter <= just_seen:
        return 1.0
    return float((clutter / just_seen) ** MASKING)


def depth_needed(troland: float, shape: str, object_deg: float) -> float:
    """Return the depth of a shadow that is just seen at this light on the retina."""
    u = np.geomspace(0.3, 60.0, 60)
    size = min(object_deg, SPOT_DEG) if shape == "spot" else object_deg
    most = float(np.max(sensitivity(u, troland=troland, object_deg=size)))
    return 2.0 / most if most > 0.0 else math.inf
