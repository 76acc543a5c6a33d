"""What is true of every fault, whatever its strength and direction."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import simview
from simview.telescope.fault_kinds import KINDS
from simview.telescope.faults import Fault, apply_faults, parse
from simview.telescope.focus import through_focus
from simview.units import ARCSEC_PER_RADIAN

SCOPE = simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0, obstruction=0.25)
PIXEL = 0.4 * 550e-6 / 150.0 * ARCSEC_PER_RADIAN
few = settings(max_examples=25, deadline=None)


@st.composite
def faults(draw):
    """Any fault with moderate strength and any of its settings."""
    name = draw(
        st.sampled_from(
            [k for k, kind in KINDS.items() if k != "noll" and not kind.layouts]
            + ["noll 7", "noll 22"]
        )
    )
    kind = KINDS["noll"] if name.startswith("noll") else KINDS[name]
    unit = draw(st.sampled_from(sorted(kind.units)))
    low, high = kind.units[unit]
    most = {"waves": 0.8, "rms": 0.1, "arcmin": 10.0, "mm": 2.0, "arcsec": 1.5}.get(unit, high)
    amount = draw(st.floats(max(low, -most), min(high, most)))
    angle = draw(st.none() | st.floats(-360.0, 360.0)) if kind.directed else None
    options = {}
    for option, setting in kind.options.items():
        if draw(st.booleans()):
            whole = option in ("seed", "count")
            value = draw(st.floats(setting.low, min(setting.high, 1e6)))
            options[option] = float(round(value)) if whole else value
    return Fault(
        name=name,
        amount=amount,
        unit=unit,
        angle_deg=angle,
        options=tuple(sorted(options.items())),
    )


@given(faults())
def test_a_fault_survives_being_written_and_read(fault):
    again = parse(str(fault))
    assert (again.name, again.unit) == (fault.name, fault.unit)
    assert np.isclose(again.amount, fault.amount, rtol=1e-11, atol=1e-300)
    assert np.isclose(again.angle, fault.angle, rtol=1e-11, atol=1e-300)
    assert dict(again.options) == pytest.approx(dict(fault.options), rel=1e-11)


@few
@given(st.lists(faults(), min_size=1, max_size=3))
def test_faults_make_no_light_and_no_peak_above_the_perfect_one(some):
    faulty = apply_faults(SCOPE, some)
    stack = through_focus(
        faulty.scope, [-2.0, 0.0], pixel_arcsec=PIXEL, pixels=64, extras=faulty.extras
    )[:, 0]
    assert np.isfinite(stack).all()
    assert stack.min() >= 0.0
    assert stack.sum(axis=(1, 2)).max() <= 1.0 + 1e-3
    # light through the pupil is 1; a larger open area gathers it to a higher peak: full circle
    full = simview.Telescope(aperture_mm=150.0, focal_length_mm=900.0)
    best = through_focus(full, [0.0], pixel_arcsec=PIXEL, pixels=64).max()
    assert stack.max() <= best * (1.0 + 1e-3)


@few
@given(st.lists(faults(), min_size=2, max_size=4), st.randoms(use_true_random=False))
def test_the_order_of_faults_does_not_matter(some, chance):
    """But for those that replace a part of the telescope (secondary, vanes, clips)."""
    some = [f for f in some if f.name not in ("secondary", "vanes", "clips")]
    mixed = list(some)
    chance.shuffle(mixed)
    one, other = apply_faults(SCOPE, some), apply_faults(SCOPE, mixed)
    for name in ("defocus", "spherical", "coma", "astigmatism", "trefoil"):
        a, b = getattr(one.scope.wavefront, name), getattr(other.scope.wavefront, name)
        assert np.isclose(a, b, atol=1e-9)
    assert np.isclose(one.extras.shadow_x, other.extras.shadow_x)
    assert set(one.extras.terms) == set(other.extras.terms)


def refusal(text):
    try:
        parse(text)
    except simview.SimviewError as error:
        return str(error)
    return None


@given(st.text(max_size=40) | st.from_regex(r"(coma|zone|noll 9|x)=[-0-9.e]+@?[0-9]*(,\w+=.)?"))
def test_any_text_is_read_or_refused_with_a_sentence(text):
    refused = refusal(text)
    assert refused is None or ("\n" not in refused and "allowed" in refused)
