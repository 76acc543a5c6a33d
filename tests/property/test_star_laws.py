"""How many stars a view shows: never more under more light pollution, in figures and in print."""

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

import simview
from simview.eye.thresholds import seen_fraction
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted
from simview.power.starfields import star_curve
from simview.scene.scene import Scene, Stars, Target

LAW = settings(max_examples=60, deadline=None)


def field(count=300):
    """A made-up field: magnitudes from 4 to 14, spread by the golden angle over half a degree."""
    k = np.arange(1, count + 1)
    reach, turn = 900.0 * np.sqrt(k / count), k * 2.399963

    def paint(pixel_arcsec, pixels):
        stars = Stars(
            x_arcsec=reach * np.cos(turn),
            y_arcsec=reach * np.sin(turn),
            magnitude=4.0 + 10.0 * np.sqrt(k / count),
            temperature_k=np.full(count, 6000.0),
        )
        planes = np.zeros((3, pixels, pixels), np.float32)
        return Scene(planes=planes, pixel_arcsec=pixel_arcsec, stars=stars)

    return Target(
        name="field", title="Field", kind="stars", size_arcsec=1800.0, paint=paint, magnitude=5.0
    )


FIELD = field()


@st.composite
def kits(draw):
    aperture = draw(st.floats(40.0, 400.0))
    return simview.Kit(
        telescope=simview.Telescope(
            aperture_mm=aperture,
            focal_length_mm=aperture * draw(st.floats(4.0, 12.0)),
            obstruction=draw(st.floats(0.0, 0.35)),
            transmission=draw(st.floats(0.5, 0.95)),
        ),
        eyepieces=(simview.Eyepiece(focal_length_mm=12.0),),
    )


@LAW
@given(
    kits(),
    st.floats(0.4, 6.0),
    st.floats(16.0, 22.0),
    st.floats(0.05, 3.0),
    st.floats(20.0, 83.0),
)
def test_brighter_sky_never_shows_fainter_stars_in_a_view(kit, exit_pupil, dark, step, age):
    power = kit.telescope.aperture_mm / exit_pupil
    observer = simview.Observer(age_years=age)
    limits = []
    for sky in (dark, dark - step):
        air = simview.Sky(sky_mag_arcsec2=sky)
        found = star_curve(kit, FIELD, powers=[power], sky=air, observer=observer)
        limits.append(found.limits[0])
    # 0.005 mag: below the eye's own noise (Crumey: 1e-5 cd/m2) the threshold stays while the pupil
    # still closes a little, and the plateau between rods and cones is held at one luminance.
    assert limits[1] <= limits[0] + 0.005


@LAW
@given(st.floats(-5.0, 5.0), st.floats(0.0, 5.0))
def test_fading_never_shows_a_fainter_star_better(above, more):
    low, high = seen_fraction(10.0 ** (0.4 * above)), seen_fraction(10.0 ** (0.4 * (above + more)))
    assert 0.0 <= low <= high <= 1.0


def shown(sky, power=50.0):
    """How many stars stand out of the print of a view, and how much light they have in all."""
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=100.0, focal_length_mm=800.0),
        eyepieces=(simview.Eyepiece(focal_length_mm=16.0),),
    )
    view = simview.look(kit, FIELD, power=power, sky=simview.Sky(sky_mag_arcsec2=sky))
    wanted = Wanted(view=view, pixels_per_degree=14.0, pixels=512, star_px=3.0)
    image = develop_all([wanted]).panels[0].astype(float).mean(axis=2)
    ground = np.median(image)
    # A star stands out where a pixel is brighter than its neighbours and than the sky by 3 codes.
    middle = image[1:-1, 1:-1]
    around = [np.roll(np.roll(image, y, 0), x, 1)[1:-1, 1:-1] for y, x in ((0, 1), (1, 0))]
    peaks = (middle > ground + 3.0) & np.all([middle >= a for a in around], axis=0)
    return int(peaks.sum()), float(np.maximum(image - ground - 3.0, 0.0).sum())


def test_print_shows_fewer_and_weaker_stars_as_the_sky_brightens():
    skies = (22.0, 21.0, 20.0, 19.0, 18.0, 17.0)
    counts, light = zip(*(shown(sky) for sky in skies), strict=True)
    assert all(b <= a for a, b in itertools.pairwise(counts))
    assert all(b < a for a, b in itertools.pairwise(light))
    assert counts[0] > 2 * counts[-1] > 0
