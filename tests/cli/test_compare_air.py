"""The same view under different air, side by side."""

import json
from pathlib import Path

import pytest

from simview.cli.app import run

WORDS = ["compare", "demo:rocker-200", "--target", "saturn", "--powers", "200"]


def test_one_view_is_shown_with_each_air(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*WORDS, "--air", "long,best,none", "--json"]) == 0
    panels = json.loads(capsys.readouterr().out)["panels"]
    width, detail = (
        [panel[key] for panel in panels]
        for key in ("resolution_air_arcsec", "finest_detail_arcsec")
    )
    # 2 arcsec at the zenith, somewhat less by the outer scale (Tokovinin 2002), more at 50 deg.
    assert 1.7 < width[0] < 2.3
    assert width[0] > width[1] > width[2] == 0.0
    assert detail[0] > detail[1] > detail[2] > 0.0


def test_unknown_air_in_a_list_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "c.png"
    assert run([*WORDS, "--air", "long,fog", "--out", str(out)]) == 2
    assert "fog" in capsys.readouterr().err
    assert not out.exists()
