"""Prints the tables of docs/models/doubles.md: `tests/truth/doubles_tables.py [part ...]`."""

import sys

import numpy as np

import simview
from simview.power.multiple import pairs_of
from simview.power.pairs import pair_curve
from simview.scene.targets import target

CLASSICS = (
    "albireo",
    "cor-caroli",
    "mizar",
    "almach",
    "mesarthim",
    "castor",
    "algieba",
    "porrima",
    "polaris",
    "rigel",
    "rasalgethi",
    "epsilon2-lyrae",
    "epsilon1-lyrae",
    "izar",
    "meissa",
    "zeta-aquarii",
    "alnitak",
    "eta-orionis",
    "sirius",
)


def kit(aperture_mm):
    return simview.Kit(
        telescope=simview.Telescope(aperture_mm=aperture_mm, focal_length_mm=8.0 * aperture_mm),
        eyepieces=(simview.Eyepiece(focal_length_mm=10.0),),
    )


def curve(aperture_mm, thing, powers, *, sky=None, observer=None, closest=False):
    (pair,) = pairs_of(thing)
    return pair_curve(
        kit(aperture_mm),
        thing,
        separation_arcsec=pair.separation_arcsec,
        magnitudes=pair.magnitudes,
        powers=powers,
        sky=sky,
        observer=observer,
        closest=closest,
    )


def row(*cells):
    print("| " + " | ".join(str(cell) for cell in cells) + " |", flush=True)


def classics():
    for name in CLASSICS:
        thing = target(name)
        (pair,) = pairs_of(thing)
        cells = []
        for aperture in (60.0, 100.0, 150.0, 200.0):
            powers = list(np.geomspace(aperture / 7.0, 2.5 * aperture, 24))
            found = curve(aperture, thing, powers)
            if found.splits_from is None:
                still = curve(aperture, thing, powers, sky=simview.Sky(air="none"))
                cells.append("no" if still.splits_from is None else "air")
            else:
                to = "" if found.splits_to is None else f" to {found.splits_to:.0f}"
                cells.append(f"{found.splits_from:.0f}{to}")
        row(thing.title, f"{pair.separation_arcsec:.1f}″", pair.magnitudes, *cells)


def eye():
    for magnitude in (2.0, 6.0):
        thing = target("double", double=(4.0, 0.0, magnitude, magnitude))
        powers = [60.0 / pupil for pupil in (6.7, 5.0, 4.3, 3.3, 2.4, 1.5, 1.0)]
        found = curve(60.0, thing, powers, sky=simview.Sky(air="none"), closest=True)
        limits = zip(found.closest_arcsec, powers, strict=True)
        row(magnitude, *(f"{c * p / 60.0:.1f}′" for c, p in limits))


def nearest(aperture, magnitudes, sky, powers, observer=None):
    thing = target("double", double=(4.0, 0.0, *magnitudes))
    steps = [p * aperture for p in powers]
    found = curve(aperture, thing, steps, sky=sky, observer=observer, closest=True)
    return min((limit for limit in found.closest_arcsec if limit), default=float("nan"))


def skies(seeings, **more):
    for seeing in seeings:
        air = "best" if seeing else "none"
        yield seeing, simview.Sky(seeing_arcsec=seeing or 1.0, air=air, **more)


def dawes():
    for seeing, sky in skies((0.0, 0.7, 1.0, 1.5, 2.0)):
        apertures = (50.0, 100.0, 150.0, 200.0, 250.0, 300.0)
        found = (nearest(a, (6.0, 6.0), sky, (2.0, 3.0)) * a / 116.0 for a in apertures)
        row("50 deg high", seeing, *(f"{value:.2f}" for value in found))
    for seeing, sky in skies((0.0, 0.7, 1.0), altitude_deg=90.0, extinction_mag=0.0):
        apertures = (50.0, 75.0, 100.0, 150.0, 200.0, 300.0)
        found = [nearest(a, (6.0, 6.0), sky, (2.0, 3.0)) * a / 116.0 for a in apertures]
        row("zenith", seeing, *(f"{value:.2f}" for value in found))
        alike = [6.0 - 5.0 * np.log10(150.0 / a) for a in apertures]
        pairs = zip(apertures, alike, strict=True)
        found = [nearest(a, (m, m), sky, (2.0, 3.0)) * a / 116.0 for a, m in pairs]
        row("equal light", seeing, *(f"{value:.2f}" for value in found))
    # What makes up the difference from the zenith's at 50 deg: each alone.
    for aperture in (50.0, 100.0, 150.0):
        for says, more in (
            ("zenith", {"altitude_deg": 90.0, "extinction_mag": 0.0}),
            ("its light lost", {"altitude_deg": 90.0, "extinction_mag": 0.28 * 1.305}),
            ("50 deg, no light lost", {"altitude_deg": 50.0, "extinction_mag": 0.0}),
            ("50 deg", {"altitude_deg": 50.0}),
        ):
            sky = simview.Sky(seeing_arcsec=0.7, air="best", **more)
            found = nearest(aperture, (6.0, 6.0), sky, (2.0, 3.0)) * aperture / 116.0
            row(aperture, says, f"{found:.2f}")


# Dawes' own sort: practised, with the sight that healthy young eyes have, a pupil's light not lost.
PRACTISED = (
    ("usual", simview.Observer()),
    ("practised", simview.Observer(field_factor=1.4)),
    ("practised, keen", simview.Observer(field_factor=1.4, acuity=1.35)),
)


def practised():
    """The sixth magnitude over Dawes' limit, in good air, for observers of more and more skill."""
    for altitude, lost in ((90.0, 0.0), (70.0, 0.2)):
        for says, observer in PRACTISED:
            for seeing, sky in skies((0.7, 1.0), altitude_deg=altitude, extinction_mag=lost):
                apertures = (50.0, 75.0, 100.0, 150.0, 200.0, 300.0)
                found = (
                    nearest(a, (6.0, 6.0), sky, (1.5, 2.0, 3.0), observer) * a / 116.0
                    for a in apertures
                )
                row(altitude, says, seeing, *(f"{value:.2f}" for value in found))


LEWIS = (((5.7, 6.4), 4.8), ((8.5, 9.1), 8.5), ((6.2, 9.5), 16.5), ((4.7, 10.4), 36.0))


def lewis():
    for magnitudes, constant in LEWIS:
        cells = []
        for aperture in (60.0, 100.0, 150.0, 200.0, 300.0):
            found = [
                nearest(aperture, magnitudes, sky, (0.8, 1.2, 1.7, 2.5))
                for _, sky in skies((0.0, 1.0, 2.0))
            ]
            mean = constant * 25.4 / aperture
            cells.append(", ".join(f"{v:.1f}" for v in found) + f" / {mean:.1f}")
        row(magnitudes, constant, *cells)


PARTS = {
    "classics": classics,
    "eye": eye,
    "dawes": dawes,
    "practised": practised,
    "lewis": lewis,
}

if __name__ == "__main__":
    for part in sys.argv[1:] or PARTS:
        print(part)
        PARTS[part]()
