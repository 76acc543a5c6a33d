"""From cut-out stars to a fit: starts, sides, stages."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis import fit
from simview.diagnosis.comparison import FINER, worth
from simview.diagnosis.finding import refuse
from simview.diagnosis.fit import Fitted
from simview.diagnosis.model import Model, Plate
from simview.diagnosis.pattern import Mode, balanced
from simview.diagnosis.plates import LEAST_PIXELS, MOST_PIXELS, Stars, plate_of
from simview.diagnosis.radial import Guess, guesses
from simview.kit import Telescope
from simview.telescope.opening import REFERENCE_NM, stop_for
from simview.units import ARCSEC_PER_RADIAN

Array = NDArray[Any]
Signs = tuple[int, ...]
Choice = tuple[Guess, ...]

# What the wavefront may hold.
MODES: Final = tuple(range(5, 16))

# By how much one choice of sides must be better than another to be believed. A choice.
DECIDES: Final = 0.7

# How many times worse another choice of sides may be before it goes along the valley: that gains
# less. A choice.
_HOPELESS: Final = 2.0

# Logarithm of how much likelier a finer fault must make the pictures, how strong it must be, waves
# RMS, and how many are looked for together. Choices, after telescopes that had none: air that stood
# still looks like a weak one.
_WORTH: Final = 12.0
_LEAST_FINER: Final = 0.02
_MOST_FINER: Final = 2

# How well guesses for two pictures go together: scatter of ln scale and of spherical aberration.
_SCALES: Final = 0.05
_SPHERICALS: Final = 0.03
_MISFIT: Final = 0.03


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Climb:
    """A fit in one colour, and where it started."""

    fitted: Fitted
    choice: Choice
    signs: Signs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reached:
    """The fit of everything.

    Parameters
    ----------
    fitted
        In all colours.
    frames
        For each picture its frames on the working grid.
    ratios
        Pixels of each photograph in one of the grid.
    signs
        Sides.
    """

    fitted: Fitted
    frames: list[Array]
    ratios: tuple[float, ...]
    signs: Signs


class Search:
    """The fits of several pictures.

    Parameters
    ----------
    scope
        The kit's telescope.
    stars
        The star of each picture.
    """

    def __init__(self, scope: Telescope, stars: Sequence[Stars]) -> None:
        self._scope = scope
        simple = scope.objective in ("achromat", "singlet")
        self._stars = tuple(star.in_green() if simple else star for star in stars)
        self._linear = all(star.linear for star in self._stars)
        aperture = stop_for(scope).aperture_mm
        self._unit = REFERENCE_NM * 1e-6 / aperture * ARCSEC_PER_RADIAN
        self._starts = [self._guesses(star) for star in self._stars]
        self._roughs: dict[Signs, Climb] = {}
        self._climbs: dict[Signs, Climb] = {}
        self._ends: dict[Signs, Reached] = {}

    def _guesses(self, star: Stars) -> dict[int, list[Guess]]:
        """Return guesses for either side of focus, scale and blur in the photograph's pixels."""
        half = 1.9 * star.radius
        pixels = int(min(96, 2 * round(half)))
        plate, _ = plate_of(star, half, pixels)
        ratio = 2.0 * half / pixels
        return {
            sign: [
                replace(guess, pixel_arcsec=guess.pixel_arcsec / ratio, blur=guess.blur * ratio)
                for guess in guesses(self._scope, plate, sign, keep=6)
            ]
            for sign in (1, -1)
        }

    def combined(self, signs: Signs) -> list[tuple[float, Choice]]:
        """Return guesses for all pictures that go together, best first, with their misfits."""
        lists = [start[sign] for start, sign in zip(self._starts, signs, strict=True)]
        most = 6 if len(lists) < 4 else 3
        scored = [(_together(c), c) for c in itertools.product(*(x[:most] for x in lists))]
        return sorted(scored, key=lambda pair: pair[0])

    def best_sides(self, options: Sequence[Signs]) -> Signs:
        """Return which of several choices of sides fits best."""
        if len(options) == 1:
            return options[0]
        likely = sorted(options, key=lambda signs: self.combined(signs)[0][0])[:3]
        return min(likely, key=lambda signs: self.climbed(signs).fitted.chi2)

    def challenge(self, signs: Signs) -> None:
        """Refuse sides that the pictures contradict.

        Raises
        ------
        UnfitError
            When another choice, which is not the mere mirror image of this one, is far better.
        """
        mirror = tuple(-sign for sign in signs)
        others = [
            option
            for option in itertools.product((1, -1), repeat=len(signs))
            if option[0] == 1 and option not in (signs, mirror)
        ]
        if self._scope.objective != "mirror":
            self._challenge_colours(signs, mirror)
        if not others:
            return
        best = min(others, key=lambda option: self.combined(option)[0][0])
        if self.combined(best)[0][0] > self.combined(signs)[0][0]:
            return
        told = self.climbed(signs).fitted.chi2
        if self._rough(best).fitted.chi2 > _HOPELESS * told:
            return
        found = self.climbed(best).fitted.chi2
        if found > DECIDES * told:
            return
        raise refuse(
            " and ".join(star.name for star in self._stars),
            "all of the same side of focus" if len(set(best)) == 1 else "not of the sides named",
            "take one on either side of focus, or name the sides as they are with --side",
        )

    def _challenge_colours(self, signs: Signs, mirror: Signs) -> None:
        """Refuse sides that the colours contradict: a lens focuses blue nearer or farther."""
        told, found = (self.reached(self.climbed(s)).fitted.chi2 for s in (signs, mirror))
        if found < DECIDES * told:
            raise refuse(
                " and ".join(star.name for star in self._stars),
                "inside and outside exchanged: the colours of this lens tell",
                "name the sides as they are with --side",
            )

    def climbed(self, signs: Signs) -> Climb:
        """Return the fit in one colour, from the best of the starts."""
        if signs not in self._climbs:
            rough = self._rough(signs)
            fitted = fit.along_the_valley(rough.fitted)
            self._climbs[signs] = replace(rough, fitted=fitted)
        return self._climbs[signs]

    def _rough(self, signs: Signs) -> Climb:
        """Return the fit in one colour before it goes along the valley."""
        if signs not in self._roughs:
            self._roughs[signs] = self._climb(signs)
        return self._roughs[signs]

    def _climb(self, signs: Signs) -> Climb:
        scored = self.combined(signs)
        ends: list[Climb] = []
        for score, choice in scored[:3]:
            if ends and score > 1.25 * scored[0][0]:
                break
            made = self._plates(choice)
            middle = fit.in_colour([plate for plate, _, _ in made], 1)
            model = self._model(middle, range(5, 12), [ratio for _, _, ratio in made])
            start = fit.first_guess(model, self._scaled(choice), signs)
            fitted = fit.climb(model, start)
            ends.append(Climb(fitted=fitted, choice=choice, signs=signs))
        return min(ends, key=lambda end: end.fitted.chi2)

    def reached(self, climb: Climb) -> Reached:
        """Return the fit of everything, in all colours."""
        if climb.signs not in self._ends:
            self._ends[climb.signs] = self._reach(climb)
        return self._ends[climb.signs]

    def _reach(self, climb: Climb) -> Reached:
        made = self._plates(climb.choice)
        plates = [plate for plate, _, _ in made]
        ratios = tuple(ratio for _, _, ratio in made)
        one = self._model(fit.in_colour(plates, 1), MODES, ratios)
        fitted = fit.whole(one, fit.carried(climb.fitted, one), rounds=6)
        if any(len(plate.data) > 1 for plate in plates):
            full = self._model(plates, MODES, ratios)
            fitted = fit.whole(full, fit.carried(fitted, full), rounds=2)
        return Reached(
            fitted=fitted,
            frames=[frames for _, frames, _ in made],
            ratios=ratios,
            signs=climb.signs,
        )

    def finer(self, end: Reached) -> tuple[Reached, dict[tuple[str, ...], float]]:
        """Look for finer faults: return the fit with those that are there, and what each was worth.

        A fit of all of them together tells whether there is anything; only then each has its own.
        """
        base = self._in_green(end, ())
        if self._worth(base, self._in_green(end, FINER, base)) < _WORTH:
            return end, {}
        taken: tuple[str, ...] = ()
        told: dict[tuple[str, ...], float] = {}
        best, reached = 0.0, base
        for _ in range(_MOST_FINER):
            kinds = {name.partition(":")[0] for name in taken}
            tried = {}
            for name in (name for name in FINER if name.partition(":")[0] not in kinds):
                names = tuple(sorted((*taken, name)))
                fitted = self._in_green(end, names, reached)
                strong = self._strength(fitted, name) > _LEAST_FINER
                tried[names] = (self._worth(base, fitted) if strong else -math.inf, fitted)
            told |= {names: log for names, (log, _) in tried.items() if math.isfinite(log)}
            names = max(tried, key=lambda key: tried[key][0])
            if tried[names][0] < best + _WORTH:
                break
            taken, (best, reached) = names, tried[names]
        if not taken:
            return end, {}
        return self._in_colours(end, reached), told

    def _strength(self, fitted: Fitted, mode: Mode) -> float:
        """Return the waves RMS of a mode over the open pupil, at best focus."""
        basis, weight = balanced(self._scope, fitted.model.modes)
        row = fitted.model.modes.index(mode)
        return abs(float(fitted.modes()[row])) * math.sqrt(float(basis[row] ** 2 @ weight))

    def _worth(self, base: Fitted, fitted: Fitted) -> float:
        count = sum(int(plate.use.sum()) for plate in base.model.plates)
        freedom = len(fitted.model.modes) - len(base.model.modes)
        return worth(base.chi2, fitted.chi2, count / fit.ALIKE, freedom)

    def _in_green(self, end: Reached, finer: Sequence[Mode], start: Fitted | None = None) -> Fitted:
        """Return a fit in one colour with more modes."""
        model = end.fitted.model
        plates = fit.in_colour(model.plates, 1)
        one = self._model(plates, (*model.modes, *finer), end.ratios)
        begin = fit.carried(end.fitted if start is None else start, one, channel=1)
        return fit.whole(one, begin, rounds=8 if finer else 3, enough=3e-3)

    def _in_colours(self, end: Reached, one: Fitted) -> Reached:
        """Return the fit of all colours that goes on from one in one colour."""
        more = self._model(end.fitted.model.plates, one.model.modes, end.ratios)
        if len(more.names) == len(one.model.names):
            return replace(end, fitted=one)
        start = fit.carried(end.fitted, more)
        for name in one.model.names:
            if name.count(":") < 2:
                start[more.names.index(name)] = one.get(name)
        return replace(end, fitted=fit.whole(more, start, rounds=3))

    def _model(
        self, plates: Sequence[Plate], modes: Sequence[Mode], ratios: Sequence[float]
    ) -> Model:
        return fit.model_of(self._scope, plates, modes, linear=self._linear, ratios=ratios)

    def _plates(self, choice: Choice) -> list[tuple[Plate, Array, float]]:
        answer = []
        for star, guess in zip(self._stars, choice, strict=True):
            half, pixels = self._grid(star, guess)
            answer.append((*plate_of(star, half, pixels), 2.0 * half / pixels))
        return answer

    def _grid(self, star: Stars, guess: Guess) -> tuple[float, int]:
        """Return half the grid's width in pixels of the photograph, and its pixels."""
        half = 1.6 * star.radius
        # 0.47 of the model's blur is its full width at half the height.
        finest = 0.3 * 0.47 * guess.blur * guess.pixel_arcsec
        pixel = min(max(0.6 * self._unit, finest), 0.9 * self._unit)
        wanted = 2.0 * half * guess.pixel_arcsec / pixel
        most = min(MOST_PIXELS, int(2.0 * half))
        return half, int(np.clip(2 * round(wanted / 2.0), min(LEAST_PIXELS, most), most))

    def _scaled(self, choice: Choice) -> Choice:
        """Return guesses with scale and blur in pixels of each working grid."""
        answer = []
        for star, guess in zip(self._stars, choice, strict=True):
            half, pixels = self._grid(star, guess)
            ratio = 2.0 * half / pixels
            answer.append(
                replace(guess, pixel_arcsec=guess.pixel_arcsec * ratio, blur=guess.blur / ratio)
            )
        return tuple(answer)


def _together(choice: Choice) -> float:
    """Return how badly guesses fit, and fit one another."""
    total = sum(guess.misfit**2 for guess in choice)
    logs = np.log([guess.pixel_arcsec for guess in choice])
    shapes = np.array([guess.spherical for guess in choice])
    apart = ((logs - logs.mean()) ** 2).sum() / _SCALES**2
    apart += ((shapes - shapes.mean()) ** 2).sum() / _SPHERICALS**2
    return math.sqrt(total + _MISFIT**2 * float(apart))
