"""Sheets of invented views, drawn from formulas: the same light in every run.

No telescope is computed here, but for the sheet of an eyepiece; the pictures test tone, layout and
lettering, not optics.
"""

from __future__ import annotations

import numpy as np
from PIL import Image

from simview.eye.retina import Retina
from simview.eyepiece.lensfile import lens
from simview.kit import Kit, Telescope
from simview.picture.drawing.sheet import Limit, SheetText
from simview.picture.eyepieces.eyepiece_sheet import eyepiece
from simview.picture.prints import tone
from simview.picture.views.compare import CompareItem, compare_geometry, draw_compare
from simview.picture.views.ladder import LadderStep, draw_ladder, ladder_geometry
from simview.picture.views.single import SingleView, draw_single, single_geometry

SIZE = (960, 540)
# Size at which pictures are accepted and compared.
THUMB = (320, 180)
WHITE = np.array([0.9505, 1.0, 1.0890, 2.0])
CREAM = np.array([1.0, 1.0, 0.75, 1.7])
BLUE = np.array([0.93, 1.0, 1.5, 2.4])
WORDS = SheetText(
    title="A striped planet, 47″ across",
    subtitle="Seen through an invented 50 mm refractor",
    caption=(
        "Air: seeing 2.0″, object 45° high, sky 20.0 mag/arcsec². Eye: 40 years, pupil 6.4 mm. "
        "Everything in these views is drawn from formulas to try the sheet: λ ≠ µ, ½, Δ."
    ),
    footer="drawn, not computed",
)


def angles(pixels, pixels_per_degree):
    """Apparent angles from the middle pixel in arcmin, x to the right and y down."""
    along = (np.arange(pixels) - pixels // 2) * 60.0 / pixels_per_degree
    return along[None, :], along[:, None]


def planet(power, pixels_per_degree, pixels, aperture=50.0):
    """A planet with soft limb and belts; blurred edge of 2″ and a faint halo."""
    x, y = (a * 60.0 / power for a in angles(pixels, pixels_per_degree))
    radius = np.hypot(x, y * 1.07)
    soft = max(1.2 * 50.0 / aperture, 70.0 / power)
    disc = 0.5 * (1.0 - np.tanh((radius - 23.4) / (2.0 * soft)))
    belts = 1.0 - 0.3 * np.exp(-(((np.abs(y) - 5.0) / 2.0) ** 2))
    halo = 2e-3 / (1.0 + (radius / 30.0) ** 3)
    pupil = min(aperture / power, 6.4)
    area = np.pi / 4.0 * pupil**2
    light = 600.0 * area * (disc * belts + halo)
    planes = CREAM[:, None, None] * light + WHITE[:, None, None] * 8e-4 * area
    return retina(planes, np.zeros_like(planes), pixels_per_degree)


def retina(surface, points, pixels_per_degree):
    return Retina(
        extended=surface.astype(np.float32),
        points=points.astype(np.float32),
        pixels_per_degree=pixels_per_degree,
        eye_pupil_mm=6.4,
    )


def star_list(count=160):
    """Positions in arcmin on the sky and light relative to the brightest, a fixed scatter."""
    k = np.arange(1, count + 1)
    reach, turn = 90.0 * np.sqrt(k / count), k * 2.399963  # the golden angle
    return reach * np.cos(turn), reach * np.sin(turn), 10.0 ** (-3.2 * ((k * 0.618034) % 1.0))


def stars(power, exit_pupil_mm, pixels_per_degree, pixels, adaptation=None):
    """Stars of one blur over a sky; (retina, troland in the middle of each)."""
    x, y = angles(pixels, pixels_per_degree)
    sigma = max(1.5, 1.1 * 60.0 / pixels_per_degree)
    area = np.pi / 4.0 * exit_pupil_mm**2
    sx, sy, light = star_list()
    peaks = 400.0 * light * (exit_pupil_mm * power / 100.0) ** 2
    factors = np.ones_like(peaks)
    if adaptation is not None:
        factors = tone.star_factors(peaks, adaptation)
    points = np.zeros((4, pixels, pixels))
    for i, (px, py) in enumerate(zip(sx * power, sy * power, strict=True)):
        if abs(px) < x.max() + 20 and abs(py) < x.max() + 20:
            blur = np.exp(-((x - px) ** 2 + (y - py) ** 2) / (2.0 * sigma**2))
            hue = BLUE if i % 3 else CREAM
            points += hue[:, None, None] * (peaks[i] * factors[i] * blur)
    sky = np.broadcast_to(WHITE[:, None, None] * 1e-3 * area, points.shape)
    return retina(sky, points, pixels_per_degree), peaks


def limits(power):
    return (
        Limit(name="aperture", arcsec=2.8),
        Limit(name="air", arcsec=2.0),
        Limit(name="eye", arcsec=90.0 / power),
    )


def own(adapted, *panels):
    """The adaptation for a view and its close-ups."""
    return adapted.for_view(max(tone.levels(panel).white_td for panel in panels))


def ladder_sheet():
    powers, fields = (30, 60, 100, 225, 450), (50.0, 50.0, 60.0, 40.0, 40.0)
    geometry = ladder_geometry(SIZE, fields)
    seen = [
        planet(p, geometry.pixels_per_degree, n)
        for p, n in zip(powers, geometry.seen_px, strict=True)
    ]
    close = [planet(p, geometry.patch_px * 60.0 / p, geometry.patch_px) for p in powers]
    adapted = tone.adaptation([*seen, *close])
    states = ("low", "low", "enough", "empty", "empty")
    steps = [
        LadderStep(
            power=float(p),
            label=f"{600 / p:.3g} mm eyepiece",
            seen=tone.develop(seen[i], own(adapted, seen[i], close[i])),
            patch=tone.develop(close[i], own(adapted, seen[i], close[i])),
            exit_pupil_mm=50.0 / p,
            brightness=(powers[0] / p) ** 2,
            limits=limits(p),
            state=states[i],
        )
        for i, p in enumerate(powers)
    ]
    return draw_ladder(geometry, WORDS, steps, patch_arcsec=60.0)


def compare_sheet():
    kits = (
        ("Binocular 10×50", 10.0, 5.0, 65.0),
        ("Small refractor", 30.0, 1.7, 30.0),
        ("Tabletop reflector", 30.0, 5.0, 50.0),
    )
    geometry = compare_geometry(SIZE, [k[3] for k in kits])
    plain = [
        stars(k[1], k[2], geometry.pixels_per_degree, n)
        for k, n in zip(kits, geometry.seen_px, strict=True)
    ]
    adapted = tone.adaptation(
        [p[0] for p in plain], star_peaks_td=np.concatenate([p[1] for p in plain])
    )
    items = []
    for (name, power, pupil, field), n in zip(kits, geometry.seen_px, strict=True):
        view, _ = stars(power, pupil, geometry.pixels_per_degree, n, adapted)
        items.append(
            CompareItem(
                power=power,
                name=name,
                label="its own eyepiece",
                seen=tone.develop(view, adapted),
                rows=(("true field", f"{field / power:.1f}°"), ("exit pupil", f"{pupil} mm")),
            )
        )
    return draw_compare(geometry, WORDS, items)


def close_sheet():
    kits = (
        ("Small refractor", 90.0, 50.0, 30.0, True),
        ("Tabletop reflector of a long name", 100.0, 114.0, 50.0, False),
        ("Large reflector", 100.0, 200.0, 50.0, False),
    )
    geometry = compare_geometry(SIZE, [k[3] for k in kits], close_ups=True)
    side = geometry.patch_px
    seen = [
        planet(power, geometry.pixels_per_degree, n, aperture)
        for (_, power, aperture, _, _), n in zip(kits, geometry.seen_px, strict=True)
    ]
    close = [
        planet(power, side * 60.0 / power, side, aperture) for _, power, aperture, _, _ in kits
    ]
    adapted = tone.adaptation([*seen, *close])
    items = [
        CompareItem(
            power=power,
            name=name,
            label="its own eyepiece",
            seen=tone.develop(seen[i], own(adapted, seen[i], close[i])),
            rows=(("true field", f"{60.0 * field / power:.0f}′"), ("finest detail", "1.5″")),
            empty=empty,
            patch=tone.develop(close[i], own(adapted, seen[i], close[i])),
        )
        for i, (name, power, _, field, empty) in enumerate(kits)
    ]
    return draw_compare(geometry, WORDS, items, patch_arcsec=60.0)


def single_sheet():
    geometry = single_geometry(SIZE, 50.0)
    seen = planet(150.0, geometry.pixels_per_degree, geometry.seen_px)
    loupe = planet(150.0, geometry.loupe_pixels_per_degree, geometry.loupe_px)
    adapted = tone.adaptation([seen, loupe])
    view = SingleView(
        power=150.0,
        label="4 mm eyepiece",
        seen=tone.develop(seen, adapted),
        loupe=tone.develop(loupe, adapted),
        rows=(("exit pupil", "0.33 mm"), ("true field", "20′"), ("faintest star", "mag 9.3")),
        limits=limits(150.0),
        empty=True,
    )
    return draw_single(geometry, WORDS, view)


def glass_sheet() -> Image.Image:
    """Draw the one sheet that is computed and not invented: an eyepiece's glass, by exact rays."""
    kit = Kit(telescope=Telescope(aperture_mm=100.0, focal_length_mm=800.0), name="Invented 100")
    return eyepiece(kit, lens("kellner", 20.0), size=SIZE).image


SHEETS = {
    "ladder": ladder_sheet,
    "compare": compare_sheet,
    "compare-close": close_sheet,
    "view": single_sheet,
    "eyepiece": glass_sheet,
}


def thumb(image: Image.Image) -> Image.Image:
    """Shrink a sheet for comparison: small shifts of lettering vanish, layout and light stay."""
    return image.resize(THUMB, Image.Resampling.BOX)
