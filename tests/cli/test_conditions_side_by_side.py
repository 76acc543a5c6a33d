"""Conditions as lists: a warm mirror in `compare`, and every power of a `ladder` under each."""

from __future__ import annotations

import json

import pytest

from simview.cli.app import run
from simview.cli.commands.compare import _afflicted
from simview.kit import Sky
from simview.kitword import find_kit

KIT = "150/1200"


def test_ladder_shows_all_powers_under_each_condition(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["ladder", KIT, "-t", "saturn", "--powers", "150,50", "--seeing", "1,4", "--json"]
    assert run(words) == 0
    panels = json.loads(capsys.readouterr().out)["panels"]
    assert [panel["power"] for panel in panels] == [50.0, 150.0, 50.0, 150.0]
    assert [panel["label"] for panel in panels][::2] == ["Steady air, 1″", "Very restless air, 4″"]
    steady, restless = (panels[n]["finest_detail_arcsec"] for n in (1, 3))
    assert restless > 1.5 * steady


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--powers", "50,100,150,200", "--seeing", "1,4"], "4 powers under 2 conditions"),
        (["--powers", "50,100", "--seeing", "1,x"], "--seeing"),
        (["--powers", "50,100", "--seeing", "1,2", "--age", "20,50,70"], "as many of each"),
    ],
)
def test_ladder_that_cannot_be_is_one_line(
    words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["ladder", KIT, "-t", "saturn", *words, "--json"]) == 2
    said = capsys.readouterr().err
    assert told in said
    assert said.count("\n") == 1


def test_mirror_shows_more_the_longer_it_cools(capsys: pytest.CaptureFixture[str]) -> None:
    fault = ["--fault", "cooling=0,cooling=20,cooling=180"]
    assert run(["compare", KIT, "-t", "jupiter", "--powers", "120", *fault, "--json"]) == 0
    panels = json.loads(capsys.readouterr().out)["panels"]
    finest = [panel["finest_detail_arcsec"] for panel in panels]
    assert finest[0] > finest[1] > finest[2]
    assert [panel["label"] for panel in panels][1] == "After 20 min"


def test_air_in_the_tube_adds_to_that_above_as_layers_do() -> None:
    """Fried 1966: r0 to the power -5/3 adds, widths to 5/3; only the sky's grows with air mass."""
    kit, sky = find_kit(KIT).kit, Sky(seeing_arcsec=1.5, altitude_deg=90.0)
    _, overhead = _afflicted(kit, "seeing=2", sky)
    assert overhead.seeing_arcsec == pytest.approx(
        (1.5 ** (5 / 3) + 2.0 ** (5 / 3)) ** 0.6, rel=1e-3
    )
    low = Sky(seeing_arcsec=1.5, altitude_deg=30.0)
    _, both = _afflicted(kit, "seeing=2", low)
    # At 30 degrees the air mass is 2 (plane layers), a width 2^0.6 times that overhead.
    there = both.seeing_arcsec * 2.0**0.6
    assert there == pytest.approx(((1.5 * 2.0**0.6) ** (5 / 3) + 2.0 ** (5 / 3)) ** 0.6, rel=0.01)
    assert _afflicted(kit, "none", low)[1] == low
