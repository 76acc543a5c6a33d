"""How far the table of moments times a telescope is from moments drawn behind that telescope.

python tests/truth/fault_products.py    prints it for docs/models/air.md, in a minute or two
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from simview.air import ensemble, moments

APERTURE_M = 0.2
STRENGTHS = (1.5, 3.0, 5.0)
MOMENTS = 500
SEED = 20261128

# A secondary, and waves of spherical aberration and coma besides, peak to valley as in
# docs/models/faults.md.
MAKES = (
    ("secondary of 0.3", 0.3, 0.0, 0.0),
    ("the same, ¼ wave of spherical aberration", 0.3, 0.25, 0.0),
    ("the same, 0.3 waves of coma", 0.3, 0.0, 0.3),
    ("0.3 waves of coma alone", 0.0, 0.0, 0.3),
)


def field(obstruction: float, spherical: float, coma: float) -> NDArray[np.complex128]:
    """Return the light's field in the pupil."""
    n = ensemble.SAMPLES
    place = (np.arange(n) - n / 2.0 + 0.5) / (n / 2.0)
    radius = np.hypot(place[:, None], place)
    # r^4 - r^2 is a quarter deep, 3 r^3 - 2 r reaches from -1 to 1 across the pupil.
    waves = 4.0 * spherical * (radius**4 - radius**2)
    waves += 0.5 * coma * (3.0 * radius**2 - 2.0) * place
    return np.asarray(ensemble.round_pupil(obstruction) * np.exp(2j * np.pi * waves))


def rows() -> Iterator[str]:
    """Give the largest difference of contrast, and a star's height drawn and by the product."""
    travel = moments.travel_of(APERTURE_M)
    nu = np.arange(ensemble.SAMPLES + 1) / ensemble.SAMPLES
    for name, *make in MAKES:
        own = field(*make)
        found = ensemble.draw(
            STRENGTHS, travel, MOMENTS, SEED, seconds=moments.EYE_SECONDS, field=own
        )
        alone = ensemble._transfers(np.zeros((1, *own.shape)), own, [1.0])[0]
        still = alone.ravel() @ ensemble._rings().T
        cells = []
        for k, strength in enumerate(STRENGTHS):
            drawn, error = found.group(k, *moments.GROUPS["best"])
            product = still * moments.kept(
                "best",
                baseline_m=nu * APERTURE_M,
                aperture_m=APERTURE_M,
                r0_m=APERTURE_M / strength,
            )
            worst = int(np.argmax(np.abs(drawn - product)))
            height = [
                float((each * nu).sum() / (found.perfect * nu).sum()) for each in (drawn, product)
            ]
            cells.append(
                f"{abs(drawn - product)[worst]:.3f} ± {error[worst]:.3f}"
                f" ({height[0]:.2f}, {height[1]:.2f})"
            )
        yield f"| {name} | {' | '.join(cells)} |"


if __name__ == "__main__":
    for line in rows():
        print(line, flush=True)
