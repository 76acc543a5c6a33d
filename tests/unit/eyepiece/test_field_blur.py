"""The blur over the field against every pixel spread by its own spot, one by one."""

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.eyepiece.field_blur import apply_field_blur, plan_tiles
from simview.eyepiece.lensfigures import EyepieceFigures, eyepiece_figures
from simview.eyepiece.spotkernels import spot_kernels, spot_reach, spots_at
from simview.eyepiece.spots import pupil_points

EVEN = np.ones((1, 9))


@pytest.fixture(scope="module")
def huygens() -> EyepieceFigures:
    return eyepiece_figures("huygens", 20.0, 8.0, 700.0)


def one_by_one(
    plane: np.ndarray, scale: float, figures: EyepieceFigures, weights: np.ndarray
) -> np.ndarray:
    """Spread every pixel by the spot of its own place: exact, and slow."""
    eye = (figures.centre_accommodation_d, 1.0, 0.0)
    reach = spot_reach(figures, scale, eye)
    ny, nx = plane.shape
    total = np.zeros((ny + 2 * reach, nx + 2 * reach))
    y, x = np.nonzero(plane)
    dy, dx = y - ny // 2, x - nx // 2
    for begin in range(0, len(y), 2000):
        part = slice(begin, begin + 2000)
        spots = spot_kernels(
            figures,
            np.hypot(dx[part], dy[part]),
            np.arctan2(dy[part], dx[part]),
            scale,
            weights,
            eye,
            reach,
        )[:, 0]
        for k, spot in enumerate(spots):
            row, column = y[part][k], x[part][k]
            size = 2 * reach + 1
            total[row : row + size, column : column + size] += plane[row, column] * spot
    return total[reach : reach + ny, reach : reach + nx]


def stars(n: int, scale: float, field_deg: float, count: int, seed: int) -> np.ndarray:
    """Draw single pixels of light all over the field, well inside its edge."""
    rng = np.random.default_rng(seed)
    radius = 0.95 * field_deg / 2.0 * scale * np.sqrt(rng.random(count))
    turn = 2.0 * np.pi * rng.random(count)
    plane = np.zeros((n, n), np.float32)
    plane[
        np.round(n // 2 + radius * np.sin(turn)).astype(int),
        np.round(n // 2 + radius * np.cos(turn)).astype(int),
    ] = 1.0
    return plane


@pytest.mark.parametrize(
    ("design", "ratio", "most"), [("huygens", 8.0, 0.03), ("plossl", 5.0, 0.04)]
)
def test_stars_agree_with_each_spread_by_its_own_spot(design, ratio, most):
    figures = eyepiece_figures(design, 20.0, ratio, 700.0)
    n = 700
    scale = n / (figures.apparent_field_deg * 1.02)
    plane = stars(n, scale, figures.apparent_field_deg, 60, seed=5)
    exact = one_by_one(plane, scale, figures, EVEN)
    fast = apply_field_blur(plane[None], scale, figures, weights=EVEN)[0]
    # Light that lies in a wrong pixel, part of all. Without the method, with the middle's spot
    # everywhere, it is more than half.
    misplaced = np.abs(fast - exact).sum() / 2.0 / exact.sum()
    assert misplaced < most
    plain = np.abs(plane - exact).sum() / 2.0 / exact.sum()
    assert plain > 0.5


def test_extended_picture_agrees_with_every_pixel_spread_on_its_own(huygens, monkeypatch):
    from simview.eyepiece import field_blur

    n = 150
    scale = n / (huygens.apparent_field_deg * 1.02)
    rng = np.random.default_rng(3)
    blocks = rng.random((n // 5, n // 5)).repeat(5, axis=0).repeat(5, axis=1)
    y, x = np.indices((n, n)) - n // 2
    picture = np.where(np.hypot(x, y) < 0.40 * n, 0.2 + blocks, 0.0)
    exact = one_by_one(picture, scale, huygens, EVEN)
    # Tiles as small against the picture as 48 against 1024.
    monkeypatch.setattr(field_blur, "TILES", (8,))
    eye = (huygens.centre_accommodation_d, 1.0, 0.0)
    plan = plan_tiles(huygens, (n, n), scale, EVEN, eye)
    fast = field_blur.spread(picture[None].astype(np.float32), plan)[0]
    # A fiftieth of the brightest: the exact picture moves light (colour, coma) and so gathers and
    # thins it by as much; the method keeps even light even.
    assert np.abs(fast - exact).max() < 0.02 * exact.max()
    assert np.abs(picture - exact).max() > 0.2 * exact.max()


def test_smaller_tiles_come_nearer_to_the_exact_picture(huygens, monkeypatch):
    from simview.eyepiece import field_blur

    n = 500
    scale = n / (huygens.apparent_field_deg * 1.02)
    plane = stars(n, scale, huygens.apparent_field_deg, 40, seed=8)
    exact = one_by_one(plane, scale, huygens, EVEN)
    errors = []
    for side in (96, 48, 24):
        monkeypatch.setattr(field_blur, "TILES", (side,))
        eye = (huygens.centre_accommodation_d, 1.0, 0.0)
        plan = plan_tiles(huygens, (n, n), scale, EVEN, eye)
        fast = field_blur.spread(plane[None], plan)[0]
        errors.append(np.abs(fast - exact).sum() / 2.0 / exact.sum())
    assert errors[1] < 0.7 * errors[0]
    assert errors[2] < 0.7 * errors[1]


def test_light_is_kept_and_never_negative(huygens):
    n = 400
    scale = n / (huygens.apparent_field_deg * 1.1)
    planes = np.stack([stars(n, scale, huygens.apparent_field_deg, 50, seed=k) for k in range(2)])
    weights = np.random.default_rng(0).random((2, 9))
    blurred = apply_field_blur(planes, scale, huygens, weights=weights)
    # Each pixel takes the spot of its own place, a little off the star's: 1 %.
    np.testing.assert_allclose(blurred.sum(axis=(1, 2)), planes.sum(axis=(1, 2)), rtol=1e-2)
    assert blurred.min() > -1e-6


@pytest.mark.parametrize("design", ["huygens", "ramsden"])
def test_even_light_stays_even_in_every_colour(design):
    figures = eyepiece_figures(design, 20.0, 8.0, 700.0)
    n = 300
    flat = np.full((2, n, n), 3.0, np.float32)
    weights = np.ones((2, 9))
    weights[0, 3:] = 0.0  # blue alone has the largest shift
    for field in (0.8, 1.2):
        scale = n / (figures.apparent_field_deg * field)
        blurred = apply_field_blur(flat, scale, figures, weights=weights)
        # Any seam of the tiles would show on the Moon; 1e-5 is the rounding of float32.
        np.testing.assert_allclose(blurred, 3.0, rtol=1e-5)


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.4, -1.9])
def test_colour_fringes_turn_with_the_position_angle(turn):
    figures = eyepiece_figures("ramsden", 20.0, 12.0, 700.0)
    n, scale = 601, 20.0
    radius = 0.8 * figures.apparent_field_deg / 2.0 * scale
    row = round(n // 2 + radius * np.sin(turn))
    column = round(n // 2 + radius * np.cos(turn))
    planes = np.zeros((2, n, n), np.float32)
    planes[:, row, column] = 1.0
    weights = np.zeros((2, 9))
    weights[0, 1], weights[1, 7] = 1.0, 1.0  # 465 nm and 645 nm
    blue, red = apply_field_blur(planes, scale, figures, weights=weights)
    y, x = np.indices((n, n)) - n // 2
    middles = [np.array([(p * x).sum(), (p * y).sum()]) / p.sum() for p in (blue, red)]
    apart = (middles[0] - middles[1]) / scale
    place = np.array([column - n // 2, row - n // 2], float)
    outward = place / np.hypot(*place)
    along, across = apart @ outward, apart @ [-outward[1], outward[0]]
    spots = spots_at(figures, np.array([np.hypot(*place) / scale]))
    exact = np.degrees(spots.rays(*pupil_points(500), figures.centre_accommodation_d)[0])
    expected = (exact[1] - exact[7]).mean()
    assert expected * 60.0 > 6.0, "a Ramsden's colour at the edge, arcmin"
    assert along == pytest.approx(expected, rel=0.08)
    # The tile's own angle stands for its pixels': a few degrees at this size of tile.
    assert abs(across) < 0.15 * along


def test_smaller_pupil_of_the_eye_leaves_less_blur(huygens):
    n = 300
    scale = n / (huygens.apparent_field_deg * 1.05)
    plane = stars(n, scale, huygens.apparent_field_deg, 30, seed=2)[None]
    whole = apply_field_blur(plane, scale, huygens, weights=EVEN)
    half = apply_field_blur(plane, scale, huygens, weights=EVEN, used_pupil=0.5)
    assert (half**2).sum() > 1.3 * (whole**2).sum()


def test_shadow_of_the_secondary_hollows_the_spot():
    figures = eyepiece_figures("kellner", 20.0, 5.0, 700.0)
    eye = (figures.centre_accommodation_d, 1.0, 0.0)
    scale = 60.0
    reach = spot_reach(figures, scale, eye)
    edge = np.array([figures.angle_deg[-1] * scale])
    full, hollow = (
        spot_kernels(figures, edge, np.zeros(1), scale, EVEN, (eye[0], 1.0, shadow), reach)[0, 0]
        for shadow in (0.0, 0.4)
    )
    y, x = np.indices(full.shape)
    cy, cx = (full * y).sum(), (full * x).sum()
    near = np.hypot(y - cy, x - cx) < 4
    assert hollow[near].sum() < 0.3 * full[near].sum()


def test_wrong_arrays_are_refused(huygens):
    planes = np.zeros((2, 64, 64), np.float32)
    for weights in (np.ones((1, 9)), np.ones((2, 8)), np.zeros((2, 9))):
        with pytest.raises(SimviewError, match="weights"):
            apply_field_blur(planes, 10.0, huygens, weights=weights)
    with pytest.raises(SimviewError, match="pixels_per_degree"):
        apply_field_blur(planes, -1.0, huygens, weights=np.ones((2, 9)))
    with pytest.raises(SimviewError, match="fewer pixels per degree"):
        apply_field_blur(planes, 1900.0, huygens, weights=np.ones((2, 9)))


def test_light_beside_what_is_even_is_spread_as_if_all_were_uneven(huygens, monkeypatch):
    rng = np.random.default_rng(8)
    planes = np.full((1, 240, 240), 0.3, np.float32)
    planes[0, 40:90, 150:180] += rng.random((50, 30), dtype=np.float32)
    told = apply_field_blur(planes, 8.0, huygens, weights=EVEN)
    monkeypatch.setattr("simview.eyepiece.field_blur._EVEN", -1.0)
    whole = apply_field_blur(planes, 8.0, huygens, weights=EVEN)
    # Rounding of single precision's transforms.
    np.testing.assert_allclose(told, whole, atol=1e-6)
    assert np.array_equal(told[0, 160:], planes[0, 160:])
