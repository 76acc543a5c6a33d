"""The poster: all cells, its size on paper, made again from its recipe."""

from __future__ import annotations

import numpy as np
import pytest

from simview.errors import SimviewError
from simview.picture import again
from simview.picture.drawing.palette import contrast
from simview.picture.startest import atlas_cells
from simview.picture.startest.atlas import atlas, faultless_words
from simview.picture.startest.atlas_cells import CELLS, cells_for, subject, type_of
from simview.picture.startest.atlas_page import DARK, PAPERS, WHITE, paper_for
from simview.picture.startest.star_figures import strehl_white

SMALL = (1290, 912)


@pytest.fixture(scope="module")
def poster():
    return atlas(subject("cassegrain"), size=SMALL)


def test_papers_have_their_size() -> None:
    # ISO 216: A2 is 420 x 594 mm, A4 210 x 297 mm; letter is 8.5 x 11 inches (ANSI Y14.1).
    for name, millimetres in (
        ("a2", (594.0, 420.0)),
        ("a4", (210.0, 297.0)),
        ("letter", (215.9, 279.4)),
    ):
        paper = PAPERS[name]
        told = [side / paper.dpi * 25.4 for side in paper.size]
        assert told == pytest.approx(millimetres, abs=0.2)


def test_words_pass_wcag_aaa_on_white_and_on_dark() -> None:
    for theme in (WHITE, DARK):
        for colour in (theme.ink, theme.soft, theme.accent):
            assert contrast(colour, theme.paper) >= 7.0


@pytest.mark.parametrize("kind", sorted(CELLS))
def test_lens_with_colour_is_not_called_perfect(kind: str) -> None:
    scope = subject(kind).telescope
    assert scope is not None
    title, how = faultless_words(strehl_white(scope))
    coloured = scope.objective == "achromat"
    assert (title == "Perfect") != coloured
    assert any("alike" in words for words in how) != coloured
    assert any("rims' colours" in words for words in how) == coloured


def test_upright_page_shows_the_middling_strength_and_is_made_again(monkeypatch) -> None:
    few = {name: cells[:3] for name, cells in CELLS.items()}
    monkeypatch.setattr(atlas_cells, "CELLS", few)
    first = atlas(subject("newtonian"), paper="a4", dark=True)
    assert first.image.size == PAPERS["a4"].size
    told = [next(iter(row["faults"].values())) for row in first.figures["rows"][1:]]
    assert told == pytest.approx([cell.amounts[1] for cell in few["newtonian"]])
    assert np.asarray(first.image)[2, 2].max() < 20
    second = again.redo(first.recipe)
    assert np.array_equal(np.asarray(first.image), np.asarray(second.image))


def test_unknown_papers_are_refused() -> None:
    with pytest.raises(SimviewError, match="letter"):
        paper_for("leter", None)


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
    assert (picture[2, 2] == WHITE.paper).all()
    assert poster.image.info["dpi"][0] / SMALL[0] == pytest.approx(150.0 / 3508.0)
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
