"""The best tenth of a film's frames against the still of the best moments: measured, and kept.

python tests/truth/film_moments.py            prints the table that docs/models/flow.md holds

A star at 550 nm in clear perfect telescopes. Film: the film's own frames, each the mean of 16
instants over the eye's 0.05 s, a second apart, so that they are independent; a frame's quality is
the height of its image wherever that stands, against the telescope's without air. Still: the same
height by the transfer that every still view of `air = "best"` is multiplied by.
"""

from __future__ import annotations

import numpy as np

import simview
from simview.air import stopping
from simview.eye.optics import diffraction_transfer
from simview.picture.films.motion import Motion, Shaken, mean
from simview.telescope.spread import spread_stack
from simview.units import ARCSEC_PER_RADIAN

FRAMES = 200
NM = 550.0


def of_film(aperture_mm: float, seeing_arcsec: float, frames: int = FRAMES) -> np.ndarray:
    """Return (frames,) the height of the star's image in each frame, best first."""
    sky = simview.Sky(seeing_arcsec=seeing_arcsec, altitude_deg=90.0)
    scope = simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=8.0 * aperture_mm)
    # One frame a second: fifteen would show the same air again and again.
    motion = Motion(
        sky=sky,
        mount=simview.Mount(kind="fixed"),
        frames=frames,
        frames_per_second=1.0,
        moments=16,
    )
    shaken = Shaken.over(motion, aperture_mm)
    pixel = 0.2 * NM * 1e-6 / aperture_mm * ARCSEC_PER_RADIAN

    def image(screen: np.ndarray | None) -> np.ndarray:
        return spread_stack(
            scope,
            wavelengths_nm=np.array([NM]),
            pixel_arcsec=pixel,
            pixels=96,
            screen_nm=screen,
        )[0]

    perfect = float(image(None).max())
    heights = [
        float(mean(image(screen) for screen in shaken.screens_nm(number, pixel)).max()) / perfect
        for number in range(frames)
    ]
    return np.sort(heights)[::-1]


def of_still(aperture_mm: float, seeing_arcsec: float) -> float:
    """Return the height of a star's image by the transfer of the best moments."""
    sky = simview.Sky(seeing_arcsec=seeing_arcsec, altitude_deg=90.0)
    cutoff = aperture_mm / (NM * 1e-6) / ARCSEC_PER_RADIAN
    f = np.linspace(0.0, cutoff, 400)
    scope = diffraction_transfer(f * 3600.0, aperture_mm, NM)
    air = stopping.transfer(
        sky, wavelength_nm=NM, frequency=f, aperture_mm=aperture_mm, obstruction=0.0
    )
    return float((scope * air * f).sum() / (scope * f).sum())


def main() -> None:
    print("aperture  seeing  film's best tenth  +-     still of the best  film's median")
    for aperture_mm, seeing in ((100.0, 2.0), (150.0, 1.0), (150.0, 2.0), (200.0, 2.0)):
        heights = of_film(aperture_mm, seeing)
        best = heights[: FRAMES // 10]
        # The best tenth's own scatter, and that of where its edge falls: by halves of the film.
        error = float(best.std() / np.sqrt(len(best)))
        print(
            f"{aperture_mm:8.0f} {seeing:7.1f} {best.mean():18.3f} {error:7.3f}"
            f" {of_still(aperture_mm, seeing):14.3f} {np.median(heights):18.3f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
