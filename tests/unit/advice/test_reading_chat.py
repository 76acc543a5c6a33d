"""Conversations: a question says nothing by itself, and everything together with its answer."""

from __future__ import annotations

import pytest

from simview.advice.reading.assemble import read_advert


def sizes(text: str) -> list[float]:
    return [one.focal_length_mm for one in read_advert(text).eyepieces]


@pytest.mark.parametrize(
    "text",
    [
        "A: focal length?\nB: 900, mirror 114 mm\nA: eyepieces\nB: 25 and 9",
        "[14:03] Kim: focal length?\n[14:03] Jo: 900, mirror 114 mm\n[14:05] Kim: eyepieces?\n"
        "[14:06] Jo: 25 and 9",
        "12.03.26, 14:03 - Kim: Spiegel 114 mm, Brennweite 900\n12.03.26, 14:04 - Jo: Okulare?\n"
        "12.03.26, 14:05 - Kim: 25 und 9",
        "- quelle focale ?\n- 900, miroir de 114 mm\n- les oculaires ?\n- 25 et 9",
        "focale?\n900, specchio da 114 mm\noculari?\n25 e 9",
    ],
)
def test_questions_go_with_their_answers(text: str) -> None:
    listing = read_advert(text)
    assert (listing.aperture_mm, listing.focal_length_mm) == (114.0, 900.0)
    assert sizes(text) == [25.0, 9.0]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("70/700 telescope\nis there a tripod?\nyes, a metal one", "tripod"),
        ("Teleskop 70/700\nStativ?\nja", "tripod"),
        ("Telescopio 70/700\ntrípode?\nsí", "tripod"),
        ("70/700 telescope\nis there a tripod?\nno idea", None),
        ("Teleskop 70/700. Stativ? Okular 20 mm", None),
        ("Telescopio 70/700\nmontatura?\nnessuna", None),
    ],
)
def test_what_is_only_asked_for_is_not_said(text: str, kind: str | None) -> None:
    mount = read_advert(text).mount
    assert (mount.kind if mount else None) == kind


def test_times_are_no_eyepieces() -> None:
    assert sizes("[14:04] Kim: 70/700 telescope\n[20:06] Jo: and the tube is 65 cm long") == []


def test_labels_are_no_names() -> None:
    text = "Eyepiece: 20 mm\nEyepiece: 10 mm\nMount: EQ1\nMount: with tripod\nTelescope: 70/700"
    assert sizes(text) == [20.0, 10.0]
    mount = read_advert(text).mount
    assert mount is not None
    assert mount.kind == "equatorial"
