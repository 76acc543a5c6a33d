"""Faults as they are typed, added up and laid on the pupil."""

from __future__ import annotations

import numpy as np
import pytest

import simview
from simview.errors import SimviewError
from simview.telescope import quality
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, apply_faults, parse
from simview.telescope.pupil import mask
from simview.telescope.spread import spread_stack
from simview.telescope.stop import stop_for
from simview.telescope.terms import Plume, Roughness, TurnedEdge, Zone


def newtonian(**more):
    return simview.Telescope(aperture_mm=200.0, focal_length_mm=1000.0, obstruction=0.25, **more)


R = np.linspace(0.0, 1.0, 401)
ZERO = np.zeros_like(R)


@pytest.mark.parametrize(
    ("text", "name", "amount", "unit", "angle"),
    [
        ("coma=0.3", "coma", 0.3, "waves", None),
        ("astigmatism=0.2@30", "astigmatism", 0.2, "waves", 30.0),
        (" spherical = -0.25 ", "spherical", -0.25, "waves", None),
        ("miscollimation=5arcmin@90", "miscollimation", 5.0, "arcmin", 90.0),
        ("miscollimation=0.8mm", "miscollimation", 0.8, "mm", None),
        ("roughness=0.02rms,seed=7", "roughness", 0.02, "rms", None),
        ("secondary=40%", "secondary", 40.0, "%", None),
        ("noll11=0.05", "noll 11", 0.05, "waves", None),
        ("Turned_Down_Edge=.5,width=0.1", "turned-down-edge", 0.5, "waves", None),
    ],
)
def test_text_is_read(text, name, amount, unit, angle):
    fault = parse(text)
    assert (fault.name, fault.amount, fault.unit, fault.angle_deg) == (name, amount, unit, angle)


@pytest.mark.parametrize("text", ["coma=0.3@45", "zone=-0.2,radius=0.5,width=0.1", "noll 11=0.05"])
def test_fault_is_written_as_it_was_typed(text):
    assert str(parse(text)) == text
    assert parse(str(parse(text))) == parse(text)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("comma=0.3", "coma"),
        ("astigmatsm=0.2", "astigmatism"),
        ("coma", "NAME=AMOUNT"),
        ("coma=nan", "NAME=AMOUNT"),
        ("coma=1e9", "30"),
        ("coma=0.3mm", "waves"),
        ("spherical=0.3@20", "angle"),
        ("coma=0.3@9999", "360"),
        ("zone=0.3,depth=1", "radius"),
        ("zone=0.3,radius=7", "1"),
        ("zone=0.3,radius=x", "NUMBER"),
        ("noll 1=0.1", "noll 2"),
        ("noll 500=0.1", "noll 2"),
        ("roughness=0.1,seed=-1", "seed"),
        ("seeing=50", "20"),
        ("", "NAME=AMOUNT"),
    ],
)
def test_unreadable_faults_say_what_is_allowed(text, word):
    with pytest.raises(SimviewError, match=word):
        parse(text)


def test_nonfinite_amounts_are_refused():
    with pytest.raises(SimviewError, match="coma"):
        Fault(name="coma", amount=float("nan"))


def test_directed_faults_add_as_arrows():
    both = apply_faults(newtonian(), [parse("coma=0.3@0"), parse("coma=0.4@90")]).scope.wavefront
    assert both.coma == pytest.approx(0.5)
    assert both.coma_angle_deg == pytest.approx(53.13, abs=0.01)
    # astigmatism a quarter turn apart cancels
    none = apply_faults(
        newtonian(), [parse("astigmatism=0.3@10"), parse("astigmatism=0.3@100")]
    ).scope.wavefront
    assert none.astigmatism == pytest.approx(0.0, abs=1e-12)


def test_faults_add_to_the_telescopes_own():
    own = newtonian(wavefront=simview.Wavefront(spherical=0.1, coma=0.2, noll={11: 0.02}))
    sum_ = apply_faults(
        own, [parse("overcorrection=0.3"), parse("noll 11=0.03"), parse("coma=-0.2")]
    )
    assert sum_.scope.wavefront.spherical == pytest.approx(-0.2)
    assert sum_.scope.wavefront.coma == pytest.approx(0.0, abs=1e-12)
    assert dict(sum_.scope.wavefront.noll) == pytest.approx({11: 0.05})


def test_no_fault_leaves_the_telescope_alone():
    scope = newtonian(wavefront=simview.Wavefront(trefoil=0.2, trefoil_angle_deg=20.0))
    same = apply_faults(scope, [])
    one, other = (
        spread_stack(s, wavelengths_nm=[550.0], pixel_arcsec=0.1, pixels=64)
        for s in (scope, same.scope)
    )
    np.testing.assert_allclose(one, other, atol=1e-6 * one.max())


# What a Newtonian cannot have, tests/truth/test_telescope_layouts.py looks at.
COMMON = [k for k, kind in KINDS.items() if not kind.layouts]


@pytest.mark.parametrize("name", [k for k in COMMON if k not in ("noll", "vanes", "seeing")])
def test_every_fault_changes_the_star(name):
    amount = {
        "miscollimation": "10arcmin", "off-axis": "10arcmin", "wedge": "1arcmin",
        "off-centre-shadow": "10%",
        "secondary": "0.4", "clips": "8mm",
    }.get(name, "0.4")  # fmt: skip
    faulty = apply_faults(newtonian(), [parse(f"{name}={amount}")])
    how = {"wavelengths_nm": [480.0, 550.0], "pixel_arcsec": 0.12, "pixels": 96}
    plain = spread_stack(newtonian(), **how)
    seen = spread_stack(faulty.scope, extras=faulty.extras, **how)
    assert np.abs(seen - plain).max() > 3e-3 * plain.max()
    assert seen.sum(axis=(1, 2)).max() < 1.0


@pytest.mark.parametrize(
    ("term", "strength"),
    [
        (TurnedEdge(waves=-0.5, width=0.1), 0.5),
        (Zone(waves=0.3, radius=0.6, width=0.15), 0.3),
    ],
)
def test_round_terms_have_their_strength_peak_to_valley(term, strength):
    path = term.path(R, ZERO)
    assert np.ptp(path) == pytest.approx(strength, rel=1e-3)
    np.testing.assert_allclose(term.path(ZERO, R), path, atol=1e-12)


def test_turned_edge_leaves_the_middle_alone_and_has_no_kink():
    path = TurnedEdge(waves=-1.0, width=0.2).path(R, ZERO)
    assert (path[R <= 0.8] == 0.0).all()
    assert path[-1] == pytest.approx(-1.0, abs=1e-12)
    assert np.abs(np.diff(path, 2)).max() < 2.0 / 0.2**2 * (R[1] - R[0]) ** 2 * 1.01


def test_zone_stands_where_it_is_put_with_its_width_at_half_height():
    path = Zone(waves=0.4, radius=0.5, width=0.2).path(R, ZERO)
    assert R[int(np.argmax(path))] == pytest.approx(0.5, abs=0.003)
    wide = R[path >= 0.2]
    assert wide[-1] - wide[0] == pytest.approx(0.2, abs=0.006)


def test_roughness_is_drawn_by_its_seed_and_has_its_strength():
    x = (np.arange(300) + 0.5) / 150 - 1.0
    x, y = np.broadcast_arrays(x[None, :], -x[:, None])
    inside = x * x + y * y <= 1.0
    first = Roughness(waves=0.2, seed=3).path(x, y)[inside]
    assert np.ptp(first) == pytest.approx(0.2, rel=0.02)
    np.testing.assert_array_equal(first, Roughness(waves=0.2, seed=3).path(x, y)[inside])
    assert np.corrcoef(first, Roughness(waves=0.2, seed=4).path(x, y)[inside])[0, 1] < 0.2
    assert Roughness(waves=0.03, rms=True).path(x, y)[inside].std() == pytest.approx(0.03, rel=0.02)


@pytest.mark.parametrize("slope", [1.5, 3.0])
def test_roughness_follows_its_power_law(slope):
    """Averaged over 30 seeds, ring by ring of the spectrum on the period's own grid."""
    n, period = 256, 2.5
    x = np.arange(n) * period / n
    x, y = np.broadcast_arrays(x[None, :], x[:, None])
    power = np.zeros((n, n))
    for seed in range(30):
        height = Roughness(waves=1.0, slope=slope, seed=seed, rms=True).path(x, y)
        power += np.abs(np.fft.fft2(height)) ** 2
    f = 2.0 * np.hypot(*np.meshgrid(*[np.fft.fftfreq(n, period / n)] * 2))  # ripples across
    rings = np.array([6.0, 9.0, 13.0, 19.0, 28.0])
    mean = [power[(f > r - 0.8) & (f < r + 0.8)].mean() for r in rings]
    found = np.polyfit(np.log(rings), np.log(mean), 1)[0]
    assert found == pytest.approx(-slope, abs=0.12)


def test_plume_rises_upwards_from_the_middle():
    plume = Plume(waves=0.3)
    assert plume.path(ZERO, R)[-1] == pytest.approx(0.3)
    assert plume.path(ZERO, -R)[-1] == 0.0
    half = plume.path(np.array([0.25]), np.array([0.95]))
    assert half[0] == pytest.approx(plume.path(np.array([0.0]), np.array([0.95]))[0] / 2, rel=1e-6)


def test_clips_and_shadow_stand_on_the_pupil():
    faulty = apply_faults(
        newtonian(), [parse("clips=10mm,count=3,width=20"), parse("off-centre-shadow=10%@90")]
    )
    share = mask(stop_for(faulty.scope, extras=faulty.extras).shape, 200)
    assert share[5, 100] == 0.0  # the upper clip reaches 10 mm in
    assert share[12, 100] == 1.0
    assert share[195, 100] == 1.0  # no clip at the bottom
    assert share[100 - 20, 100] == 0.0  # the shadow's middle stands 20 mm up
    assert share[100 - 20 + 30, 100] == 1.0


def test_eye_that_stops_the_telescope_down_sees_no_clips():
    faulty = apply_faults(newtonian(), [parse("clips=10mm")])
    assert stop_for(faulty.scope, 170.0, extras=faulty.extras).shape.clip_depth == 0.0


def test_wedge_moves_blue_along_its_angle_and_red_against_it():
    faulty = apply_faults(newtonian(), [parse("wedge=2arcmin@0")])
    how = {"wavelengths_nm": [486.13, 546.07, 656.27], "pixel_arcsec": 0.05, "pixels": 129}
    stack = spread_stack(faulty.scope, extras=faulty.extras, **how)
    columns = [int(np.unravel_index(p.argmax(), p.shape)[1]) - 64 for p in stack]
    assert columns[1] == 0
    # 120 arcsec times n_F - n_C of BK7 (1.52238 - 1.51432, Schott): 0.967 arcsec apart
    apart = (columns[0] - columns[2]) * 0.05
    assert apart == pytest.approx(120.0 * (1.52238 - 1.51432), abs=0.05)
    assert columns[0] > 0 > columns[2]


def test_colour_is_defocus_between_blue_and_red():
    from simview.telescope.opening import defocus_by_colour

    faulty = apply_faults(newtonian(), [parse("colour=1.0")])
    waves = np.array([486.1327, 656.2725])
    got = defocus_by_colour(
        faulty.scope, stop_for(faulty.scope), waves, 0.0, faulty.extras.colour_waves
    )
    in_550 = got * waves / 550.0
    assert in_550[0] - in_550[1] == pytest.approx(1.0, abs=1e-6)
    assert in_550[0] > 0.0  # blue focuses nearer: at the white focus it is seen from outside


def test_seeing_gives_a_moment_of_air_and_adds_by_its_law():
    sky = apply_faults(newtonian(), [parse("seeing=2"), parse("seeing=1")]).sky
    assert sky is not None
    assert sky.air == "moment"
    assert sky.seeing_arcsec == pytest.approx((2 ** (5 / 3) + 1) ** 0.6)
    assert apply_faults(newtonian(), []).sky is None


def test_secondary_and_vanes_replace_the_telescopes_own():
    faulty = apply_faults(newtonian(), [parse("secondary=40%"), parse("vanes=4mm,count=3")])
    shape = stop_for(faulty.scope, extras=faulty.extras).shape
    assert (shape.obstruction, shape.vanes, shape.vane_ratio) == (0.4, 3, 0.02)


def test_tilted_lens_free_of_coma_has_a_little_astigmatism_and_no_paraboloids_coma():
    lens = simview.Telescope(aperture_mm=100.0, focal_length_mm=1000.0, objective="achromat")
    found = apply_faults(lens, [parse("miscollimation=60arcmin")]).scope.wavefront
    assert found.coma < 0.05 < found.astigmatism
    singlet = simview.Telescope(aperture_mm=50.0, focal_length_mm=600.0, objective="singlet")
    with pytest.raises(SimviewError, match="surfaces are known"):
        apply_faults(singlet, [parse("miscollimation=3arcmin")])


def test_shadow_that_leaves_the_pupil_is_refused():
    with pytest.raises(SimviewError, match="shadow"):
        apply_faults(newtonian(), [parse("off-centre-shadow=40%")] * 2)


def test_figures_know_of_the_extras():
    faulty = apply_faults(newtonian(), [parse("turned-down-edge=0.6,width=0.1")])
    assert quality.pv_waves(faulty.scope, extras=faulty.extras) == pytest.approx(0.6, abs=1e-3)
    assert quality.rms_waves(faulty.scope, extras=faulty.extras) > 0.05
    star = simview.point_spread(faulty.scope, extras=faulty.extras)
    assert 0.5 < star.strehl < 0.95
    assert star.strehl == pytest.approx(
        quality.strehl(faulty.scope, extras=faulty.extras), abs=1e-12
    )
    nu = 0.3 / (550e-6 / 200.0 * 206264.8)
    assert quality.transfer(faulty.scope, [nu], extras=faulty.extras)[0] < (
        quality.transfer(newtonian(), [nu])[0] - 0.01
    )


def test_plume_rises_from_its_middle_to_the_rim_and_halves_within_its_width():
    # Its form as it is told: a Gaussian ridge of a width at half height, fading in from 0.2 before
    # the middle to the rim, evenly about half way (0.4), where half of it stands.
    plume = Plume(waves=0.8, angle_deg=0.0, width=0.5)

    def at(x, y):
        return float(plume.path(np.array(x), np.array(y)))

    assert at(1.0, 0.0) == pytest.approx(0.8)
    assert at(-0.2, 0.0) == at(-0.7, 0.0) == 0.0
    assert at(0.4, 0.0) == pytest.approx(0.4)
    assert at(0.1, 0.0) + at(0.7, 0.0) == pytest.approx(0.8)
    assert at(0.1, 0.0) == pytest.approx(0.8 * 0.25**2 * 2.5)
    assert at(1.0, 0.25) == at(1.0, -0.25) == pytest.approx(0.4)
    up = Plume(waves=0.8, width=0.5)
    assert float(up.path(np.array(0.0), np.array(1.0))) == pytest.approx(0.8)
    assert float(up.path(np.array(1.0), np.array(0.0))) < 1e-4
