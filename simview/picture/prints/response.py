"""How one sheet answers light: adaptation, and the curves from troland to print luminance.

The eye answers light along a saturating curve, R = E / (E + s); rods and cones each have their
own. A sheet has one such pair of curves, set once from all its views; the cones' then follows
each view's light in part, as an eye at the telescope does. So a view that sends less light to the
eye prints darker, but keeps its contrasts. Which numbers are published and which are choices
stands beside each, and in docs/models/tone.md.

On sheets of the night - nebulae, galaxies, stars - contrasts with the sky are first cut down to
what the eye makes of them: what is just visible at the eyepiece is just visible in print
(`simview.picture.prints.display`).

Sources: Naka & Rushton 1966, J. Physiol. 185, 536 (the curve); Stevens 1957, Psychol. Rev. 64, 153
(brightness as a power of light); CIE 191:2010 (where colour vision ends). The first two citations
are from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from simview.eye.reference import of_troland
from simview.picture.drawing.tongue import N_, decimal, say
from simview.picture.prints.choices import (
    ADAPTED,
    ADAPTED_DARK_TD,
    CONE_DARK_TD,
    CONES_UNADAPTED_TD,
    DISC_STAR_POWER,
    DOT_PRINT,
    GLARING_POWER,
    GLOW_POWER,
    HALO_DISCOUNTED,
    HEADROOM,
    MOST_FAINTEST,
    NIGHT_REACH,
    PAIR_SKIRT_POWER,
    PAIR_START,
    READER_TD,
    ROD_POWER_BESIDE,
    SKY_IN_VEIL,
    SKY_PRINT_RANGE,
    STAR_CORE_POWER,
    STAR_MARGIN,
    STAR_RISE,
    STAR_START,
    USUAL_BEAM_MM,
    VEIL_DISCOUNTED,
    WHITE_PRINT,
    WHITE_STAR,
)
from simview.picture.prints.display import PATCH_DEG, Display, patch_threshold, shown_contrast

Planes = NDArray[np.float32]
Floats = NDArray[np.float64]


class Light(Protocol):
    """What `levels` reads: a Retina, or anything else with its surfaces in troland."""

    @property
    def extended(self) -> Planes:
        """(4, ny, nx) X, Y, Z and V' of surfaces, troland."""

    @property
    def pixels_per_degree(self) -> float:
        """Of apparent angle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Who looks: through the eyepiece, and at the display.

    Parameters
    ----------
    display
        What shows the print.
    threshold_factor
        The observer's field factor, times sqrt(2) for one eye.
    faintest_td
        Troland (Y) in the middle of the image of the faintest star that is seen; None takes
        `STAR_OVER_SKY` times the sky's light.
    pairs
        Whether double stars are looked at, and nothing else: their stars' own light is what counts.
    beam_mm
        The widest beam of the sheet's views, mm, as far as the pupil lets it in.
    """

    display: Display = field(default_factory=Display)
    threshold_factor: float = 2.0 * math.sqrt(2.0)
    faintest_td: float | None = None
    pairs: bool = False
    beam_mm: float = USUAL_BEAM_MM


class Levels(NamedTuple):
    """How bright one view is: brightest surface, background, and its most vivid bright surface.

    `vivid_td` is that one's light, `vivid_x` and `vivid_z` its CIE X and Z over Y; `pooled_td` is
    the brightest mean over `POOL_DEG`, None where the view's brightest surface stands for it;
    `sky_own` is the share of the background's scotopic light that is the sky's own and no glare;
    `lit` is the share of the view that bright ground fills;
    `dot` is 1 where a planet's disc is so small that it prints as stars do; `veil_even` is 1 where
    the object is so wide that its glare is an even veil, 0 where that is a halo.
    """

    extent_deg: float
    white_td: float
    background_td: float
    background_scotopic_td: float
    vivid_td: float = 1e-6
    vivid_x: float = 0.9505
    vivid_z: float = 1.0890
    pooled_td: float | None = None
    sky_own: float = 1.0
    dot: float = 0.0
    veil_even: float = 0.0
    lit: float = 0.0

    @property
    def sky_clear(self) -> float:
        """1 where the background is a sky, near 0 where it is glare that hides one."""
        return self.sky_own / (self.sky_own + SKY_IN_VEIL * (1.0 - self.sky_own))


@dataclass(frozen=True, slots=True, kw_only=True)
class Adaptation:
    """How one sheet turns light into print; for each of its views see `for_view`.

    Parameters
    ----------
    dark
        1 for a sheet of the night, where thresholds count; 0 for one with bright surfaces; between
        them a mixture.
    sky_td, sky_scotopic_td, sky_print
        The sky's light, and its print.
    threshold_factor
        How much more light the observer needs than two trained eyes.
    display
        What shows the print.
    white_td
        Troland of the surface that prints at `WHITE_PRINT` where surfaces are bright.
    least_white_td
        Surfaces dimmer than this are no bright objects: no view adapts to them.
    rod_half_td, rod_top
        Scotopic troland at half the rods' answer; print luminance of their full answer.
    glow_half_td, glow_top
        The same for their answer to light far above the sky's, beside bright objects.
    star_td, star_print
        Troland in the middle of the faintest star, and its print.
    star_white, star_top, star_knee
        On sheets of double stars how many times brighter than the faintest the star is that prints
        at `star_top`, and the print of one `WHITE_STAR` times brighter; None elsewhere.
    surfaces, stars
        Whether the sheet shows any surface brighter than the sky, any star that stands out.
    patch_deg
        Diameter at the eye of the patches whose threshold counts (see `patches`).
    vivid
        X, Y and Z of the view's most vivid bright surface, troland; None where nobody says.
    disc_td
        Troland of the view's own brightest surface where that is a bright object, 0 where not: no
        star of less light in its image prints brighter.
    pooled_td
        The view's brightest light, pooled over `POOL_DEG`; None takes its white.
    dot_times, beside_times
        How many times brighter the faintest star prints, for its dot is finer, and one beside a
        disc (`planet_dots`).
    """

    dark: float
    sky_td: float
    sky_scotopic_td: float
    sky_print: float
    threshold_factor: float
    display: Display
    white_td: float
    least_white_td: float
    rod_half_td: float
    rod_top: float
    glow_half_td: float
    glow_top: float
    star_td: float
    star_print: float
    surfaces: bool
    stars: bool
    star_white: float = WHITE_STAR
    star_top: float = 1.0
    star_knee: float | None = None
    patch_deg: float = PATCH_DEG
    vivid: tuple[float, float, float] | None = None
    disc_td: float = 0.0
    pooled_td: float | None = None
    dot_times: float = 1.0
    beside_times: float = 1.0

    def for_view(self, brightest_td: float, sky: Levels | None = None) -> Adaptation:
        """Return the same for one view of the sheet: the eye adapts in part to each.

        Stars print alike in every view, but beside a disc whose light surpasses theirs; so does a
        night sky beside bright surfaces. On sheets of the night each view's own sky counts, and
        its print follows it half the way.

        Parameters
        ----------
        brightest_td
            The view's own brightest surface, close-ups of it included.
        sky
            How bright the view is, for its sky; None takes the sheet's.
        """
        own = min(max(brightest_td, self.least_white_td), self.white_td)
        dimmer = (own + ADAPTED_DARK_TD) / (self.white_td + ADAPTED_DARK_TD)
        disc = brightest_td if brightest_td >= self.least_white_td else 0.0
        answer = replace(self, white_td=self.white_td * dimmer**ADAPTED, disc_td=disc)
        if sky is None:
            return answer
        answer = answer._under(sky)
        return answer._as_dot(disc, sky.dot) if disc and sky.dot else answer

    def _as_dot(self, light_td: float, share: float) -> Adaptation:
        """Return the same where the brightest surface is small, and prints as a star of its light.

        Checked by: tests/unit/picture/test_planets_in_print.py
        """
        wanted = min(float(star_print(light_td, replace(self, disc_td=0.0))), DOT_PRINT)
        most = (WHITE_PRINT - self.glow_top) * (1.0 + HEADROOM)
        white = min(light_td * max(most / wanted - 1.0, 0.1) / HEADROOM, self.white_td)
        mixed = self.white_td ** (1.0 - share) * white**share
        # Where it is a star in the picture that is no other's neighbour.
        return replace(self, white_td=mixed, disc_td=0.0 if share > 0.5 else self.disc_td)

    def _under(self, sky: Levels) -> Adaptation:
        """Return the same under a view's own sky, as far as this is a sheet of the night."""
        rods = max(sky.background_scotopic_td, 1e-6)
        plain = float(rod_print(rods, replace(self, glow_top=0.0)))
        vivid = (sky.vivid_x * sky.vivid_td, sky.vivid_td, sky.vivid_z * sky.vivid_td)
        followed = self.sky_print * (rods / self.sky_scotopic_td) ** ADAPTED
        beside = plain * sky.sky_clear
        printed = beside ** (1.0 - self.dark) * min(followed, SKY_PRINT_RANGE[1]) ** self.dark
        half = self.rod_half_td ** (1.0 - self.dark) * (NIGHT_REACH * rods) ** self.dark
        return replace(
            self,
            sky_td=max(sky.background_td, 1e-6),
            sky_scotopic_td=rods,
            sky_print=printed,
            rod_half_td=half,
            rod_top=printed * (1.0 + (half / rods) ** _rod_power(self.dark)),
            vivid=vivid,
            pooled_td=sky.pooled_td,
        )

    @property
    def pairs(self) -> bool:
        """Whether double stars are looked at, whose discs keep their profile."""
        return self.star_knee is not None

    @property
    def bright(self) -> bool:
        """Whether the sheet shows a bright object, beside which stars print by its light."""
        return self.surfaces and self.white_td > self.least_white_td

    @property
    def star_scale_td(self) -> float:
        """Light of a star's image that prints as 1: no star prints brighter for its light."""
        most = 1.0 if self.star_knee is None else max(self.star_knee, MOST_FAINTEST)
        whole, dark = math.log(WHITE_STAR), math.log(most / MOST_FAINTEST)
        start = STAR_START if self.star_knee is None else PAIR_START
        part = _where_rising(whole / max(dark, 1e-9), start)
        return self.star_td * math.exp(part * whole + dark * (1.0 - _risen(part, start))) / most

    def says(self, *, several: bool = True) -> str:
        """Return a sentence for the caption: how strongly the print compresses light.

        Parameters
        ----------
        several
            Whether the sheet shows views of different light.
        """
        told = []
        if self.surfaces or not self.stars:
            top, dim = (float(surface_print(self.white_td * f, self)) for f in (1.0, 0.01))
            apart = float(surface_print(0.01 * self.white_td, self.for_view(0.01 * self.white_td)))
            between, within = _times(top / apart), _times(top / dim)
            if several and apart > 1.1 * dim:
                both = N_(
                    "100 times less light is drawn {within} times darker, and in another view"
                    " {between} times"
                )
                told.append(say(both, between=between, within=within))
            else:
                ratio = between if several else within
                words = N_("100 times less light is drawn {ratio} times darker")
                told.append(say(words, ratio=ratio))
        if self.stars and not self.bright:
            light = self.star_white * self.star_td
            top, dim = (float(star_print(light * f, self)) for f in (1.0, 0.01))
            ratio = _times(top / dim)
            alone = say(
                "a star that gives 100 times less light is drawn {ratio} times fainter", ratio=ratio
            )
            also = say("a star {ratio} times fainter", ratio=ratio)
            told.append(also if told else alone)
        return say("This print alone: {told}.", told=", ".join(told))


def _times(ratio: float) -> str:
    if ratio >= 100.0:
        return f"{round(ratio, 1 - int(math.log10(ratio))):.0f}"
    return f"{ratio:.0f}" if ratio >= 9.5 else decimal(f"{ratio:.1f}")


def cone_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance (display white = 1) of light seen by cones.

    Rises with light everywhere and never ends in a flat white; may pass 1 for light far above
    the sheet's brightest surface, which the last step before 8 bits bends back.
    """
    light = _seen(light_td, adaptation.sky_td, adaptation)
    half = cones_half_td(adaptation)
    top = adaptation.white_td / (adaptation.white_td + half)
    answer = light / (light + half)
    awake = light / (light + CONE_DARK_TD)
    # The rods' answer comes on top of it.
    most = WHITE_PRINT - adaptation.glow_top
    return np.asarray(most / top * answer * awake)


def dazzles(light_td: float) -> float:
    """Return how far a disc of this light is brighter than any print of it, 0 to 1.

    A printed disc makes its halo in the reader's eye: what is no brighter needs none in print.

    Checked by: tests/unit/picture/test_planets_in_print.py
    """
    times = (light_td / READER_TD) ** 2
    return times / (1.0 + times)


def veil_discounted(light_td: float, even: float) -> float:
    """Return the share of the eye's glare that is taken off; `even`: 1 a veil, 0 a small halo."""
    halo = (VEIL_DISCOUNTED - HALO_DISCOUNTED) * dazzles(light_td)
    return VEIL_DISCOUNTED - halo * (1.0 - even)


def cones_half_td(adaptation: Adaptation) -> float:
    """Return the light at half the cones' answer, troland.

    Adaptation pools light over more than a small bright thing: Venus, which dazzles, is beyond what
    cones tell apart, so its crescent is not shaded like a ball; the Moon is not.

    Checked by: tests/unit/picture/test_planets_in_print.py
    """
    white = adaptation.white_td
    pooled = white if adaptation.pooled_td is None else adaptation.pooled_td
    return (
        HEADROOM * white
        if pooled >= white
        else min(HEADROOM * white, HEADROOM * pooled + CONES_UNADAPTED_TD)
    )


def rod_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance of light seen by rods; `light_td` is scotopic troland."""
    gain = adaptation.display.over_flare(adaptation.sky_print) ** adaptation.dark
    light = _seen(light_td, adaptation.sky_scotopic_td, adaptation, gain)
    times = np.maximum(light / adaptation.rod_half_td, 0.0) ** _rod_power(adaptation.dark)
    near = adaptation.rod_top * times / (1.0 + times)
    return np.asarray(near + glow_print(light, adaptation))


def _rod_power(dark: float) -> float:
    """Return the power of light that rods answer with near the sky's own light."""
    return ROD_POWER_BESIDE + (1.0 - ROD_POWER_BESIDE) * dark


def glow_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the part of `rod_print` that rods answer to light far above the sky's.

    Rods see no hue, so this part of a print has none.
    """
    far = np.maximum(np.asarray(light_td, float) / adaptation.glow_half_td, 0.0) ** GLOW_POWER
    return np.asarray(adaptation.glow_top * far / (1.0 + far))


def _seen(
    light_td: Floats | float, sky_td: float, adaptation: Adaptation, over_flare: float = 1.0
) -> Floats:
    """Return light as a night's print takes it: contrasts with the sky cut down to what is seen."""
    light = np.asarray(light_td, float)
    if adaptation.dark == 0.0:
        return light
    at_eye = float(of_troland(adaptation.sky_td))
    contrast = light / sky_td - 1.0
    shown = shown_contrast(
        contrast,
        patch_threshold(at_eye, adaptation.threshold_factor, adaptation.patch_deg),
        float(adaptation.display.just_noticeable(adaptation.sky_print)),
        over_flare,
    )
    return np.asarray(sky_td * (1.0 + contrast + adaptation.dark * (shown - contrast)))


def surface_print(light_td: Floats | float, adaptation: Adaptation) -> Floats:
    """Return the print luminance of a white surface, rods and cones together.

    Its scotopic light stands to its photopic light as the sky's does.
    """
    light = np.asarray(light_td, float)
    ratio = min(max(adaptation.sky_scotopic_td / adaptation.sky_td, 1.0), 3.0)
    rods = rod_print(ratio * light, adaptation)
    return np.asarray(cone_print(light, adaptation) + rods)


def least_star(ground: Floats, display: Display) -> Floats:
    """Return the print of a view's faintest star on printed grounds of these luminances."""
    needed = STAR_MARGIN * np.asarray(display.faintest_star(ground))
    return np.minimum(needed, MOST_FAINTEST)


def star_print(
    peaks_td: Floats | float,
    adaptation: Adaptation,
    least: Floats | float | None = None,
    *,
    rise: Floats | float = 1.0,
) -> Floats:
    """Return the print luminance in the middle of a star: a power of its light.

    The faintest prints as it is just seen, one of five magnitudes more at 1, display white (of a
    pair its brighter star, at `star_top`); past that print goes on rising, slower, for the skirts
    of the star's image. `least` is the print of the faintest, where its ground is not the sheet's
    sky; `rise` how many times more light a star needs on its ground to be seen: beside a bright
    disc its own light counts all the same, or of two moons the inner one would be the dimmer.

    Checked by: tests/unit/picture/test_star_prints.py
    """
    peaks = np.maximum(np.asarray(peaks_td, float), 0.0)
    light = peaks / rise / adaptation.star_td
    least = adaptation.star_print if least is None else least
    least = np.minimum(np.multiply(least, adaptation.dot_times), MOST_FAINTEST)
    shown = _middle(light, adaptation, least) * _glaring(light, adaptation)
    if adaptation.disc_td:
        disc = float(cone_print(adaptation.disc_td, adaptation)) * adaptation.beside_times
        share = peaks / adaptation.disc_td
        shown = np.minimum(shown, np.maximum(disc * share**DISC_STAR_POWER, least))
    return np.asarray(shown * np.minimum(light, 1.0))


def _middle(light: Floats, adaptation: Adaptation, least: Floats | float) -> Floats:
    """Return the print of a star's middle, no more than `star_top`, without what glares."""
    start = PAIR_START if adaptation.pairs else STAR_START
    risen = _risen(np.log(np.clip(light, 1.0, WHITE_STAR)) / math.log(WHITE_STAR), start)
    knee, beyond = adaptation.star_knee, adaptation.star_white / WHITE_STAR
    if knee is None:
        return np.asarray(least ** (1.0 - risen))
    middle = least ** (1.0 - risen) * np.maximum(knee, least) ** risen
    power = math.log(adaptation.star_top / knee) / math.log(beyond) if beyond > 1.0 else 0.0
    return np.asarray(middle * np.clip(light / WHITE_STAR, 1.0, beyond) ** power)


def _glaring(light: Floats, adaptation: Adaptation) -> Floats:
    """Return how many times more than its middle a star prints around it."""
    power = PAIR_SKIRT_POWER if adaptation.pairs else GLARING_POWER
    return np.asarray(np.maximum(light / WHITE_STAR, 1.0) ** power)


def star_cores(peaks_td: Floats, factors: Floats, adaptation: Adaptation) -> Floats:
    """Return (N,) the share of each star's printed light that its own image shows, above 0 to 1.

    `factors` are those of `star_factors`; see STAR_CORE_POWER. A pair's stars keep their profile.

    Checked by: tests/unit/picture/test_pairs_in_print.py
    """
    if adaptation.pairs:
        return np.asarray(1.0 / _glaring(np.asarray(peaks_td) / adaptation.star_td, adaptation))
    printed = np.maximum(peaks_td * factors / adaptation.star_scale_td, 1.0)
    return np.asarray(printed ** (STAR_CORE_POWER - 1.0))


def _risen(part: Any, start: float) -> Any:
    """Return how far print has risen from just seen to white, 0 to 1, in logarithms."""
    left = 1.0 - part
    return part + (STAR_RISE + start * left**3) * part * left


def _where_rising(slope: float, start: float) -> float:
    """Return where print's rise has fallen to this slope, 0 to 1; it is steepest at the start."""
    low, high = 0.0, 1.0
    for _ in range(30):
        part = 0.5 * (low + high)
        left = 1.0 - part
        rising = 1.0 - (1.0 - 2.0 * left) * (STAR_RISE + start * left**3)
        rising -= 3.0 * start * left**3 * (1.0 - left)
        low, high = (part, high) if rising > slope else (low, part)
    return 0.5 * (low + high)
