"""Which faults there are: a small set of explanations, alone and together, weighed by evidence.

Low faults (spherical aberration, coma, astigmatism, trefoil) are small enough for a closed form:
the fit and its errors are a Gaussian, and each combination says how wide it should have been. Finer
faults (a turned edge, a zone) change a picture too much for that: each has a fit of its own, and
the gain in misfit is weighed against the freedom that it took.

Source: MacKay 1992, Neural Computation 4, 415 (evidence); Schwarz 1978, Annals of Statistics 6, 461
(the price of freedom).
Checked by: tests/unit/diagnosis/test_comparison.py, tests/truth/diagnosis_telescopes.py
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from simview.diagnosis.pattern import Mode

Array = NDArray[Any]

# Finer faults that are looked for, as modes of the fit; zones by their radius.
FINER: Final = ("edge", "zone:0.5", "zone:0.65", "zone:0.8")

# Low faults and their polynomials.
LOW: Final[Mapping[str, tuple[Mode, ...]]] = {
    "spherical": (11,),
    "coma": (7, 8),
    "astigmatism": (5, 6),
    "trefoil": (9, 10),
}

# Waves RMS of each polynomial, standard deviation, of a low fault that is there, and of what is
# always there. Choices, after telescopes for beginners.
_THERE: Final = 0.08
_ALWAYS: Final = 0.006

# How likely a finer fault is before the pictures are seen. A choice.
_BEFORE: Final = 0.05

# Explanations that are told.
_TOLD: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """A combination of faults and how likely it is, 0 to 1; no faults: a good telescope."""

    faults: tuple[str, ...]
    likely: float


def worth(before: float, after: float, tells: float, freedom: int) -> float:
    """Return the logarithm of how much likelier a finer fault is than none, freedom paid.

    Parameters
    ----------
    before, after
        Misfit without and with it.
    tells
        How many independent things the pictures tell.
    freedom
        How many numbers were free besides.
    """
    gain = 0.5 * tells * math.log(max(before, 1e-12) / max(after, 1e-12))
    return gain - 0.5 * freedom * math.log(max(tells, 2.0))


def explanations(
    modes: Sequence[Mode],
    values: Array,
    covariance: Array,
    finer: Mapping[tuple[str, ...], float] | None = None,
) -> tuple[Explanation, ...]:
    """Return the likeliest combinations of faults, best first.

    Parameters
    ----------
    modes, values, covariance
        Of the fit, waves RMS.
    finer
        Finer faults that were tried, alone or together, to their `worth`.
    """
    rows = [k for k, mode in enumerate(modes) if isinstance(mode, int) and mode <= 11]
    polynomials = [modes[k] for k in rows]
    values, covariance = values[rows], covariance[np.ix_(rows, rows)]
    beyond = {(): 0.0} | {
        names: log + len(names) * math.log(_BEFORE) for names, log in (finer or {}).items()
    }
    logs: dict[tuple[str, ...], float] = {}
    for low in _subsets(tuple(LOW)):
        there = {mode for name in low for mode in LOW[name]}
        width = [_THERE if mode in there else _ALWAYS for mode in polynomials]
        log = _evidence(values, covariance + np.diag(np.square(width)))
        logs |= {(*low, *names): log + more for names, more in beyond.items()}
    top = max(logs.values())
    weights = {names: math.exp(log - top) for names, log in logs.items()}
    total = sum(weights.values())
    best = sorted(weights, key=lambda names: -weights[names])[:_TOLD]
    return tuple(Explanation(faults=names, likely=weights[names] / total) for names in best)


def _subsets(names: tuple[str, ...]) -> list[tuple[str, ...]]:
    counts = range(len(names) + 1)
    return [chosen for count in counts for chosen in itertools.combinations(names, count)]


def _evidence(values: Array, scatter: Array) -> float:
    _, size = np.linalg.slogdet(scatter)
    return -0.5 * float(size + values @ np.linalg.solve(scatter, values))
