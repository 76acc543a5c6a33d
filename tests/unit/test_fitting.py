"""What is read without pydantic is what pydantic makes of it, and nothing else is read."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any
from unittest.mock import patch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simview import demo, table
from simview.errors import SimviewError
from simview.eyepiece import lensfile
from simview.fitting import fitted
from simview.kit import Kit

VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 300),
    st.sampled_from([2**53 - 1, 2**53, 10**30, 1, 2]),
    st.floats(),
    st.sampled_from(["mirror", "plossl", "1.25in", "7", "", "Plössl", "\ud800", "none"]),
    st.lists(st.integers(0, 3), max_size=2),
    st.dictionaries(st.sampled_from(["4", "11", "spherical"]), st.floats(-1, 1), max_size=2),
)
SCOPE = {"aperture_mm": 114, "focal_length_mm": 900.0}
PIECE = {"focal_length_mm": 10, "design": "plossl"}


def by_pydantic(given_: dict[str, Any]) -> Kit | str:
    with patch.object(table, "fitted", lambda *_: None):
        return of_table(given_)


def of_table(given_: dict[str, Any]) -> Kit | str:
    try:
        return table.build(Kit, given_, where="kit.toml")
    except SimviewError as error:
        return str(error)


def same(one: Kit | str, other: Kit | str) -> bool:
    """Return whether they are alike: by their text, since no number equals one that is none."""
    return repr(one) == repr(other)


@given(
    st.sampled_from(["vanes", "obstruction", "objective", "stop_mm", "wavefront", "note"]),
    st.sampled_from(["focal_length_mm", "design", "name", "transmission", "weight"]),
    st.sampled_from(["age_years", "eyes", "filter", "pupil_mm"]),
    VALUES,
    VALUES,
    VALUES,
)
def test_any_table_comes_to_the_same_with_and_without_pydantic(
    of_scope: str, of_piece: str, of_eye: str, first: Any, second: Any, third: Any
) -> None:
    for changed in (
        {"telescope": {**SCOPE, of_scope: first}, "eyepieces": [PIECE]},
        {"telescope": SCOPE, "eyepieces": [PIECE, {**PIECE, of_piece: second}]},
        {"telescope": SCOPE, "eyepieces": [PIECE], "observer": {of_eye: third}},
        {"telescope": first, "eyepieces": second, "name": third},
    ):
        assert same(of_table(changed), by_pydantic(changed))


def test_tables_that_need_judging_are_left_to_pydantic() -> None:
    whole = {"telescope": SCOPE, "eyepieces": [PIECE]}
    assert fitted(Kit, whole) == by_pydantic(whole)
    for amiss in (
        {**whole, "telescop": SCOPE},
        {**whole, "telescope": {"aperture_mm": 114}},
        {**whole, "telescope": {**SCOPE, "aperture_mm": "114"}},
        {**whole, "telescope": {**SCOPE, "aperture_mm": True}},
        {**whole, "telescope": {**SCOPE, "vanes": 3.0}},
        {**whole, "telescope": {**SCOPE, "aperture_mm": -1.0}},
        {**whole, "eyepieces": PIECE},
    ):
        assert fitted(Kit, amiss) is None


@pytest.mark.parametrize("name", demo.kit_names())
def test_every_kit_of_the_demo_is_read_alike_with_and_without_pydantic(name: str) -> None:
    text = tomllib.loads(demo.kit_path(f"demo:{name}").read_text(encoding="utf-8"))
    assert fitted(Kit, text) is not None
    assert fitted(Kit, text) == by_pydantic(text)


LENSES = tomllib.loads(
    (resources.files("simview.eyepiece") / "data" / "lenses.toml").read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", list(LENSES))
def test_every_lens_of_the_program_is_read_alike_with_and_without_pydantic(name: str) -> None:
    plain = lensfile._plainly(LENSES[name], name)
    assert plain is not None
    assert plain == lensfile._read(LENSES[name], name=name, where="lenses.toml")


@given(
    st.sampled_from(["title", "stop_after", "apparent_field_deg", "origin", "name", "surfaces"]),
    st.sampled_from(["radius_mm", "thickness_mm", "glass", "clear_mm", "title"]),
    st.one_of(VALUES, st.just("plane"), st.just("BK7")),
    st.one_of(VALUES, st.just("plane"), st.just("BK7")),
)
def test_any_prescription_comes_to_the_same_with_and_without_pydantic(
    key: str, of_row: str, value: Any, in_row: Any
) -> None:
    base = LENSES["kellner"]
    rows = list(base["surface"])
    for changed in (
        {**base, key: value},
        {**base, "surface": [{**rows[0], of_row: in_row}, *rows[1:]]},
        {**base, "surface": value},
    ):
        plain = lensfile._plainly(changed, "own")
        if plain is not None:
            assert repr(plain) == repr(lensfile._read(changed, name="own", where="own.toml"))
