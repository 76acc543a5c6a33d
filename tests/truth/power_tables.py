"""The tables of docs/models/power.md, finest-detail.md and thresholds.md: measured, and kept.

python tests/truth/power_tables.py            prints the rows of every table, in half a minute
python tests/truth/power_tables.py choices    prints those of one

The rows stand in the docs as they are printed here; tests/truth/test_power_tables.py holds a part
of them to the program of the day. None of it is set by the rules of the trade beside it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from unittest.mock import patch

import numpy as np

import simview
from simview.air import moments, stopping
from simview.eye.stations import stations
from simview.eye.thresholds import Aid, limiting_magnitude
from simview.eye.transfer import transfer_curve
from simview.power import faint
from simview.power import rules as rules_of_trade
from simview.power.detail import DetailCurve
from simview.power.faint import visibility_curve
from simview.power.features import features_of, seen_from, seen_in
from simview.power.finest import detail_curve, period_at
from simview.power.marks import marks
from simview.power.pairs import pair_curve
from simview.power.parts import steps
from simview.power.starfields import star_curve
from simview.scene.scene import Target
from simview.scene.targets import target
from simview.units import inches, luminance_cd_m2

APERTURES = (50.0, 80.0, 114.0, 150.0, 200.0, 300.0, 400.0)
SEEINGS = (0.7, 1.0, 1.5, 2.0, 3.0, 4.0)
# Obstruction, and spherical aberration in waves.
MAKES = ((0.0, 0.0), (0.25, 0.0), (0.4, 0.0), (0.25, 0.25), (0.25, 0.5))
POWERS = (25.0, 50.0, 75.0, 100.0, 150.0, 225.0, 300.0)
USUAL = simview.Sky()
CLEAR = simview.Sky(air="none")


def kit(
    aperture_mm: float, obstruction: float = 0.25, spherical: float = 0.0, ratio: float = 8.0
) -> simview.Kit:
    return simview.Kit(
        telescope=simview.Telescope(
            aperture_mm=aperture_mm,
            focal_length_mm=ratio * aperture_mm,
            obstruction=obstruction,
            wavefront=simview.Wavefront(spherical=spherical),
        ),
        eyepieces=(simview.Eyepiece(focal_length_mm=10.0),),
    )


def row(name: str, cells: Sequence[str]) -> str:
    return f"| {name} | {' | '.join(cells)} |"


def on_jupiter(one: simview.Kit, sky: simview.Sky) -> DetailCurve:
    return detail_curve(one, target("jupiter"), sky=sky)


def aperture_alone(apertures: Sequence[float] = APERTURES) -> Iterator[str]:
    """Give where power is empty on any night, beside two rules of the trade."""
    for aperture in apertures:
        found = [on_jupiter(kit(aperture, *make), CLEAR).empty_above or 0.0 for make in MAKES]
        an_inch = inches(aperture)
        cells = [f"{power:.0f} ({power / an_inch:.0f})" for power in found]
        low, high = 50.0 * an_inch, 60.0 * an_inch
        yield row(f"{aperture:.0f}", [*cells, f"{2.0 * aperture:.0f}", f"{low:.0f} to {high:.0f}"])


def tonight(air: simview.kit.Air, apertures: Sequence[float] = APERTURES) -> Iterator[str]:
    """Give enough from / the air carries, by seeing."""
    for aperture in apertures:
        skies = [replace(USUAL, seeing_arcsec=seeing, air=air) for seeing in SEEINGS]
        found = [on_jupiter(kit(aperture), sky) for sky in skies]
        cells = [f"{each.enough_from:.0f} / {each.carries:.0f}" for each in found]
        yield row(f"{aperture:.0f}", cells)


def rules(apertures: Sequence[float] = APERTURES) -> Iterator[str]:
    """Give what the air carries, an inch and as exit pupils."""
    for aperture in apertures:
        good = on_jupiter(kit(aperture), replace(USUAL, seeing_arcsec=1.0))
        usual = on_jupiter(kit(aperture), USUAL)
        calm, carried, enough = (
            power or 1.0 for power in (good.carries, usual.carries, usual.enough_from)
        )
        an_inch = inches(aperture)
        cells = [
            f"{calm / an_inch:.0f}",
            f"{carried / an_inch:.0f}",
            f"{aperture / calm:.2f} to {aperture / carried:.2f}",
            f"{aperture / enough:.2f}",
        ]
        yield row(f"{aperture:.0f}", cells)


@contextmanager
def moment_of(seconds: float) -> Iterator[None]:
    """Let the eye's moment last this long: nothing that was kept of another one is used."""

    def forget() -> None:
        for kept in (stopping._least, stopping._envelopes, moments._curve, transfer_curve):
            kept.cache_clear()

    forget()
    with patch.object(moments, "EYE_SECONDS", seconds):
        yield
    forget()


def _two(
    one: simview.Kit,
    sky: simview.Sky = USUAL,
    thing: Target | None = None,
    age: float = 40.0,
    powers: Sequence[float] | None = None,
) -> tuple[float, float]:
    """Return what the air carries, tonight and off: of these all marks are fixed parts."""
    observer, thing = simview.Observer(age_years=age), thing or target("jupiter")
    tonight, ever = (
        detail_curve(one, thing, sky=air, observer=observer, powers=powers).carries or 0.0
        for air in (sky, replace(sky, air="none"))
    )
    return tonight, ever


def choices() -> Iterator[str]:
    """Give the factor by which each stated choice moves the marks."""
    jupiter, scope = target("jupiter"), kit(150.0)
    usual = _two(scope)
    yield f"usual: {usual[0] / 1.6:.0f}, {usual[0]:.0f} and {1.15 * usual[1]:.0f} times"

    def told(
        what: str, changed: Sequence[tuple[float, float]], base: tuple[float, float] = usual
    ) -> str:
        moved = (" / ".join(f"{each[k] / base[k]:.2f}" for each in changed) for k in (0, 1))
        return row(what, list(moved))

    changed = [_two(scope, thing=replace(jupiter, contrast=c)) for c in (0.2, 0.3, 0.5)]
    yield told("contrast 0.2 / 0.3 / 0.5 for 0.25", changed)
    light = jupiter.luminance_cd_m2 or 0.0
    changed = [_two(scope, thing=replace(jupiter, luminance_cd_m2=s * light)) for s in (0.7, 1.4)]
    yield told("object's light 0.7 / 1.4 times", changed)
    changed = [_two(scope, age=age) for age in (20.0, 70.0)]
    yield told("age 20 / 70 for 40 years", changed)
    changed = [
        _two(scope, powers=[150.0 / 7.0 * (7.0 / pupil) ** (n / 59.0) for n in range(60)])
        for pupil in (0.5, 0.35)
    ]
    yield told("powers tried up to an exit pupil of 0.5 / 0.35 for 0.25 mm", changed)
    for aperture, seeing in ((60.0, 2.0), (150.0, 2.0), (200.0, 2.0), (200.0, 4.0)):
        one, sky = kit(aperture), replace(USUAL, seeing_arcsec=seeing)
        base, changed = _two(one, sky), []
        for seconds in (0.03, 0.1):
            with moment_of(seconds):
                changed.append(_two(one, sky))
        yield told(
            f"a moment of 0.03 / 0.1 for 0.05 s, {aperture:.0f} mm in {seeing:g}″", changed, base
        )


def left_to_gain() -> Iterator[str]:
    """Give by how much the period at enough_from and air_carries is above its best, in percent."""
    jupiter = target("jupiter")
    for aperture in (60.0, 150.0, 300.0):
        one = kit(aperture)
        found = on_jupiter(one, USUAL)
        powers = [found.enough_from or 1.0, found.carries or 1.0]
        places = stations(one, jupiter, powers=powers, sky=USUAL, observer=simview.Observer())
        best = found.best_period_arcsec or 1.0
        periods = [period_at(place.path, place.eye, jupiter) or 0.0 for place in places]
        yield row(
            f"{aperture:.0f}", [f"{100.0 * (period / best - 1.0):.0f} %" for period in periods]
        )


def finest() -> Iterator[str]:
    """Give the table of finest-detail.md, over contrast."""
    achromat = simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0, objective="achromat")
    poor = replace(achromat, wavefront=simview.Wavefront(spherical=0.25, astigmatism=0.5))
    large = kit(200.0, 0.25, 0.0, 6.0)
    scopes = (
        ("perfect 60 mm, no air", kit(60.0, 0.0), CLEAR),
        ("perfect 100 mm, no air", kit(100.0, 0.0), CLEAR),
        ("perfect 200 mm, no air", kit(200.0, 0.0), CLEAR),
        (
            "60 mm achromat f/11.7, ½ wave astigmatism, ¼ spherical, 3.5″",
            replace(kit(60.0), telescope=poor),
            replace(USUAL, seeing_arcsec=3.5),
        ),
        ("the same without faults, 2″", replace(kit(60.0), telescope=achromat), USUAL),
        (
            "150 mm f/5, obstruction 0.3, ¼ wave, 2.5″",
            kit(150.0, 0.3, 0.25, 5.0),
            replace(USUAL, seeing_arcsec=2.5),
        ),
        ("200 mm f/6, obstruction 0.25, 2″", large, USUAL),
        ("the same, 1″", large, replace(USUAL, seeing_arcsec=1.0)),
        ("the same, 2″, average of all moments", large, replace(USUAL, air="long")),
        ("400 mm f/5, obstruction 0.25, 2″", kit(400.0, 0.25, 0.0, 5.0), USUAL),
    )
    for name, one, sky in scopes:
        things = [replace(target("jupiter"), contrast=c) for c in (0.15, 0.3, 0.5, 0.9)]
        found = [detail_curve(one, thing, sky=sky) for thing in things]
        cells = [
            f"{each.enough_from:.0f} / {each.carries:.0f} ({each.best_period_arcsec:.2f}″)"
            for each in found
        ]
        yield row(name, cells)


def in_steps() -> Iterator[str]:
    """Give the finest detail of views through a 6 mm eyepiece as each part comes in."""
    for name in ("60/700", "100/900", "150/1200", "200/1200"):
        one = simview.find_kit(name).kit
        assert one.telescope is not None
        power, cells = one.telescope.focal_length_mm / 6.0, []
        for thing in ("jupiter", "moon"):
            view = simview.look(one, thing, power=power)
            told = steps(view.path, view.eye, view.target)
            cells.append(" → ".join(f"{arcsec:.2f}″" for _, arcsec in told))
        yield row(f"{name}, {power:.0f} times", cells)


def kept() -> Iterator[str]:
    """Give the contrast that 200 mm leave of stripes so wide, without air and with it."""
    scope, still = kit(200.0).telescope, simview.Mount(kind="fixed")
    assert scope is not None
    for sky in (replace(CLEAR, altitude_deg=50.0), USUAL):
        left = transfer_curve(scope, sky, still, aperture_mm=200.0, obstruction=0.25)
        found = left(0.5 / np.array([0.3, 0.45, 0.6, 0.9, 1.8]))
        yield row(sky.air, [f"{100.0 * share:.1f} %" for share in found])


def faintest() -> Iterator[str]:
    """Give the town's table of thresholds.md: the faintest star of a 150 mm by sky and power."""
    for dark in (18.5, 20.5, 21.8):
        aids = [
            Aid(
                power=power,
                exit_pupil_mm=150.0 / power,
                eye_pupil_mm=7.0,
                transmission=0.8,
                age_years=40.0,
            )
            for power in POWERS
        ]
        limits = [limiting_magnitude(luminance_cd_m2(dark), aid, blur_arcsec=2.2) for aid in aids]
        yield row(f"{dark}", [f"{limit:.2f}" for limit in limits])


GLOWS = (
    ("M 13", "m13", 150.0),
    ("Orion Nebula", "orion-nebula", 100.0),
    ("M 51", "m51", 150.0),
    ("M 51", "m51", 60.0),
    ("Ring Nebula", "ring-nebula", 60.0),
    ("Saturn Nebula", "saturn-nebula", 114.0),
    ("Dumbbell", "dumbbell", 114.0),
)


def glows(things: Sequence[tuple[str, str, float]] = GLOWS) -> Iterator[str]:
    """Give enough_from of glows: as it is, for other choices, and by hard criteria of old."""
    for title, name, aperture in things:
        for dark in (21.3, 19.5):
            found = visibility_curve(
                kit(aperture), target(name), sky=replace(USUAL, sky_mag_arcsec2=dark)
            )
            if found.enough_from is None:
                continue
            had = faint.rising(
                found.powers,
                found.above_threshold,
                faint.usual(kit(aperture), found.powers),
            )
            cells = [f"{found.enough_from:.0f}"]
            cells += [
                f"{faint.enough_of(*had, nearly_mag=mag) / found.enough_from:.2f}"
                for mag in (0.08, 0.12)
            ]
            for pupil in (0.4, 0.6):
                with patch.object(rules_of_trade, "FAINT_PUPIL_MM", pupil):
                    other = visibility_curve(
                        kit(aperture), target(name), sky=replace(USUAL, sky_mag_arcsec2=dark)
                    )
                cells.append(f"{(other.enough_from or 0.0) / found.enough_from:.2f}")
            best = max(had[1])
            hard = [
                next(p for p, v in zip(*had, strict=True) if v >= (1.0 - part) * best)
                for part in (0.02, 0.05, 0.1, 0.2)
            ]
            cells.append(" / ".join(f"{power:.0f}" for power in hard))
            yield row(f"{title}, {aperture:.0f} mm, {dark}", cells)


FIELDS = (("Pleiades", "pleiades"), ("M 37", "m37"), ("NGC 457", "ngc457"))


def glow_sizes() -> Iterator[str]:
    """Give enough_from of glows by aperture, with its exit pupil, and how well each shows."""
    for name in ("m51", "ring-nebula", "m13"):
        for dark in (21.3, 19.5):
            cells = []
            for aperture in (60.0, 80.0, 120.0, 150.0, 200.0, 300.0, 400.0):
                found = visibility_curve(
                    kit(aperture), target(name), sky=replace(USUAL, sky_mag_arcsec2=dark)
                )
                power, most = found.enough_from, max(found.above_threshold)
                told = "" if power is None else f"{power:.0f} ({aperture / power:.1f}), "
                cells.append(f"{told}{most:.1f}")
            yield row(f"{name}, {dark}", cells)


def fields() -> Iterator[str]:
    """Give enough_from of star fields for 0.1 mag, and the factor for 0.08 and 0.12."""
    for title, name in FIELDS:
        for aperture in (60.0, 150.0):
            found = star_curve(kit(aperture), target(name), sky=USUAL)
            at = [
                next(
                    p
                    for p, m in zip(found.powers, found.limits, strict=True)
                    if m >= max(found.limits) - mag
                )
                for mag in (0.1, 0.08, 0.12)
            ]
            cells = [f"{at[0]:.0f}", *(f"{power / at[0]:.2f}" for power in at[1:])]
            yield row(f"{title}, {aperture:.0f} mm", cells)


def pairs() -> Iterator[str]:
    """Give the closest pair that the eye splits behind a telescope of points, arcmin at the eye."""
    space = replace(CLEAR, altitude_deg=90.0)
    for pupil in (3.0, 2.0, 1.5):
        cells = []
        for fainter in range(8):
            both = (2.0, 2.0 + fainter)
            found = pair_curve(
                kit(200.0, 0.0),
                target("double", double=(10.0, 0.0, *both)),
                separation_arcsec=10.0,
                magnitudes=both,
                powers=[200.0 / pupil],
                sky=space,
            )
            cells.append(f"{(found.closest_arcsec[0] or 0.0) * 200.0 / pupil / 60.0:.1f}")
        yield row(f"beam of {pupil:g} mm", cells)


def reads() -> Iterator[str]:
    """Give how wide at the eye equal pairs are when first seen as two, and when they read as two.

    Fifth magnitude; their separation in units of Dawes' limit, without air.
    """
    space = replace(CLEAR, altitude_deg=90.0)
    for aperture in (60.0, 100.0, 150.0, 200.0):
        cells = []
        for of_dawes in (1.2, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0):
            apart = of_dawes * 116.0 / aperture
            thing = target("double", double=(apart, 0.0, 5.0, 5.0))
            found = marks(kit(aperture, 0.0), thing, sky=space)
            if found.split_from is None:
                cells.append("no")
                continue
            told = (found.split_from, found.enough_from or 0.0)
            cells.append(", ".join(f"{power * apart / 60.0:.1f}" for power in told))
        yield row(f"{aperture:.0f} mm", cells)


def lines() -> Iterator[str]:
    """Give the lowest of five powers that shows a thin line or spot, and the division's dip."""
    apertures = (50.0, 60.0, 80.0, 100.0, 150.0, 200.0)
    for name, sky in (
        ("saturn", USUAL),
        ("saturn", replace(USUAL, seeing_arcsec=1.0)),
        ("saturn", replace(USUAL, air="long")),
        ("jupiter", USUAL),
        ("moon", USUAL),
    ):
        thing, cells = target(name), []
        (what,) = features_of(thing)
        for aperture in apertures:
            places = stations(
                kit(aperture, 0.2),
                thing,
                powers=[each * aperture for each in (0.25, 0.5, 1.0, 1.5, 2.0)],
                sky=sky,
                observer=simview.Observer(),
            )
            found = [seen_in(place.path, place.eye, thing, what) for place in places]
            dips = [each.dip for each in found if each is not None and each.dip is not None]
            first, barely = seen_from(places, thing, what)
            power = "no" if first is None else f"barely, {first:.0f}" if barely else f"{first:.0f}"
            cells.append(power + (f" ({max(dips):.2f})" if dips else ""))
        yield row(f"{what.name}, {sky.seeing_arcsec:g}″, {sky.air}", cells)


def binocular() -> Iterator[str]:
    """Give how far the North America Nebula stands above the threshold in 10x50, by the sky."""
    pair = simview.Kit(binocular=simview.Binocular(power=10.0, aperture_mm=50.0))
    cells = []
    for dark in (19.5, 20.5, 21.3, 21.8):
        sky = simview.Sky(sky_mag_arcsec2=dark, altitude_deg=60.0)
        found = visibility_curve(pair, target("north-america"), sky=sky)
        cells.append(f"{dark}: {max(found.above_threshold):.1f}")
    yield row("North America, 10x50", cells)


TABLES: dict[str, Callable[[], Iterator[str]]] = {
    "aperture": aperture_alone,
    "best": lambda: tonight("best"),
    "long": lambda: tonight("long"),
    "rules": rules,
    "choices": choices,
    "gain": left_to_gain,
    "finest": finest,
    "steps": in_steps,
    "kept": kept,
    "faintest": faintest,
    "glows": glows,
    "glow-sizes": glow_sizes,
    "fields": fields,
    "pairs": pairs,
    "reads": reads,
    "lines": lines,
    "binocular": binocular,
}


def main(asked: Sequence[str]) -> None:
    for name in asked or TABLES:
        for line in TABLES[name]():
            print(line, flush=True)
        print()


if __name__ == "__main__":
    main(sys.argv[1:])
