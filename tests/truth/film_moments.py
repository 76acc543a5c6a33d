"""The best tenth of a film's frames against the still of the best moments: measured, and kept.

python tests/truth/film_moments.py            prints the table that docs/models/flow.md holds

A star at 550 nm in clear perfect telescopes. Film: the film's own frames, each the mean of 16
instants over the eye's 0.05 s, eight frames from each of many skies: a film's screen of air is
only some apertures wide, and one sky alone, however long it is looked at, shows the same patches
again. A frame's quality is the height of the star's middle once the frame's mean tilt is gone,
against the telescope's without air. Still: the same height by the transfer that every still view
of `air = "best"` is multiplied by.
"""

from __future__ import annotations

import numpy as np

import simview
from simview.air import stopping
from simview.eye.optics import diffraction_transfer
from simview.picture.films.motion import SCREEN, Motion, Shaken
from simview.units import ARCSEC_PER_RADIAN

SKIES = 24
FRAMES = 8
NM = 550.0

_place = (np.arange(SCREEN) - SCREEN / 2.0 + 0.5) / (SCREEN / 2.0)
_open = (np.hypot(_place[:, None], _place) <= 1.0).astype(float)


def height(screens_nm: np.ndarray) -> float:
    """Return the height of a star's middle in the mean of (n, SCREEN, SCREEN) instants."""
    weight = _open / _open.sum()
    square = (weight * _place**2).sum()
    phase = screens_nm.astype(float) * (2.0 * np.pi / NM)
    right = (phase * weight * _place).sum(axis=(1, 2)).mean() / square
    down = (phase * weight * _place[:, None]).sum(axis=(1, 2)).mean() / square
    field = _open * np.exp(1j * (phase - right * _place - down * _place[:, None]))
    return float((np.abs(field.sum(axis=(1, 2))) ** 2).mean() / _open.sum() ** 2)


def of_film(
    aperture_mm: float, seeing_arcsec: float, skies: int = SKIES, frames: int = FRAMES
) -> np.ndarray:
    """Return (skies, frames) heights in a film's frames, from as many independent skies."""
    answer = np.empty((skies, frames))
    for seed in range(skies):
        motion = Motion(
            sky=simview.Sky(seeing_arcsec=seeing_arcsec, altitude_deg=90.0, seed=1000 + seed),
            mount=simview.Mount(kind="fixed"),
            frames=frames,
            frames_per_second=1.0,
            moments=16,
        )
        shaken = Shaken.over(motion, aperture_mm)
        for number in range(frames):
            # A mount that is fixed leaves the air alone in the path.
            answer[seed, number] = height(np.stack(shaken.screens_nm(number, 1e9)))
    return answer


def best_tenth(heights: np.ndarray) -> float:
    """Return the mean of the best tenth."""
    ordered = np.sort(heights.ravel())[::-1]
    return float(ordered[: max(1, len(ordered) // 10)].mean())


def error(heights: np.ndarray, tries: int = 400) -> float:
    """Return the standard error of the best tenth: skies drawn again with replacement."""
    rng = np.random.default_rng(0)
    again = [best_tenth(heights[rng.integers(0, len(heights), len(heights))]) for _ in range(tries)]
    return float(np.std(again))


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
        print(
            f"{aperture_mm:8.0f} {seeing:7.1f} {best_tenth(heights):18.3f} {error(heights):7.3f}"
            f" {of_still(aperture_mm, seeing):14.3f} {np.median(heights):18.3f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
