"""What must be true of light through any lens of spheres, whatever its shape."""

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from simview.eyepiece.lens import Lens, Surface
from simview.eyepiece.paraxial import cardinal, follow
from simview.eyepiece.trace import Rays, Traced, system, trace

GLASSES = ("BK7", "F2", "SF2", "SK16", "BAK4")
LINES = [450.0, 587.5618, 650.0]


@st.composite
def lenses(draw: st.DrawFn) -> Lens:
    """One to three groups of one or two glasses each, curves no sharper than 1 / 12 mm."""
    surfaces = []
    curve = st.floats(-1 / 12.0, 1 / 12.0).filter(lambda c: abs(c) > 1e-4)
    for _ in range(draw(st.integers(1, 3))):
        glasses = draw(st.lists(st.sampled_from(GLASSES), min_size=1, max_size=2))
        for glass in [*glasses, "air"]:
            surfaces.append(
                Surface(
                    radius_mm=1.0 / draw(curve),
                    thickness_mm=draw(st.floats(1.0, 10.0)),
                    glass=glass,
                    clear_mm=20.0,
                )
            )
    return Lens(name="any", title="any", surfaces=tuple(surfaces))


@st.composite
def rays(draw: st.DrawFn) -> Rays:
    """Six rays from a plane 30 mm before the lens, up to 12 degrees steep."""
    seed = draw(st.integers(0, 2**32 - 1))
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(-3.0, 3.0, (2, 1, 6))
    dx, dy = rng.uniform(-0.2, 0.2, (2, 1, 6))
    dz = np.sqrt(1.0 - dx * dx - dy * dy)
    return Rays(x=x, y=y, z=np.full_like(x, -30.0), dx=dx, dy=dy, dz=dz)


def through(lens: Lens, begin: Rays) -> Traced:
    traced = trace(system(lens, LINES), begin, record=True)
    assume(traced.passed.all())
    return traced


@given(lenses(), rays())
@settings(max_examples=60, deadline=None)
def test_directions_stay_of_length_one_and_places_on_their_spheres(lens, begin):
    traced = through(lens, begin)
    out = traced.rays
    np.testing.assert_allclose(out.dx**2 + out.dy**2 + out.dz**2, 1.0, rtol=1e-12)
    vertex = 0.0
    for surface, (x, y, z) in zip(lens.surfaces, traced.points, strict=True):
        radius = surface.radius_mm
        distance = np.sqrt(x**2 + y**2 + (z - vertex - radius) ** 2)
        np.testing.assert_allclose(distance, abs(radius), rtol=1e-9)
        vertex += surface.thickness_mm


@given(lenses(), rays())
@settings(max_examples=60, deadline=None)
def test_skewness_is_kept(lens, begin):
    # n (x dy - y dx) is the same all along a ray through a system with an axis (Born & Wolf,
    # section 4.2, from the eikonal's symmetry).
    out = through(lens, begin).rays
    before = begin.x * begin.dy - begin.y * begin.dx
    behind = out.x * out.dy - out.y * out.dx
    np.testing.assert_allclose(behind, np.broadcast_to(before, behind.shape), atol=1e-10)


@given(lenses(), rays())
@settings(max_examples=60, deadline=None)
def test_light_finds_its_way_back(lens, begin):
    out = through(lens, begin).rays
    length = sum(surface.thickness_mm for surface in lens.surfaces[:-1])
    x, y = out.at_plane(length + 30.0)
    z = np.full_like(x, -30.0)
    back = trace(
        system(lens.turned(), LINES), Rays(x=x, y=y, z=z, dx=-out.dx, dy=-out.dy, dz=out.dz)
    )
    assume(back.passed.all())
    home_x, home_y = back.rays.at_plane(length + 30.0)
    np.testing.assert_allclose(home_x, np.broadcast_to(begin.x, home_x.shape), atol=1e-7)
    np.testing.assert_allclose(home_y, np.broadcast_to(begin.y, home_y.shape), atol=1e-7)
    np.testing.assert_allclose(-back.rays.dx, np.broadcast_to(begin.dx, home_x.shape), atol=1e-9)


@given(lenses(), st.floats(1e-4, 1e-3))
@settings(max_examples=60, deadline=None)
def test_low_rays_follow_the_paraxial_ones(lens, height):
    optics = system(lens, LINES)
    y = np.array([[height, 2.0 * height]])
    level = Rays(
        x=0.0 * y, y=y, z=np.full_like(y, -5.0), dx=0.0 * y, dy=0.0 * y, dz=np.ones_like(y)
    )
    exact = trace(optics, level).rays
    _, slopes = follow(optics, np.array([height]), np.zeros(1))
    # What is left is of the third order in the height over the sharpest radius.
    np.testing.assert_allclose(exact.dy[:, 0], slopes[-1], atol=2e-2 * height * (height / 12.0))
    np.testing.assert_allclose(exact.dy[:, 1], 2.0 * exact.dy[:, 0], rtol=1e-5, atol=1e-12)


@given(lenses(), st.floats(0.1, 10.0))
@settings(max_examples=60, deadline=None)
def test_focal_points_grow_with_the_lens(lens, factor):
    one, other = cardinal(system(lens, LINES)), cardinal(system(lens.scaled(factor), LINES))
    assume(np.all(np.abs(1.0 / one.focal_length_mm) > 1e-5))
    np.testing.assert_allclose(other.focal_length_mm, factor * one.focal_length_mm, rtol=1e-6)
    turned = cardinal(system(lens.turned(), LINES))
    np.testing.assert_allclose(turned.focal_length_mm, one.focal_length_mm, rtol=1e-6)
    np.testing.assert_allclose(
        -turned.front_focus_mm,
        one.back_focal_mm,
        rtol=1e-6,
        atol=1e-6 * np.abs(one.focal_length_mm).max(),
    )
