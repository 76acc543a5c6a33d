"""Any kit that can be made can be written to TOML and read back equal."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from tomli_w import dumps

from simview import kit as k
from simview.errors import SimviewError
from simview.kitfile import kit_text, parse_kit


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high)


# Any text that TOML can hold: all of Unicode but lone surrogates.
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
WAVES = between(-30, 30)
ANGLES = between(-360, 360)

WAVEFRONTS = st.builds(
    k.Wavefront,
    defocus=WAVES,
    spherical=WAVES,
    coma=WAVES,
    coma_angle_deg=ANGLES,
    astigmatism=WAVES,
    astigmatism_angle_deg=ANGLES,
    trefoil=WAVES,
    trefoil_angle_deg=ANGLES,
    noll=st.dictionaries(st.integers(2, 200), between(-10, 10), max_size=4),
)


@st.composite
def telescopes(draw: Callable[[st.SearchStrategy[Any]], Any]) -> k.Telescope:
    aperture_mm = draw(between(10, 400))
    obstruction = draw(between(0, 0.8))
    least = max(4.0, obstruction * aperture_mm * 1.001)
    stop = st.none() | between(min(least, aperture_mm), aperture_mm)
    return k.Telescope(
        aperture_mm=aperture_mm,
        focal_length_mm=min(aperture_mm * draw(between(2, 40)), 20000.0),
        obstruction=obstruction,
        vanes=draw(st.integers(0, 8)),
        vane_mm=draw(between(0, 50)),
        objective=draw(st.sampled_from(k.OBJECTIVES)),
        transmission=draw(between(0.05, 1)),
        stop_mm=draw(stop),
        wavefront=draw(WAVEFRONTS),
    )


BARRELS = st.sampled_from(k.BARRELS)
EYEPIECES = st.builds(
    k.Eyepiece,
    focal_length_mm=between(1, 100),
    apparent_field_deg=st.none() | between(10, 120),
    field_stop_mm=st.none() | between(0.2, 60),
    design=st.sampled_from(k.DESIGNS),
    barrel=BARRELS,
    transmission=st.none() | between(0.3, 1),
    name=TEXTS,
)
AMPLIFIERS = st.builds(
    k.Amplifier,
    factor=between(1, 10),
    kind=st.sampled_from(("barlow", "erecting-prism")),
    barrel=BARRELS,
    transmission=between(0.1, 1),
    name=TEXTS,
)
MOUNTS = st.builds(
    k.Mount,
    kind=st.sampled_from(k.MOUNTS),
    driven=st.booleans(),
    slow_motion=st.booleans(),
    tap_arcsec=between(0, 36000),
    frequency_hz=between(0.1, 100),
    damping=between(0.001, 1),
    shake_arcsec=between(0, 3600),
)
SKIES = st.builds(
    k.Sky,
    seeing_arcsec=between(0, 20),
    sky_mag_arcsec2=between(3, 22.5),
    altitude_deg=between(3, 90),
    air=st.sampled_from(k.AIR_KINDS),
    outer_scale_m=st.just(math.inf) | between(1, 1000),
    extinction_mag=between(0, 2),
    elevation_m=between(-500, 9000),
    temperature_c=between(-60, 60),
    seed=st.integers(0, 2**32 - 1),
)
OBSERVERS = st.builds(
    k.Observer,
    age_years=between(20, 83),
    pupil_mm=st.none() | between(1, 9),
    eyes=st.sampled_from((None, 1, 2)),
    field_factor=between(1, 10),
    acuity=between(0.05, 2.5),
    cylinder_dioptre=between(-8, 8),
    cylinder_axis_deg=ANGLES,
    short_sight_dioptre=between(-8, 8),
)
COMMON = {
    "mount": MOUNTS,
    "name": TEXTS,
    "note": TEXTS,
    "layout": st.sampled_from((None, "newtonian", "refractor", "cassegrain", "other")),
    "focuser": BARRELS,
    "claimed_power": st.none() | between(1, 1e5),
    "price": st.none() | between(0, 1e7),
    "currency": TEXTS,
}
KITS = (
    st.builds(
        k.Kit,
        telescope=telescopes(),
        eyepieces=st.lists(EYEPIECES, max_size=3).map(tuple),
        amplifiers=st.lists(AMPLIFIERS, max_size=2).map(tuple),
        diagonal=st.none()
        | st.builds(
            k.Diagonal,
            kind=st.sampled_from(("star", "erecting")),
            barrel=BARRELS,
            transmission=between(0.1, 1),
        ),
        **COMMON,
    )
    | st.builds(
        k.Kit,
        binocular=st.builds(
            k.Binocular,
            power=between(2, 60),
            aperture_mm=between(10, 250),
            true_field_deg=st.none() | between(0.2, 20),
            apparent_field_deg=st.none() | between(10, 120),
        ),
        **COMMON,
    )
    | st.builds(k.Kit, **COMMON)
)


@given(KITS, st.none() | SKIES, st.none() | OBSERVERS)
def test_kit_file_gives_back_what_was_written(
    kit: k.Kit, sky: k.Sky | None, observer: k.Observer | None
) -> None:
    whole = replace(kit, sky=sky, observer=observer)
    assert parse_kit(kit_text(whole), where="kit.toml").kit == whole
    assert parse_kit(kit_text(kit, sky=sky, observer=observer), where="kit.toml").kit == whole


def complaint(text: str) -> str:
    """What is said about a kit file; of a good one, that it is read."""
    try:
        parse_kit(text, where="kit.toml")
    except SimviewError as error:
        return str(error)
    return "kit.toml: read"


@given(st.text(max_size=200))
def test_any_text_gives_a_kit_or_one_line(text: str) -> None:
    assert len(complaint(text).splitlines()) == 1


SCALARS = st.none() | st.booleans() | st.integers() | st.floats() | TEXTS
KEYS = st.sampled_from(
    ["name", "telescope", "aperture_mm", "eyepieces", "wavefront", "noll", "sky", "mount", "x"]
)
TREES = st.recursive(
    SCALARS.filter(lambda value: value is not None),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS | TEXTS, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(KEYS | TEXTS, TREES, max_size=5))
def test_any_table_gives_a_kit_or_one_line(table: dict[str, Any]) -> None:
    message = complaint(dumps(table))
    assert len(message.splitlines()) == 1
    assert message.startswith("kit.toml: ")


@given(TEXTS)
def test_any_key_of_a_zernike_table_gives_one_line(key: str) -> None:
    scope = {"aperture_mm": 60, "focal_length_mm": 600, "wavefront": {"noll": {key: 0.1}}}
    assert len(complaint(dumps({"telescope": scope})).splitlines()) == 1
