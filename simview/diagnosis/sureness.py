"""How sure a fit is: errors that hold although the model is not the whole truth.

Formal errors take every pixel for an independent witness. They are not: what the air leaves in a
picture covers patches. So the scores of the fit are gathered patch by patch and, in a burst, frame
by frame, and their scatter gives the errors (Huber 1967; White 1980, Econometrica 48, 817: the
"sandwich"), which is what a bootstrap over patches and frames would find, without its thousand
fits. Beside them stand what was thought before (the priors), and what a picture cannot show: air
that stood still long enough to look like glass.

Checked by: tests/truth/diagnosis_telescopes.py (coverage)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.fit import Fitted, weights

Array = NDArray[Any]
Vector = NDArray[np.float64]

# Patches a picture is cut into: sectors, and rings of equal area.
_SECTORS: Final = 8
_RINGS: Final = 5

# Frames that are enough for their scatter to be worth anything.
ENOUGH_FRAMES: Final = 8

# Half width of a 90 % interval of a Gaussian.
NINETY: Final = 1.6449

# What air that stood still adds to each Noll polynomial, waves RMS, for a grain left in the picture
# as strong as the disc is bright. Measured on pictures of known telescopes, see
# docs/models/diagnosis.md; astigmatism leads, as in turbulence (Noll 1976, JOSA 66, 207, table IV).
STANDING: Final[dict[int | str, float]] = {
    **dict.fromkeys((5, 6), 0.10),
    **dict.fromkeys((7, 8, 9, 10), 0.085),
    **dict.fromkeys((11,), 0.06),
    **dict.fromkeys((12, 13, 14, 15), 0.03),
}

# By how much the errors so found are too small. Measured in the same way.
TOO_SMALL: Final = 1.3


def covariance(fitted: Fitted, frames: list[Array | None]) -> Array:
    """Return the covariance of the modes, (modes, modes), waves RMS squared.

    Parameters
    ----------
    frames
        For each picture its frames on the working grid, (n, channels, m, m), or None.
    """
    return joined(parts(fitted, frames))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Parts:
    """What the covariance of the modes is made of.

    Parameters
    ----------
    modes
        Their names.
    scatter, prior
        (modes, modes) from the scatter of scores over patches and frames, and from the priors.
    grain2
        Squared grain of all pictures whose frames do not tell of the air, over the squared number
        of pictures.
    """

    modes: tuple[int | str, ...]
    scatter: Array
    prior: Array
    grain2: float


def joined(told: Parts) -> Array:
    """Return the covariance that the parts come to."""
    found = TOO_SMALL**2 * told.scatter + told.prior
    for row, mode in enumerate(told.modes):
        found[row, row] += told.grain2 * STANDING.get(mode, 0.0) ** 2
    return np.asarray(0.5 * (found + found.T))


def parts(fitted: Fitted, frames: list[Array | None]) -> Parts:
    """Return what the covariance is made of; see `covariance`."""
    model, unknowns = fitted.model, fitted.unknowns
    where = np.flatnonzero(unknowns.free)
    views = model.views(fitted.values, unknowns.free, fitted.samples)
    meat = np.zeros((len(where), len(where)))
    standing = 0.0
    for p, (plate, view) in enumerate(zip(model.plates, views, strict=True)):
        weigh = weights(plate)
        by_patch = np.zeros((_SECTORS * _RINGS + 1, len(where)))
        patch = _patches(plate.data[len(plate.data) // 2])
        burst = frames[p]
        count = 0 if burst is None else len(burst)
        by_frame = np.zeros((count, len(where)))
        for c, (tones, slopes) in enumerate(view):
            assert slopes is not None
            flat = slopes.reshape(len(where), -1) * (weigh[c] ** 2).ravel()
            left = (tones - plate.data[c]).ravel()
            scores = flat * left
            for b in range(len(by_patch)):
                by_patch[b] += scores[:, patch.ravel() == b].sum(axis=1)
            if count >= ENOUGH_FRAMES and burst is not None:
                off = (tones[None] - burst[:, c]).reshape(count, -1)
                by_frame += off @ flat.T
        meat += by_patch.T @ by_patch
        # What the model does not know of the tones is alike all round: ring by ring as well.
        by_ring = by_patch[:-1].reshape(_RINGS, _SECTORS, -1).sum(axis=1)
        meat += by_ring.T @ by_ring
        if count >= ENOUGH_FRAMES:
            by_frame -= by_frame.mean(axis=0)
            meat += by_frame.T @ by_frame / (count * (count - 1.0))
        else:
            standing += grain(fitted, p) ** 2 / len(views) ** 2
    inverse = np.linalg.inv(fitted.normal)
    prior = np.diag(1.0 / unknowns.sigma[where] ** 2)
    names = [model.names[k] for k in where]
    rows = [names.index(f"m{k}") for k in range(len(model.modes))]
    block = np.ix_(rows, rows)
    return Parts(
        modes=model.modes,
        scatter=(inverse @ meat @ inverse)[block],
        prior=(inverse @ prior @ inverse)[block],
        grain2=standing,
    )


def grain(fitted: Fitted, picture: int) -> float:
    """Return what the fit leaves of a picture, against the disc's brightness, without the noise."""
    plate = fitted.model.plates[picture]
    view = fitted.model.views(fitted.values, None, fitted.samples)[picture]
    c = len(plate.data) // 2
    tones = view[c][0]
    lit = (tones > 0.35 * float(tones.max())) & plate.use[c]
    left = (tones - plate.data[c])[lit]
    bright = float(tones[lit].mean())
    return float(np.sqrt(max(float((left**2).mean()) - plate.noise[c] ** 2, 0.0)) / bright)


def _patches(plane: Array) -> NDArray[np.intp]:
    """Return which patch each pixel is in: sectors times rings of equal light; the rest is one."""
    light = np.maximum(plane, 0.0)
    side = np.arange(len(plane)) - (len(plane) - 1) / 2.0
    total = max(float(light.sum()), 1e-9)
    x = side[None, :] - float(light.sum(axis=0) @ side) / total
    y = side[:, None] - float(light.sum(axis=1) @ side) / total
    radius = np.hypot(x, y)
    spread = np.sqrt(float((light * radius**2).sum()) / total)
    share = (radius / (1.55 * spread)) ** 2
    ring = np.minimum((share * _RINGS).astype(int), _RINGS)
    sector = np.floor((np.arctan2(y, x) / (2.0 * np.pi) + 0.5) * _SECTORS).astype(int) % _SECTORS
    return np.where(ring == _RINGS, _SECTORS * _RINGS, ring * _SECTORS + sector)
