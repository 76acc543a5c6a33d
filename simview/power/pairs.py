"""Whether a kit splits a double star, against power, and the closest pair that it would split."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from simview.air import extinction, glow
from simview.air.conditions import conditions
from simview.errors import require_range
from simview.eye.aided import aid_of
from simview.eye.contrast import sight_sigma_arcmin
from simview.eye.starimage import blurred, boiling_halo, star_image
from simview.eye.stations import Station, stations
from simview.kit import Kit, Observer, Sky
from simview.power.splitting import (
    Grade,
    Split,
    Verdict,
    dawes_arcsec,
    is_split,
    judge,
    rayleigh_arcsec,
)
from simview.scene.scene import Target

# Factor between the pairs that are tried first, and halvings after that: within 0.4 %.
_COARSE: Final = 1.3
_HALVINGS: Final = 7

# Widest pair that is tried: arcmin at the eye, and in units of Dawes' limit.
WIDEST_ARCMIN: Final = 60.0
WIDEST_DAWES: Final = 50.0

# A pair reads as two where its gap has so many times the contrast that the eye needs. A choice
# between 4 and 10, the reserves of contrast with which print is read fluently and most fluently
# (Whittaker & Lovie-Kitchin 1993, Optom. Vis. Sci. 70, 54; memory).
READS: Final = 7.0

NEVER: Final = "no power splits the pair"
DARK: Final = "the secondary's shadow fills the eye's pupil"


@dataclass(frozen=True, slots=True, kw_only=True)
class PairCurve:
    """A double star against power.

    Parameters
    ----------
    powers
        Times, rising.
    verdicts
        "split", "elongated" or "single" at each power.
    grades
        The same in finer steps; see `simview.power.splitting.Split`.
    limits
        What stands in the way at each power, in words; "" where the pair is split.
    gaps, gaps_needed
        Contrast of the dark gap, and what the eye needs, at each power; None where no contrast
        would do.
    closest_arcsec
        Closest pair of the same two magnitudes that is split at each power; None where none is.
    splits_from, splits_to
        Ends of the longest run of powers that split the pair. The first is None where none does,
        the second where the run goes on to the highest power.
    reason
        In words, why the pair is not split; empty where it is.
    elongations
        How many times longer than one star's the outline of both is, at each power.
    """

    powers: tuple[float, ...]
    verdicts: tuple[Verdict, ...]
    grades: tuple[Grade, ...]
    limits: tuple[str, ...]
    gaps: tuple[float, ...]
    gaps_needed: tuple[float | None, ...]
    closest_arcsec: tuple[float | None, ...]
    splits_from: float | None
    splits_to: float | None
    rayleigh_arcsec: float
    dawes_arcsec: float
    reason: str = ""
    elongations: tuple[float, ...] = ()

    @property
    def margins(self) -> tuple[float, ...]:
        """How many times what the eye needs the gap comes to at each power."""
        each = zip(self.gaps, self.gaps_needed, strict=True)
        return tuple(gap / needed if needed else 0.0 for gap, needed in each)

    @property
    def margin(self) -> float:
        """How many times what the eye needs the gap comes to at the best power."""
        return max(self.margins, default=0.0)

    def margin_at(self, power: float) -> float:
        """Return how many times what the eye needs the gap comes to at a power."""
        return float(np.interp(math.log(power), np.log(self.powers), self.margins))

    def reads_from(self, low: float, high: float) -> float:
        """Return the lowest power between two at which the pair reads as two; `high` where none."""
        if self.margin_at(low) >= READS:
            return low
        each = list(zip(self.powers, self.margins, strict=True))
        for (before, less), (power, more) in itertools.pairwise(each):
            if power > low and less < READS <= more:
                step = (READS - less) / (more - less)
                crossed = math.exp(math.log(before) + step * math.log(power / before))
                return min(max(crossed, low), high)
        return high


def pair_curve(  # noqa: PLR0913 - a curve takes all that the light path needs
    kit: Kit,
    target: Target,
    *,
    separation_arcsec: float,
    magnitudes: tuple[float, float],
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    closest: bool = True,
) -> PairCurve:
    """Judge a double star at each power.

    Parameters
    ----------
    kit, powers, sky, observer
        As in `simview.power.finest.detail_curve`.
    target
        The double; it sets the eye's state.
    separation_arcsec, magnitudes
        Of the pair, outside the air.
    closest
        Whether to search the closest pair at every power, which takes long.

    Notes
    -----
    Source: see `simview.power.splitting`. Checked by: tests/unit/power/test_pairs.py
    """
    require_range("separation_arcsec", separation_arcsec, 0.01, 36000.0, unit="arcsec")
    sky, observer = conditions([kit], target, sky, observer)
    places = stations(kit, target, powers=powers, sky=sky, observer=observer)
    lost = sky.extinction_mag * extinction.airmass(sky.altitude_deg)
    dimmed = (magnitudes[0] + lost, magnitudes[1] + lost)
    judges = [_Judge(place, observer, dimmed, separation_arcsec) for place in places]
    found = [each.judge(separation_arcsec) for each in judges]
    splits = [_is(each) for each in found]
    first, last = _longest_run(splits)
    limits: list[float | None] = []
    for index, each in enumerate(judges):
        wanted = closest or index in (first - 1, first)
        limits.append(each.closest(near=limits[-1] if limits else None) if wanted else None)
    best = max(found, key=lambda each: (each is not None and each.gap / each.gap_needed) or 0.0)
    widest = max(places, key=lambda place: place.path.beam.aperture_mm).path.beam.aperture_mm
    return PairCurve(
        powers=tuple(place.power for place in places),
        verdicts=tuple(each.verdict if each else "single" for each in found),
        grades=tuple(each.grade if each else "single" for each in found),
        elongations=tuple(each.elongation if each else 1.0 for each in found),
        limits=tuple(each.limit if each else DARK for each in found),
        gaps=tuple(each.gap if each else 0.0 for each in found),
        gaps_needed=tuple(
            each.gap_needed if each and each.gap_needed <= 1.0 else None for each in found
        ),
        closest_arcsec=tuple(limits),
        splits_from=_first_split([p.power for p in places], first, limits, separation_arcsec)
        if any(splits)
        else None,
        splits_to=places[last].power if any(splits) and last + 1 < len(places) else None,
        rayleigh_arcsec=rayleigh_arcsec(widest),
        dawes_arcsec=dawes_arcsec(widest),
        reason="" if any(splits) else f"{NEVER}: {_why(best)}",
    )


def _longest_run(splits: Sequence[bool]) -> tuple[int, int]:
    """Return first and last place of the longest run of True; (0, 0) where there is none.

    A companion that shows between two rings at one power and not at the next is not split for good.
    """
    runs: list[tuple[int, int]] = []
    for index, found in enumerate(splits):
        if not found:
            continue
        if runs and runs[-1][1] == index - 1:
            runs[-1] = (runs[-1][0], index)
        else:
            runs.append((index, index))
    return max(runs, key=lambda run: run[1] - run[0], default=(0, 0))


def _first_split(
    powers: Sequence[float], i: int, closest: Sequence[float | None], separation_arcsec: float
) -> float:
    """Return the power that begins to split the pair, between two samples where both are known."""
    before, after = (closest[i - 1], closest[i]) if i else (None, None)
    if before is None or after is None or not after <= separation_arcsec < before:
        return powers[i]
    step = math.log(before / separation_arcsec) / math.log(before / after)
    return float(powers[i - 1] * (powers[i] / powers[i - 1]) ** step)


def _why(best: Split | None) -> str:
    return DARK if best is None else best.limit.replace("at this power", "at any power")


def _is(found: Split | None) -> bool:
    return found is not None and found.verdict == "split"


class _Judge:
    """One power's judgement on pairs of two magnitudes, the star's image measured once."""

    def __init__(
        self,
        place: Station,
        observer: Observer,
        magnitudes: tuple[float, float],
        widest_arcsec: float,
    ) -> None:
        beam = place.path.beam
        self._dark = place.dark
        if self._dark:
            return
        self._magnitudes = magnitudes
        self._aid = aid_of(place.path, place.eye, observer)
        self._sky = glow.luminance_cd_m2(place.path.sky)
        self._first = 0.5 * dawes_arcsec(beam.aperture_mm)
        self._last = max(WIDEST_ARCMIN * 60.0 / beam.power, WIDEST_DAWES * 2.0 * self._first)
        reach = 3.0 * max(self._last, widest_arcsec)
        self._blur = blurred(
            star_image(place.path, reach),
            beam.power,
            aperture_mm=beam.aperture_mm,
            age_years=observer.age_years,
            before_eye=star_image(place.path, reach, with_eye=False),
            boiling=boiling_halo(place.path, reach),
            perceived=star_image(
                place.path, reach, nerves_arcmin=sight_sigma_arcmin(observer.acuity)
            ),
        )

    def judge(self, separation_arcsec: float) -> Split | None:
        """Return the verdict on one separation; None in the secondary's shadow."""
        if self._dark:
            return None
        return judge(
            separation_arcsec, self._magnitudes, self._blur, self._aid, sky_cd_m2=self._sky
        )

    def splits(self, separation_arcsec: float) -> bool:
        """Return whether that separation is split: the verdict alone, sooner had."""
        return not self._dark and is_split(
            separation_arcsec, self._magnitudes, self._blur, self._aid, sky_cd_m2=self._sky
        )

    def closest(self, *, near: float | None = None) -> float | None:
        """Return the separation from which on wider pairs are split, sought first around `near`."""
        if self._dark:
            return None
        if near is not None and self._first < near < self._last:
            wide, close = near * _COARSE, near / _COARSE
            if self.splits(wide) and not self.splits(close):
                return self._between(wide, close)
        wide = self._last
        if not self.splits(wide):
            return None
        while wide > self._first and self.splits(wide / _COARSE):
            wide /= _COARSE
        return self._between(wide, wide / _COARSE)

    def _between(self, wide: float, close: float) -> float:
        for _ in range(_HALVINGS):
            middle = math.sqrt(wide * close)
            wide, close = (middle, close) if self.splits(middle) else (wide, middle)
        return wide
