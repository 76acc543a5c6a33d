"""Seven telescopes as a phone stores them: perspective, resizing, sharpening, JPEG, turned by EXIF.

    python tests/truth/diagnosis_phone.py FOLDER    make, diagnose, print the figures (2 minutes)

Stars are hcipy's (see outside_stars.py). What the phone does is done by Pillow: a frame is held
askew, made smaller, sharpened as phones do, stored as a real JPEG with its colours at half size and
turned by its EXIF. The figures of the last run are kept beside this file, in diagnosis_phone.json.
"""

from __future__ import annotations

import json
import math
import sys
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from outside_stars import Truth, light
from PIL import Image, ImageFilter
from scipy import ndimage

FRAME = (900, 1200)
SMALLER = 0.6
STEP = 0.5  # of outside_stars, wavelength / diameter

COMMON: dict[str, Any] = {"engine": "hcipy", "moments": 48, "obstruction": 0.3, "vanes": 4}
TELESCOPES: dict[str, tuple[str, Truth]] = {
    name: (fault, Truth(seed=9000 + n, **COMMON | own))
    for n, (name, fault, own) in enumerate(
        [
            ("out of line", "miscollimation", {"noll": {7: -0.07, 8: 0.06, 11: 0.015}}),
            ("bent", "astigmatism", {"noll": {5: 0.09, 6: -0.03, 8: 0.02}, "obstruction": 0.25}),
            ("warm mirror", "overcorrection", {"noll": {11: -0.1, 6: 0.02}, "vanes": 0}),
            ("undercorrected", "undercorrection", {"noll": {11: 0.09, 9: 0.02, 5: -0.02}}),
            ("pinched", "pinched", {"noll": {9: 0.05, 10: -0.08, 7: 0.02}}),
            ("turned edge", "turned-down-edge", {
                "noll": {8: 0.02, 6: 0.02}, "finer": ("edge", 0.07, 0.0, 0.08)}),
            ("good", "", {"noll": {6: 0.012, 8: -0.014, 11: 0.012}}),
        ]
    )
    for own in [{"aperture_mm": 114.0 + 12.0 * n, "defocus": (-5.0 - 0.2 * n, 5.6), **own}]
}  # fmt: skip


def phone(frame: Any, truth: Truth, rng: Any, off: Any) -> Image.Image:
    """Return one frame of unit light, (3, n, n), as a phone shows it."""
    disc = 190.0  # pixels in the frame
    pixel = 8.0 * max(abs(w) for w in truth.defocus) / disc
    tilt, along = math.radians(rng.uniform(2.0, 7.0)), rng.uniform(0.0, math.pi)
    axis = np.array([math.sin(along), math.cos(along)])
    matrix = (np.eye(2) + (1.0 / math.cos(tilt) - 1.0) * np.outer(axis, axis)) * pixel / STEP
    size = 340
    middle, centre = (frame.shape[1] - 1) / 2.0, (size - 1) / 2.0
    offset = middle - matrix @ np.array([centre, centre])
    star = np.stack(
        [ndimage.affine_transform(p.astype(float), matrix, offset, (size, size)) for p in frame]
    )
    scene = np.full((3, *FRAME), 0.004)
    top, left = (int(v) for v in np.array([290, 470]) + off)
    scene[:, top : top + size, left : left + size] += np.maximum(star, 0.0)
    y, x = np.mgrid[: FRAME[0], : FRAME[1]]
    scene *= 1.0 - 0.25 * (((x - 600) / 750.0) ** 2 + ((y - 450) / 750.0) ** 2)
    scene = rng.poisson(scene * 4000.0) / 4000.0 + rng.normal(0.0, 0.003, scene.shape)
    light_ = np.clip(scene, 0.0, 1.0)
    code = np.where(light_ <= 0.0031308, 12.92 * light_, 1.055 * light_ ** (1.0 / 2.4) - 0.055)
    code = code + 0.15 * code * (1.0 - code) * (2.0 * code - 1.0)
    picture = Image.fromarray(np.rint(255.0 * np.moveaxis(code, 0, -1)).astype(np.uint8))
    # Held askew: the picture narrows by some thousandths of its width to one side.
    picture = picture.transform(
        picture.size,
        Image.Transform.PERSPECTIVE,
        (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, *rng.normal(0.0, 4e-6, 2)),
        Image.Resampling.BICUBIC,
    )
    small = (round(FRAME[1] * SMALLER), round(FRAME[0] * SMALLER))
    picture = picture.resize(small, Image.Resampling.LANCZOS)
    return picture.filter(ImageFilter.UnsharpMask(radius=2, percent=40, threshold=2))


def store(folder: Path, name: str, truth: Truth) -> list[Path]:
    """Store the two pictures, or for some telescopes bursts of eight."""
    rng = np.random.default_rng(truth.seed)
    places = []
    for side, frames in zip(("inside", "outside"), light(truth), strict=True):
        count = 8 if truth.seed % 3 == 1 else 1
        place = folder / f"{name.replace(' ', '-')}-{side}{'' if count > 1 else '.jpg'}"
        groups = [part.mean(axis=0) for part in np.array_split(frames, count)]
        factor = 0.75 / float(frames.mean(axis=0).max())
        off = rng.uniform(-60.0, 60.0, 2)
        for n, group in enumerate(groups):
            picture = phone(group * factor, truth, rng, off + rng.normal(0.0, 2.0, 2))
            exif = Image.Exif()
            exif[0x0112] = 6  # stored lying on its side: Exif 2.3, orientation
            target = place
            if count > 1:
                place.mkdir(parents=True, exist_ok=True)
                target = place / f"{n:02}.jpg"
            lying = picture.transpose(Image.Transpose.ROTATE_90)
            lying.save(target, "JPEG", quality=83, subsampling=2, exif=exif)
        places.append(place)
    return places


def row(places: list[Path], fault: str, truth: Truth) -> dict[str, Any]:
    """Return the figures of one diagnosis."""
    from simview.diagnosis.diagnose import diagnose
    from simview.kit import Kit, Telescope

    scope = Telescope(
        aperture_mm=truth.aperture_mm,
        focal_length_mm=6.0 * truth.aperture_mm,
        obstruction=truth.obstruction,
        vanes=truth.vanes,
        vane_mm=1.0,
    )
    found = diagnose(places, Kit(telescope=scope))
    off = {j: found.noll[j].value - truth.noll.get(j, 0.0) for j in range(5, 12)}
    held = [found.noll[j].low <= truth.noll.get(j, 0.0) <= found.noll[j].high for j in range(5, 12)]
    main = found.faults[0]
    return {
        "true": fault or "nothing above 0.02 waves RMS",
        "main_fault": main.name,
        "main_waves": round(main.waves.value, 4),
        "likeliest": list(found.explanations[0].faults),
        "right": main.name == fault if fault else found.rms_waves.value < 0.05,
        "left_5_to_11": round(math.sqrt(sum(v * v for v in off.values())), 4),
        "held_of_7": sum(held),
        "missed": {str(j): round(off[j], 4) for j, h in zip(off, held, strict=True) if not h},
        "do_first": found.first,
        "light_left": [round(picture.left, 3) for picture in found.pictures],
    }


def main(words: list[str]) -> None:
    """Make, diagnose, print."""
    warnings.simplefilter("ignore")
    folder = Path(words[0])
    folder.mkdir(parents=True, exist_ok=True)
    rows = {}
    for name, (fault, truth) in TELESCOPES.items():
        places = sorted(folder.glob(f"{name.replace(' ', '-')}-*side*"))
        rows[name] = row(places or store(folder, name, truth), fault, truth)
    print(json.dumps(rows, indent=2))


if __name__ == "__main__":
    main(sys.argv[1:])
