"""Make the table of moments anew: ``python simview/air/data/make_moments.py [MOMENTS]``.

Takes about half an hour of one core, spread over the cores that there are, a way a piece. The seed
is fixed, so that the same table comes out, on however many cores.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Final

import numpy as np

from simview.air.ensemble import SAMPLES, Moments, draw
from simview.air.moments import EYE_SECONDS, GROUPS, KOLMOGOROV, TABLE

# D / r0: even steps of its logarithm.
STRENGTHS: Final = np.geomspace(0.3, 12.0, 15)

# How far the mean wind goes in a moment, apertures: those of 1.9 m down to 15 mm, and at once.
TRAVELS: Final = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)

MOMENTS: Final = 4000
SEED: Final = 20261127

# What is kept is believed down to this many standard errors.
_BELIEVED: Final = 4.0


def depths(
    found: Moments, strength: int, group: str, weaker: np.ndarray | None
) -> tuple[np.ndarray, np.ndarray]:
    """Return how deep one group's air cuts at each frequency, and the error of what is kept.

    Depth is -ln(kept) over (b / r0)^(5/3) for the baseline b. Where the telescope itself passes
    next to nothing, or the air so little that chance hides it, it goes on in the shape that it has
    under the next weaker air.
    """
    kept, error = found.group(strength, *GROUPS[group])
    with np.errstate(divide="ignore", invalid="ignore"):
        share, doubt = kept / found.perfect, error / found.perfect
        baseline = np.arange(SAMPLES + 1) / SAMPLES * STRENGTHS[strength]
        depth = -np.log(share) / baseline ** (5.0 / 3.0)
    depth[0], doubt[0] = KOLMOGOROV, 0.0
    bad = ~np.isfinite(depth) | (share < _BELIEVED * doubt)
    bad[-2:] = True
    first = int(np.argmax(bad))
    shape = np.ones_like(depth) if weaker is None else weaker
    depth[first:] = shape[first:] * (depth[first - 1] / shape[first - 1])
    doubt[first:] = doubt[first - 1]
    return depth, doubt


def way(count: int, row: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Draw the moments of one way; return depths and doubts (groups, s, f), and quality (s, 4)."""
    found = draw(STRENGTHS.tolist(), TRAVELS[row], count, SEED + row, seconds=EYE_SECONDS)
    shape = (len(GROUPS), len(STRENGTHS), SAMPLES + 1)
    depth, doubt = np.empty(shape), np.empty(shape)
    quality = np.empty((len(STRENGTHS), 4))
    for column in range(len(STRENGTHS)):
        for kind, group in enumerate(GROUPS):
            weaker = depth[kind, column - 1] if column else None
            depth[kind, column], doubt[kind, column] = depths(found, column, group, weaker)
        seen = np.sort(found.quality[:, column])
        quality[column] = (
            seen.mean(),
            np.median(seen),
            np.quantile(seen, 0.9),
            seen[round(0.9 * len(seen)) :].mean(),
        )
    print(f"travel {TRAVELS[row]:g} done", file=sys.stderr, flush=True)
    return depth, doubt, quality


def main() -> None:
    """Draw all moments and write the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else MOMENTS
    # The longest ways take longest and begin first.
    rows = range(len(TRAVELS))[::-1]
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as processes:
        made = list(processes.map(partial(way, count), rows))[::-1]
    depth, doubt = (np.stack([each[kind] for each in made], axis=1) for kind in (0, 1))
    quality = np.stack([each[2] for each in made])
    np.savez_compressed(
        Path(TABLE),
        groups=np.array(list(GROUPS)),
        travels=np.array(TRAVELS),
        strengths=STRENGTHS,
        depth=depth.astype(np.float32),
        doubt=doubt.astype(np.float32),
        quality=quality.astype(np.float32),
        moments=np.array(count),
    )


if __name__ == "__main__":
    main()
