"""Photograph stars by hcipy and poppy, so that the tests need not install hcipy.

Run by hand, in an environment that also has hcipy (0.6 or newer, MIT licence):

    python tests/truth/references/make_stars.py

`stars/`: the telescopes of `CASES` in outside_stars.py, a photograph on either side of focus, and
one side of one of them a second time. `hcipy.json`: the pattern of an aberrated telescope by its
Fraunhofer propagator, and the index of calcium fluoride by its compilation (Li 1980). Nothing of
simview's is in them.
"""

import json
import sys
import warnings
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import hcipy
    from outside_stars import CASES, light, photographs, stored

HERE = Path(__file__).parent
ARCSEC_PER_RADIAN = 206264.80624709636
LINES_NM = (404.6561, 435.8343, 486.1327, 546.0740, 587.5618, 656.2725)


def stars() -> None:
    """Write the photographs."""
    for name, truth in CASES.items():
        stem = name.replace(", ", "-").replace(" ", "-")
        sides = light(truth)
        for number, side in enumerate(("inside", "outside")):
            photo = stored(photographs(truth, sides[number], number), 88)
            (HERE / "stars" / f"{stem}-{side}.jpg").write_bytes(photo)
        if name == "coma, calm":
            again = stored(photographs(truth, sides[1], 2), 88)
            (HERE / "stars" / f"{stem}-outside-again.jpg").write_bytes(again)


def pattern() -> dict[str, object]:
    """Return a star of a 100 mm telescope, obstruction 0.3, 550 nm, with three faults."""
    samples, pixels, pixel = 512, 128, 0.15
    grid = hcipy.make_pupil_grid(samples, 0.1)
    ring = hcipy.make_obstructed_circular_aperture(0.1, 0.3)
    aperture = hcipy.evaluate_supersampled(ring, grid, 8)
    r, t = np.hypot(grid.x, grid.y) / 0.05, np.arctan2(grid.y, grid.x)
    # Waves, peak to valley over the full circle (Born & Wolf, section 9.2).
    path = (
        4.0 * 0.3 * (r**4 - r**2)
        + 0.6 * (3.0 * r**3 - 2.0 * r) * np.cos(t - np.radians(40.0)) / 2.0
        + 0.25 * r**2 * np.cos(2.0 * t) / 2.0
    )
    step = pixel / ARCSEC_PER_RADIAN
    focal = hcipy.make_uniform_grid([pixels, pixels], pixels * step)
    focal = focal.shifted([-step / 2.0, -step / 2.0])
    propagator = hcipy.FraunhoferPropagator(grid, focal, focal_length=1.0)
    front = hcipy.Wavefront(aperture * np.exp(2j * np.pi * path), 550e-9)
    light_ = np.asarray(propagator(front).intensity.shaped)[::-1]
    # Rows go downwards; the turn moved the centre from row n / 2 to n / 2 - 1.
    return {
        "pixel_arcsec": pixel,
        "rows_from_1": [[float(f"{v:.6g}") for v in row] for row in light_[:-1] / light_.max()],
    }


def main() -> None:
    """Write all of it."""
    (HERE / "stars").mkdir(exist_ok=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        stars()
        index = hcipy.get_refractive_index("CAF2")
        told = {
            "by": f"hcipy {hcipy.__version__}",
            "pattern": pattern(),
            "fluoride": {str(nm): float(index(nm * 1e-9)) for nm in LINES_NM},
        }
    text = json.dumps(told, separators=(",", ":")) + "\n"
    (HERE / "hcipy.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
