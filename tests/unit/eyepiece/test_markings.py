"""Letters on barrels. Common practice, no source."""

import pytest

from simview.errors import ChoiceError
from simview.eyepiece.lensfile import NAMES
from simview.eyepiece.markings import DESIGNS, MARKINGS, read_marking
from simview.kit import DESIGNS as KIT_DESIGNS


@pytest.mark.parametrize(
    ("text", "design", "focal_mm"),
    [
        ("H20mm", "huygens", 20.0),
        ("H 12.5", "huygens", 12.5),
        ("HM 12,5 mm", "huygens", 12.5),
        ("AH40", "huygens", 40.0),
        ("R 6mm", "ramsden", 6.0),
        ("SR4", "ramsden", 4.0),
        ('0.965" SR4mm', "ramsden", 4.0),
        ("K-25", "kellner", 25.0),
        ("MA9mm", "kellner", 9.0),
        ("RK 15", "kellner", 15.0),
        ("reversed Kellner 25mm", "kellner", 25.0),
        ("Or 9", "orthoscopic", 9.0),
        ("12.5mm Ortho", "orthoscopic", 12.5),
        ("Pl10", "plossl", 10.0),
        ("Super Plössl 32mm", "plossl", 32.0),
        ("SWA 15", "wide", 15.0),
        ("Kellner", "kellner", None),
    ],
)
def test_letters_are_read(text, design, focal_mm):
    meaning, length = read_marking(text)
    assert meaning.design == design
    assert length == focal_mm


def test_reversed_kellner_is_told_from_a_kellner():
    assert read_marking("RK 15")[0].title == "reversed Kellner"
    assert "longer eye relief" in read_marking("reversed kellner")[0].note
    assert read_marking("K 15")[0].title == "Kellner"


@pytest.mark.parametrize("text", ["", "20mm", "foo 20", "H K 20", "Hxyz", "☄"])
def test_letters_that_mean_nothing_or_two_things_are_refused(text):
    with pytest.raises(ChoiceError, match="eyepiece marking"):
        read_marking(text)


def test_every_marking_leads_to_a_known_design_and_layout():
    for meaning in MARKINGS:
        assert meaning.design in KIT_DESIGNS
        assert meaning.layout is None or meaning.layout in NAMES
    words = [word for meaning in MARKINGS for word in meaning.words]
    assert len(words) == len(set(words)) == len(DESIGNS)
