"""Least squares, stage by stage, from several starts.

With everything free at once a fit sticks: first come defocus, scale, place, brightness, blur and
spherical aberration, then the other aberrations, last what the camera does. `radial` gives the
starts.

Method: Levenberg 1944, Quarterly of Applied Mathematics 2, 164; Marquardt 1963, SIAM J. Appl.
Math. 11, 431, with Gaussian priors as further residuals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.model import Model, Plate, Unknowns
from simview.diagnosis.radial import Guess
from simview.kit import Telescope

Plane = NDArray[np.float64]
Vector = NDArray[np.float64]
Array = NDArray[Any]

# Error of a pixel that is put down to the air and to all that the model leaves out, against the
# disc's mean brightness; grows with the root of the light. A choice; what it is, the fit tells.
GRAIN: Final = 0.05

# Pixels that tell one thing: what the air leaves covers patches, and leaves more than GRAIN. It
# sets how much the pictures weigh against what was thought of the camera before. Measured on
# pictures of known telescopes: some 250 speckles in a disc of 8000 pixels, twice GRAIN strong.
ALIKE: Final = 40.0

# Numbers that are free in each stage, and the modes with them.
_FIRST: Final = frozenset({"defocus", "scale", "x", "y", "light", "sky", "blur"})
_CAMERA: Final = frozenset(
    {
        "tone",
        "bend",
        "fall_round",
        "round",
        "plus",
        "cross",
        "fall_x",
        "fall_y",
        "scale_own",
        "stretch_plus",
    }
    | {"stretch_cross", "shadow", "shadow_x", "shadow_y"}
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """Where a fit ended.

    Parameters
    ----------
    model, values, unknowns
        The model, all its numbers, and which were free.
    cost
        Half the weighted sum of squares, priors included.
    normal
        (free, free) J'WJ and priors at the end.
    samples
        Pupil samples that were used.
    """

    model: Model
    values: Vector
    unknowns: Unknowns
    cost: float
    normal: Array
    samples: int

    def get(self, name: str) -> float:
        """Return one number by its name."""
        return float(self.values[self.model.names.index(name)])

    def modes(self) -> Vector:
        """Return the strengths of the modes."""
        return self.values[: len(self.model.modes)]

    @property
    def chi2(self) -> float:
        """Weighted squared residual a pixel."""
        count = sum(int(plate.use.sum()) for plate in self.model.plates)
        return 2.0 * self.cost / max(count, 1)


def weights(plate: Plate) -> Plane:
    """Return (channels, m, m) 1 / error of each pixel; 0 where it tells nothing."""
    smooth = np.maximum(plate.data, 0.0)
    bright = np.stack([_bright(plane) for plane in smooth])
    error2 = ALIKE * plate.noise[:, None, None] ** 2 + ALIKE * GRAIN**2 * bright[:, None, None] * (
        smooth + 0.03 * bright[:, None, None]
    )
    return np.asarray(np.where(plate.use, 1.0 / np.sqrt(error2), 0.0))


def _bright(plane: Plane) -> float:
    """Return the mean brightness of the disc: of the light, weighted by itself."""
    return float((plane**2).sum() / max(plane.sum(), 1e-12))


def solve(
    model: Model,
    start: Vector,
    free: frozenset[str],
    *,
    rounds: int = 12,
    samples: int | None = None,
    enough: float = 1e-4,
) -> Fitted:
    """Return the least squares with these numbers free.

    Parameters
    ----------
    start
        All numbers.
    free
        Kinds of numbers, as `Model.unknowns` takes them.
    rounds
        Steps at most.
    samples
        Of the pupil; None for what the start needs.
    enough
        Relative gain below which it ends.
    """
    unknowns = model.unknowns(free, start)
    where = np.flatnonzero(unknowns.free)
    pull = 1.0 / unknowns.sigma[where] ** 2
    weigh = [weights(plate) for plate in model.plates]
    samples = model.samples(start) if samples is None else samples
    values, damping = start.copy(), 1e-3
    cost, slope, normal = _normal(model, values, unknowns, weigh, samples)
    for _ in range(rounds):
        gained = 0.0
        for _ in range(6):
            matrix = normal + damping * np.diag(np.diag(normal) + 1e-12)
            step = np.linalg.solve(matrix, -slope)
            trial = values.copy()
            trial[where] += step
            other = _cost(model, trial, weigh, samples, where, unknowns.centre, pull)
            if other < cost:
                gained = (cost - other) / max(cost, 1e-12)
                values, damping = trial, max(damping / 8.0, 1e-7)
                break
            damping *= 8.0
        if gained == 0.0:
            break
        cost, slope, normal = _normal(model, values, unknowns, weigh, samples)
        if gained < enough:
            break
    return Fitted(
        model=model,
        values=values,
        unknowns=unknowns,
        cost=cost,
        normal=normal,
        samples=samples,
    )


def _cost(
    model: Model,
    values: Vector,
    weigh: Sequence[Plane],
    samples: int,
    where: Array,
    centre: Vector,
    pull: Vector,
) -> float:
    if not _sane(model, values):
        return math.inf
    total = float((pull * (values[where] - centre[where]) ** 2).sum())
    for plate, weight, view in zip(
        model.plates, weigh, model.views(values, None, samples), strict=True
    ):
        for c, (tones, _) in enumerate(view):
            total += float(((weight[c] * (tones - plate.data[c])) ** 2).sum())
    return 0.5 * total if math.isfinite(total) else math.inf


def _sane(model: Model, values: Vector) -> bool:
    """Return whether the numbers lie where the model can be computed."""
    get = dict(zip(model.names, values, strict=True))
    if (
        not np.isfinite(values).all()
        or max(abs(get["tone"]), 1.1 * abs(get["bend"])) > 1.0
        or abs(get["scale"]) > 7.0
    ):
        return False
    if np.abs(values[: len(model.modes)]).max(initial=0.0) > 3.0:
        return False
    if max(abs(get["shadow"]), abs(get["shadow_x"]), abs(get["shadow_y"])) > 0.25:
        return False
    return all(
        abs(get[f"defocus:{p}"]) < 40.0 and abs(get[f"blur:{p}"]) < 0.6 * plate.pixels
        for p, plate in enumerate(model.plates)
    )


def _normal(
    model: Model, values: Vector, unknowns: Unknowns, weigh: Sequence[Plane], samples: int
) -> tuple[float, Vector, Array]:
    """Return cost, slope and J'WJ, priors included."""
    where = np.flatnonzero(unknowns.free)
    pull = 1.0 / unknowns.sigma[where] ** 2
    off = values[where] - unknowns.centre[where]
    cost = 0.5 * float((pull * off**2).sum())
    slope = pull * off
    normal = np.diag(pull)
    for plate, weight, view in zip(
        model.plates, weigh, model.views(values, unknowns.free, samples), strict=True
    ):
        for c, (tones, slopes) in enumerate(view):
            assert slopes is not None
            rows = np.flatnonzero(slopes.any(axis=(1, 2)))
            flat = slopes[rows].reshape(len(rows), -1) * weight[c].ravel().astype(np.float32)
            residual = (weight[c] * (tones - plate.data[c])).ravel()
            cost += 0.5 * float(residual @ residual)
            slope[rows] += flat @ residual.astype(np.float32)
            normal[np.ix_(rows, rows)] += (flat @ flat.T).astype(np.float64)
    return cost, slope, normal


def first_guess(model: Model, starts: Sequence[Guess], signs: Sequence[int]) -> Vector:
    """Return numbers to start from: what the rings tell, one guess a picture on its own grid."""
    names = model.names
    values = np.zeros(len(names))

    def put(name: str, value: float) -> None:
        values[names.index(name)] = value

    for p, plate in enumerate(model.plates):
        put(f"defocus:{p}", signs[p] * starts[p].defocus)
        put(f"blur:{p}", max(starts[p].blur, 0.5))
        for c, plane in enumerate(plate.data):
            light = np.where(plate.use[c], np.maximum(plane, 0.0), 0.0)
            total = max(float(light.sum()), 1e-9)
            side = np.arange(plate.pixels) - (plate.pixels - 1) / 2.0
            put(f"x:{p}:{c}", float((light.sum(axis=0) * side).sum()) / total)
            put(f"y:{p}:{c}", -float((light.sum(axis=1) * side).sum()) / total)
            put(f"light:{p}:{c}", total)
    pixels = [guess.pixel_arcsec / ratio for guess, ratio in zip(starts, model.ratios, strict=True)]
    put("scale", float(np.log(pixels).mean()))
    if 11 in model.modes:
        put(f"m{model.modes.index(11)}", float(np.mean([guess.spherical for guess in starts])))
    return values


def stages(modes: Sequence[int | str]) -> list[frozenset[str]]:
    """Return what is free in each stage: ever more."""

    def upto(last: int) -> frozenset[str]:
        return frozenset(f"m{k}" for k, mode in enumerate(modes) if mode in range(5, last + 1))

    first = _FIRST | {"tone"}
    return [_FIRST | upto(11) - upto(10), first | upto(11), _FIRST | _CAMERA | {"modes"}]


def climb(model: Model, start: Vector, *, rounds: Sequence[int] = (4, 8)) -> Fitted:
    """Return the fit of the first stages, all but the camera's own, from one start."""
    found: Fitted | None = None
    for free, count in zip(stages(model.modes)[: len(rounds)], rounds, strict=True):
        found = solve(model, start, free, rounds=count, enough=2e-3)
        start = found.values
    assert found is not None
    return found


def along_the_valley(fitted: Fitted) -> Fitted:
    """Return the best fit with all of the wavefront and the scale made larger or smaller together.

    That leaves the outline of the disc as it is: a valley along which steps are short, and which
    coma, which spoils the mean over rings, makes the starts miss.
    """
    model = fitted.model
    for factor in (_STRIDE, 1.0 / _STRIDE):
        found = fitted
        for _ in range(2):
            values = found.values.copy()
            for k, name in enumerate(model.names):
                if k < len(model.modes) or name.startswith("defocus"):
                    values[k] *= factor
            values[model.names.index("scale")] += math.log(factor)
            tried = solve(model, values, stages(model.modes)[1], rounds=7, enough=2e-3)
            if tried.cost >= found.cost:
                break
            found = tried
        if found is not fitted:
            return found
    return fitted


# By how much the valley is strode along at once. A choice.
_STRIDE: Final = 1.28


def carried(fitted: Fitted, model: Model, *, channel: int | None = None) -> Vector:
    """Return a fit's numbers as a start for a model with other modes or channels.

    Parameters
    ----------
    channel
        Which of the fit's colours a model of one colour goes on with, where the fit has it.
    """
    values = np.zeros(len(model.names))
    get = dict(zip(fitted.model.names, fitted.values, strict=True))
    strength = dict(zip(fitted.model.modes, fitted.modes(), strict=True))
    for k, name in enumerate(model.names):
        kind, _, rest = name.partition(":")
        if kind[0] == "m" and kind[1:].isdigit():
            values[k] = strength.get(model.modes[int(kind[1:])], 0.0)
        elif channel is not None and f"{name[:-1]}{channel}" in get and name.count(":") == 2:
            values[k] = get[f"{name[:-1]}{channel}"]
        elif name in get:
            values[k] = get[name]
        elif rest.partition(":")[2]:
            values[k] = get.get(f"{kind}:{rest.partition(':')[0]}:0", 0.0)
            if kind == "light":
                p, c = (int(part) for part in rest.split(":"))
                values[k] = float(np.maximum(model.plates[p].data[c], 0.0).sum())
    return values


def whole(
    model: Model, start: Vector, *, rounds: int = 12, fine: float = 1.0, enough: float = 1e-4
) -> Fitted:
    """Return the last stage: everything free.

    Parameters
    ----------
    model, start
        The model, and where its parameters begin.
    rounds
        Most steps.
    fine
        How many times as finely as the model asks its pupil is sampled.
    enough
        Ends where a step betters the misfit by a smaller part than this.
    """
    need = int(16 * -(-model.samples(start) * fine // 16))
    return solve(model, start, stages(model.modes)[-1], rounds=rounds, samples=need, enough=enough)


def in_colour(plates: Sequence[Plate], channel: int | None) -> tuple[Plate, ...]:
    """Return the pictures in one of their colours (None: all)."""
    if channel is None:
        return tuple(plates)
    return tuple(plate.only(min(channel, len(plate.data) - 1)) for plate in plates)


def model_of(
    scope: Telescope,
    plates: Sequence[Plate],
    modes: Sequence[int | str],
    *,
    linear: bool,
    ratios: Sequence[float],
) -> Model:
    """Return the model of pictures taken with a telescope; its own wavefront is left out.

    Parameters
    ----------
    scope
        Aperture, secondary and vanes are taken from it.
    plates
        The pictures, each on its working grid.
    modes
        Numbers of Noll's polynomials, and names of other errors.
    linear
        True where the files hold light and not tones.
    ratios
        Pixels of each photograph in one of its working grid.
    """
    from simview.kit import Wavefront

    return Model(
        scope=replace(scope, wavefront=Wavefront()),
        plates=tuple(plates),
        modes=tuple(modes),
        linear=linear,
        ratios=tuple(ratios),
    )
