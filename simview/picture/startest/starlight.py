"""The light of a star by wavelength becomes colour on a sheet.

White light is daylight (the sum of the scene's primaries); a filter is a band of it; a number is
one wavelength. Images keep their colour, as pale as an eye at night sees a star's; what no display
can show is made paler until it can.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.errors import ChoiceError, require_range
from simview.executor.threads import one_blas_thread
from simview.eye.colour import WAVELENGTHS_NM, response
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.prints.tone import XYZ_TO_RGB, encode
from simview.scene.spectrum import BAND_NM, primaries

Stack = NDArray[Any]
Floats = NDArray[np.float64]
Print = NDArray[np.uint8]

# Filters by name: the band that they pass, nm. Choices, about those of the trade's broad colour
# filters (common practice, no source).
BANDS: Final = {
    "white": BAND_NM,
    "blue": (440.0, 490.0),
    "green": (520.0, 580.0),
    "red": (610.0, 680.0),
}

# Bands of white light at least and at most. Two neighbours should differ by less than half a
# wave of defocus, so that rings blend as in the sky instead of standing double.
_LEAST_BANDS: Final = 11
_MOST_BANDS: Final = 31
_FILTER_BANDS: Final = 4

# Share of its colour that a star's light keeps: rings out of focus are pale to observers. Choice.
_COLOUR_KEPT: Final = 0.6


# Filters by their colours.
COLOURS: Final = (N_("blue"), N_("green"), N_("red"))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StarColour:
    """A star's light.

    Parameters
    ----------
    name
        As asked for.
    wavelengths_nm
        (n,)
    xyz
        (n, 3) CIE X, Y, Z of each wavelength's share of the light; Y sums to 1.
    """

    name: str
    wavelengths_nm: Floats
    xyz: Floats

    @property
    def shares(self) -> Floats:
        """(n,) share of the luminance."""
        return self.xyz[:, 1]

    def says(self) -> str:
        """Return the light in words."""
        if len(self.wavelengths_nm) == 1:
            return say("light of {nm} nm", nm=decimal(f"{self.wavelengths_nm[0]:g}"))
        if self.name == "white":
            return say("white light")
        return say("light through a {colour} filter", colour=say(self.name))


def star_colour(name: str, *, defocus_waves: float = 0.0, least: int = _LEAST_BANDS) -> StarColour:
    """Return the light that a word means.

    Parameters
    ----------
    name
        "white", a filter's colour, or a wavelength in nm.
    defocus_waves
        Largest defocus that it will be used at; more of it needs finer bands.
    least
        Bands of white light at the least.

    Raises
    ------
    SimviewError
        For any other word, or a wavelength that no eye sees.
    """
    word = name.strip().lower()
    number = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(?:nm)?", word)
    if number:
        nm = require_range("--colour", float(number[1]), *BAND_NM, unit="nm")
        return _of_bands(word, np.array([nm - 2.5, nm + 2.5]))
    if word not in BANDS:
        raise ChoiceError(
            "--colour",
            got=name,
            allowed=f"{', '.join(BANDS)}, or a wavelength of {BAND_NM[0]:g} to {BAND_NM[1]:g} nm",
        )
    low, high = BANDS[word]
    count = _FILTER_BANDS
    if word == "white":
        wanted = np.ceil(abs(defocus_waves) * (high - low) / 550.0 / 0.5)
        count = int(np.clip(wanted, least, _MOST_BANDS))
    return _of_bands(word, np.linspace(low, high, count + 1))


def _of_bands(name: str, edges: Floats) -> StarColour:
    """Return daylight cut into bands, integrated on a grid of 0.5 nm."""
    fine = np.arange(edges[0] + 0.25, edges[-1], 0.5)
    light = np.interp(fine, WAVELENGTHS_NM, primaries().sum(axis=0))
    eye = np.stack([np.interp(fine, WAVELENGTHS_NM, curve) for curve in response()[:3]], axis=1)
    effect = eye * light[:, None]
    band = np.searchsorted(edges, fine) - 1
    xyz = np.stack([effect[band == k].sum(axis=0) for k in range(len(edges) - 1)])
    xyz /= xyz[:, 1].sum()
    if name == "white":
        # The band's ends are cut off: what is left is brought to the display's white.
        white = np.linalg.solve(XYZ_TO_RGB, np.ones(3))
        xyz *= white / xyz.sum(axis=0)
    middles = 0.5 * (edges[1:] + edges[:-1])
    return StarColour(name=name, wavelengths_nm=middles, xyz=xyz)


@one_blas_thread()
def coloured(stack: Stack, light: StarColour, axis: int = 0) -> Floats:
    """Return a stack by wavelength as X, Y, Z on its last axis.

    Parameters
    ----------
    stack
        One plane a wavelength along `axis`.
    """
    return np.tensordot(np.moveaxis(stack, axis, -1), light.xyz.astype(stack.dtype), axes=1)


def printed(xyz: Floats, white: float, *, power: float = 1.0) -> Print:
    """Print an image.

    Parameters
    ----------
    xyz
        (ny, nx, 3)
    white
        Luminance (Y) that prints as display white.
    power
        Below 1 compresses: print luminance is (Y / white) to this power.
    """
    x, y, z = (np.ascontiguousarray(xyz[..., c]) for c in range(3))
    light = np.maximum(y, 0.0) / white
    matrix = (XYZ_TO_RGB / white).astype(xyz.dtype)
    # Plane by plane, what each channel has beyond grey of the same light.
    beyond = [_COLOUR_KEPT * (row[0] * x + row[1] * y + row[2] * z - light) for row in matrix]
    if power != 1.0:
        squeezed = light**power
        held = squeezed / np.maximum(light, 1e-12)
        beyond = [plane * held for plane in beyond]
        light = squeezed
    # A colour that no display has: mixed with grey of its own luminance until no part is negative.
    least = light + np.minimum(np.minimum(beyond[0], beyond[1]), beyond[2])
    kept = np.where(least < 0.0, light / np.maximum(light - least, 1e-12), 1.0)
    planes = [
        encode(np.asarray(light + kept * plane, np.float32), channel=c)
        for c, plane in enumerate(beyond)
    ]
    return np.stack(planes, axis=-1)


def white_level(luminance: Stack, share: float = 0.998) -> float:
    """Return the luminance that should print as white: nearly the brightest of an image.

    Above it the print bends smoothly, so that a single bright point does not darken a disc.
    """
    lit = luminance[luminance > 0.02 * luminance.max()]
    return max(float(np.quantile(lit, share)), 0.25 * float(luminance.max()))
