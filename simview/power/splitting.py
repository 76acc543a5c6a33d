"""Whether a view splits a double star.

Two images of a star, one fainter, are added along the line through both. The pair is split when
the eye sees the dark gap between them (or, for a faint companion, the companion's own hump on
the flank or ring of the bright one), and when the companion is above the threshold for stars on
a background as bright as the bright star's light at its place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from simview.errors import require_range
from simview.eye.contrast import SIGNAL_TO_NOISE, sensitivity, sight_sigma_arcmin
from simview.eye.starimage import (
    Blur,
    Spread,
    blurred,
    boiling_halo,
    star_image,
    star_width,
)
from simview.eye.thresholds import Aid, star_lux
from simview.units import ARCSEC_PER_RADIAN, illuminance_lux

if TYPE_CHECKING:
    from simview.eye.state import EyeState
    from simview.eye.system import LightPath
    from simview.kit import Observer

Array = NDArray[np.float64]
Verdict = Literal["split", "elongated", "single"]
Grade = Literal["split", "notched", "limit", "elongated", "single"]

# From the best to the worst.
GRADES: Final[tuple[Grade, ...]] = get_args(Grade)

# Shallowest gap that counts, as Michelson contrast: what Dawes' limit leaves between two equal
# stars in a perfect telescope (a dip of 3.3 %), and the eye could hardly do better.
SHALLOWEST: Final = 0.0165

# Images whose sum is longer by this factor than one alone look elongated. A choice.
ELONGATED: Final = 1.15

# A pair that is not split is notched where its gap comes to so much of what the eye needs: it is
# made out now and then. A choice.
NOTCHED: Final = 0.25

# Field factor of the usual observer, to whom Barten's typical one is likened: who needs less light
# for stars than that needs as much less contrast for a gap. A choice.
USUAL_FIELD_FACTOR: Final = 2.0

# Apparent size of the bright patch that a close pair makes, deg, at least: two of the smallest
# images that the eye forms. A choice; it hardly matters above 4 cycles/deg.
PATCH_DEG: Final = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """What a view makes of a double star.

    Parameters
    ----------
    verdict
        "split", "elongated" (one sees that it is not one star) or "single".
    limit
        What stands in the way, in words: "" for a split pair.
    rayleigh_arcsec, dawes_arcsec
        Limits of the effective aperture for equal stars.
    image_arcsec
        Full width at half maximum of a star's image, all parts of the light path.
    gap
        Michelson contrast of the dark gap between the two (or of the dip before the companion's
        hump) as receptors and nerves pass it on, 0 where there is none.
    gap_needed
        Contrast of that with which a gap of this apparent width and brightness is seen.
    companion_over_ring
        Companion's peak over the bright star's light at its place.
    companion_over_threshold
        Its light over the faintest star's that is seen at that place, in what the air makes boil
        of the bright star's halo too.
    apparent_arcmin
        Separation at the eye.
    grade
        The verdict in finer steps. One that is not split is "notched" where the gap comes to a
        quarter of what the eye needs, at the "limit" where telescope and air leave one that the
        eye does not make out, "elongated" where they leave none and "single" where it is one star.
    elongation
        How many times longer than one star's the outline of both is, half way up the fainter one.
    """

    verdict: Verdict
    limit: str
    rayleigh_arcsec: float
    dawes_arcsec: float
    image_arcsec: float
    gap: float
    gap_needed: float
    companion_over_ring: float
    companion_over_threshold: float
    apparent_arcmin: float
    grade: Grade = "single"
    elongation: float = 1.0


def split(  # noqa: PLR0913 - what the eye is given, and by whom
    separation_arcsec: float,
    magnitudes: tuple[float, float],
    spread: Spread,
    aid: Aid,
    *,
    aperture_mm: float,
    sky_cd_m2: float = 0.0,
    age_years: float = 40.0,
    before_eye: Spread | None = None,
    boiling: Spread | None = None,
    perceived: Spread | None = None,
) -> Split:
    """Judge a double star from the image of a single one.

    Parameters
    ----------
    separation_arcsec
        0.01 to 36000.
    magnitudes
        Of the two stars at the ground, in any order.
    spread
        Image of a star after telescope, air, mount and the eye's optics, in 1/arcsec2.
    aid
        Instrument and eye.
    aperture_mm
        Effective aperture.
    sky_cd_m2
        Sky behind them, before the instrument.
    age_years
        Older eyes scatter more of the bright star's light.
    before_eye
        The image before the eye's optics, which tells whose fault it is that two run together.
    boiling
        How much of that differs from moment to moment.
    perceived
        The image as receptors and nerves pass it on; None takes `spread`.

    Notes
    -----
    Source: Rayleigh 1879, Phil. Mag. 8, 261; Dawes 1867, Mem. RAS 35, 137; gap against Barten
    1999, companion against Crumey 2014 with the bright star's light as background. For unequal
    pairs Rayleigh's and Dawes' limits say nothing, so they only stand beside the verdict.
    Checked by: tests/truth/test_eye_splitting.py
    """
    require_range("separation_arcsec", separation_arcsec, 0.01, 36000.0, unit="arcsec")
    blur = blurred(
        spread,
        aid.power,
        aperture_mm=aperture_mm,
        age_years=age_years,
        before_eye=before_eye,
        boiling=boiling,
        perceived=perceived,
    )
    return judge(separation_arcsec, magnitudes, blur, aid, sky_cd_m2=sky_cd_m2)


def judge(
    separation_arcsec: float,
    magnitudes: tuple[float, float],
    blur: Blur,
    aid: Aid,
    *,
    sky_cd_m2: float = 0.0,
) -> Split:
    """Judge a double star from the measured image of a single one; see `split`.

    Parameters
    ----------
    separation_arcsec, magnitudes
        Of the two stars; the magnitudes at the ground.
    blur
        The image of a single star.
    aid
        The instrument and the eye, for thresholds.
    sky_cd_m2
        Sky behind them, before the instrument.
    """
    spread, width, aperture_mm = blur.spread, blur.width_arcsec, blur.aperture_mm
    ratio = 10.0 ** (-0.4 * abs(magnitudes[1] - magnitudes[0]))
    at_place, peak = (float(v) for v in spread(np.array([separation_arcsec, 0.0])))
    gap, longer = _gap_seen(separation_arcsec, ratio, blur)
    needed = _gap_needed(separation_arcsec, magnitudes, at_place, ratio, peak, aid)
    lit = min(
        _companion_margin(magnitudes, at_place, sky_cd_m2, aid, width),
        _over_boiling(separation_arcsec, ratio, blur),
    )
    apparent = separation_arcsec * aid.power / 60.0
    verdict: Verdict = "split"
    limit, parted = "", True
    if gap < needed or lit < 1.0:
        verdict = "elongated" if longer > ELONGATED and lit >= 1.0 else "single"
        parted = _parted_before_eye(separation_arcsec, ratio, blur)
        limit = _limit(gap, needed, lit, parted=parted)
    return Split(
        verdict=verdict,
        limit=limit,
        rayleigh_arcsec=rayleigh_arcsec(aperture_mm),
        dawes_arcsec=dawes_arcsec(aperture_mm),
        image_arcsec=width,
        gap=gap,
        gap_needed=needed,
        companion_over_ring=ratio * peak / max(at_place, 1e-300),
        companion_over_threshold=lit,
        apparent_arcmin=apparent,
        grade=_grade(verdict, gap, needed, parted=parted),
        elongation=longer,
    )


def is_split(
    separation_arcsec: float,
    magnitudes: tuple[float, float],
    blur: Blur,
    aid: Aid,
    *,
    sky_cd_m2: float = 0.0,
) -> bool:
    """Return whether `judge`, which takes longer, finds a double star split.

    Parameters
    ----------
    separation_arcsec, magnitudes, blur, aid, sky_cd_m2
        As there.
    """
    ratio = 10.0 ** (-0.4 * abs(magnitudes[1] - magnitudes[0]))
    if _over_boiling(separation_arcsec, ratio, blur) < 1.0:
        return False
    at_place, peak = (float(v) for v in blur.spread(np.array([separation_arcsec, 0.0])))
    needed = _gap_needed(separation_arcsec, magnitudes, at_place, ratio, peak, aid)
    return (
        needed <= 1.0
        and _companion_margin(magnitudes, at_place, sky_cd_m2, aid, blur.width_arcsec) >= 1.0
        and _gap_seen(separation_arcsec, ratio, blur)[0] >= needed
    )


def rayleigh_arcsec(aperture_mm: float) -> float:
    """Return the radius of the first dark ring at 550 nm. Source: Rayleigh 1879."""
    return 1.219670 * 550e-6 / aperture_mm * ARCSEC_PER_RADIAN


def dawes_arcsec(aperture_mm: float) -> float:
    """Return what practised eyes split of equal stars, 4.56 arcsec / inch. Source: Dawes 1867."""
    return 116.0 / aperture_mm


def split_in_view(
    path: LightPath,
    eye: EyeState,
    observer: Observer,
    *,
    separation_arcsec: float,
    magnitudes: tuple[float, float],
) -> Split:
    """Judge a double star in one view, with all that the light path does to it.

    `magnitudes` are above the air.

    Parameters
    ----------
    path, eye, observer
        Of the view.
    separation_arcsec
        Between the two stars.
    magnitudes
        Of both, above the air.
    """
    from simview.air import extinction, glow
    from simview.eye.aided import aid_of

    sky = path.sky
    lost = sky.extinction_mag * extinction.airmass(sky.altitude_deg)
    return split(
        separation_arcsec,
        (magnitudes[0] + lost, magnitudes[1] + lost),
        star_image(path, 3.0 * separation_arcsec),
        aid_of(path, eye, observer),
        aperture_mm=path.beam.aperture_mm,
        sky_cd_m2=glow.luminance_cd_m2(sky),
        age_years=observer.age_years,
        before_eye=star_image(path, 3.0 * separation_arcsec, with_eye=False),
        boiling=boiling_halo(path, 3.0 * separation_arcsec),
        perceived=star_image(
            path, 3.0 * separation_arcsec, nerves_arcmin=sight_sigma_arcmin(observer.acuity)
        ),
    )


def _parted_before_eye(separation: float, ratio: float, blur: Blur) -> bool:
    """Return whether telescope and air leave a gap that more power would open to the eye."""
    if blur.before_eye is None:
        return False
    width = star_width(blur.before_eye, blur.aperture_mm)
    return _gap(separation, ratio, blur.before_eye, width)[0] >= SHALLOWEST


def _grade(verdict: Verdict, gap: float, needed: float, *, parted: bool) -> Grade:
    """Return the verdict in finer steps; `parted` where telescope and air leave a gap."""
    if verdict != "elongated":
        return verdict
    if gap >= NOTCHED * needed > 0.0:
        return "notched"
    return "limit" if parted else "elongated"


def _gap_seen(separation: float, ratio: float, blur: Blur) -> tuple[float, float]:
    """Return the gap as nerves pass it on, and how many times longer than one star it looks.

    What the eye's optics leave no gap for, nerves do not see apart.
    """
    seen, width = blur.spread, blur.width_arcsec
    if blur.perceived is not None:
        seen = blur.perceived
        width = blur.perceived_arcsec or star_width(seen, blur.aperture_mm)
    gap, longer = _gap(separation, ratio, seen, width)
    if gap and _gap(separation, ratio, blur.spread, blur.width_arcsec)[0] < SHALLOWEST:
        gap = 0.0
    return gap, longer


def gap_of(separation: float, ratio: float, spread: Spread, width: float) -> float:
    """Return the Michelson contrast of the gap between two stars, one `ratio` times as bright.

    `width` is that of a star's image, full at half its height.
    """
    return _gap(separation, ratio, spread, width)[0]


def line_of(separation: float, width: float) -> Array:
    """Return places along the line through both stars, from the brighter one on, arcsec."""
    return np.linspace(-2.0 * width, separation + 2.0 * width, 4001)


def _gap(separation: float, ratio: float, spread: Spread, width: float) -> tuple[float, float]:
    """Return the gap's Michelson contrast, and how many times longer than one star both are."""
    x = line_of(separation, width)
    alone = spread(np.abs(x))
    line = alone + ratio * spread(np.abs(x - separation))
    # Long where the pair reaches further than one star of both their light would, half way up to
    # the companion.
    level = ratio * float(spread(np.zeros(1))[0]) / 2.0
    ends = [x[light >= level] for light in (line, (1.0 + ratio) * alone)]
    longer = float(np.ptp(ends[0]) / max(np.ptp(ends[1]), 1e-12))
    tops = 1 + np.flatnonzero((line[1:-1] > line[:-2]) & (line[1:-1] >= line[2:]))
    humps = tops[np.abs(x[tops] - separation) < 0.45 * min(separation, 2.0 * width)]
    mains = tops[np.abs(x[tops]) < 0.45 * separation]
    if len(humps) == 0 or len(mains) == 0:
        return 0.0, longer
    hump = int(humps[np.argmax(line[humps])])
    main = int(mains[np.argmax(line[mains])])
    low = float(line[main : hump + 1].min())
    radial = (float(line[hump]) - low) / (float(line[hump]) + low)
    # On a bright ring the hump must also stand out from the rest of that ring.
    ring, peak = (float(v) for v in spread(np.array([separation, 0.0])))
    along = ratio * peak / (ratio * peak + 2.0 * ring)
    return min(radial, along), longer


def _gap_needed(
    separation: float,
    magnitudes: tuple[float, float],
    at_place: float,
    ratio: float,
    peak: float,
    aid: Aid,
) -> float:
    """Return the contrast that the eye needs for a gap of this width and light (Barten)."""
    apparent_deg = separation * aid.power / 3600.0
    bright = illuminance_lux(min(magnitudes)) * ARCSEC_PER_RADIAN**2
    light = bright * (ratio * peak + at_place) * aid.transmission
    troland = light * math.pi / 4.0 * aid.used_pupil_mm**2
    seen = sensitivity(
        1.0 / apparent_deg,
        troland=troland,
        object_deg=max(2.0 * apparent_deg, PATCH_DEG),
        eyes=aid.eyes,
    )
    practice = aid.field_factor / USUAL_FIELD_FACTOR
    return practice / float(seen) if seen > 0.0 else math.inf


def _companion_margin(
    magnitudes: tuple[float, float], at_place: float, sky_cd_m2: float, aid: Aid, width: float
) -> float:
    """Return the companion's light over the threshold on the background at its place (Crumey)."""
    halo = illuminance_lux(min(magnitudes)) * at_place * ARCSEC_PER_RADIAN**2
    blur = math.radians(width * aid.power / 3600.0)
    least = star_lux(sky_cd_m2 + halo, aid, area_sr=math.pi / 4.0 * blur**2)
    return float(illuminance_lux(max(magnitudes)) / least)


def _over_boiling(separation: float, ratio: float, blur: Blur) -> float:
    """Return the companion's height over what a speckle of the halo now and then comes to.

    Three standard deviations, the signal to noise at which Barten's eye sees.
    """
    if blur.boiling is None or blur.before_eye is None:
        return math.inf
    peak = float(blur.before_eye(np.zeros(1))[0])
    noise = float(blur.boiling(np.array([separation]))[0])
    return ratio * peak / (SIGNAL_TO_NOISE * noise) if noise > 0.0 else math.inf


def _limit(gap: float, needed: float, lit: float, *, parted: bool) -> str:
    if lit < 1.0:
        return "the companion is too faint beside the bright star"
    if gap < needed and not parted:
        return "the two images run together, whatever the power"
    if gap < needed:
        return "the gap is too narrow or too dim for the eye at this power"
    return ""
