"""The poster: all cells, its size on paper, made again from its recipe."""

from __future__ import annotations

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.picture import again
from simview.picture.drawing.palette import contrast
from simview.picture.startest import atlas_cells
from simview.picture.startest.atlas import (
    A2,
    DPI,
    PAPER,
    PAPER_ACCENT,
    PAPER_INK,
    PAPER_SOFT,
    atlas,
)
from simview.picture.startest.atlas_cells import CELLS, cells_for, subject, type_of

SMALL = (1290, 912)


@pytest.fixture(scope="module")
def poster():
    return atlas(subject("cassegrain"), size=SMALL)


def test_paper_of_150_dots_per_inch_is_a2() -> None:
    # ISO 216: A2 is 420 x 594 mm.
    assert [side / DPI * 25.4 for side in A2] == pytest.approx([594.0, 420.0], abs=0.2)


def test_words_on_paper_pass_wcag_aaa() -> None:
    for colour in (PAPER_INK, PAPER_SOFT, PAPER_ACCENT):
        assert contrast(colour, PAPER) >= 7.0


def test_poster_tells_the_figures_of_every_strength(poster) -> None:
    rows = poster.figures["rows"]
    cells = cells_for("cassegrain")
    assert len(rows) == 3 * len(cells) + 1
    assert rows[0]["faults"] == {}
    assert rows[0]["strehl"] == pytest.approx(1.0, abs=1e-3)
    for k, cell in enumerate(cells):
        amounts = [next(iter(row["faults"].values())) for row in rows[3 * k + 1 : 3 * k + 4]]
        assert amounts == pytest.approx(cell.amounts)


def test_stronger_faults_cost_more(poster) -> None:
    rows = [row for row in poster.figures["rows"] if row["faults"].keys() & {"coma", "zone"}]
    strehls = [row["strehl"] for row in rows]
    assert strehls[:3] == sorted(strehls[:3], reverse=True)
    assert strehls[3:] == sorted(strehls[3:], reverse=True)


def test_poster_is_white_paper_with_its_printed_size_inside(poster) -> None:
    picture = np.asarray(poster.image)
    assert (picture[2, 2] == PAPER).all()
    assert poster.image.info["dpi"][0] / SMALL[0] == pytest.approx(DPI / A2[0])
    dark = (picture.max(axis=2) < 40).mean()
    assert 0.05 < dark < 0.45


def test_poster_made_again_is_the_same(monkeypatch) -> None:
    few = {name: cells[:3] for name, cells in CELLS.items()}
    monkeypatch.setattr(atlas_cells, "CELLS", few)
    first = atlas(subject("refractor"), size=SMALL)
    second = again.redo(first.recipe)
    cells = cells_for("refractor")
    assert len(first.figures["rows"]) == 1 + sum(len(cell.amounts) for cell in cells)
    assert np.array_equal(np.asarray(first.image), np.asarray(second.image))


@pytest.mark.parametrize("name", sorted(CELLS))
def test_type_of_a_telescope_is_recognised(name: str) -> None:
    scope = subject(name).telescope
    assert scope is not None
    assert type_of(scope) == name


def test_spoilt_recipe_is_refused(poster) -> None:
    for spoil in ({"kits": 3}, {"size": "large"}, {"size": (9, 9)}):
        with pytest.raises(SimviewError):
            again.redo(poster.recipe | spoil)
