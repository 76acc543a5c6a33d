"""How much power an object can use in one kit: the curve, its marks, the rules, the claim.

What is plotted follows from the object: the finest detail of a surface, whether a double is
split, whether a faint patch shows, the faintest star of a field.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from simview.air.conditions import conditions
from simview.errors import ChoiceError
from simview.eye.state import objective_of
from simview.eye.stations import base_beam, powers_of, stations
from simview.eyepiece.train import HIGHEST_POWER_PER_MM, choices
from simview.kit import Kit, Observer, Sky, Telescope
from simview.picture import around_views, captions, recipe
from simview.picture.detail import star_curves, surface
from simview.picture.detail.case import Answer, Case
from simview.picture.detail.detail_layout import draw_power_plot
from simview.picture.detail.records import Fact, PowerPlot, Row, RowMark
from simview.picture.drawing import text
from simview.picture.drawing.sheet import SheetText
from simview.picture.drawing.tongue import decimal, say
from simview.picture.finished import Told, footer
from simview.picture.retelling import retold
from simview.picture.slides.detail_slide import curve_slide
from simview.picture.slides.records import Wish
from simview.picture.slides.says import name as name_of
from simview.picture.views.compose import Sheet, Size
from simview.power import rules
from simview.power.faint import is_glow
from simview.power.marks import marks
from simview.power.multiple import pairs_of
from simview.scene.scene import Target

# Exit pupils that are marked on the scale of powers, mm.
_EXIT_PUPILS: Final = (7.0, 5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.7, 0.5, 0.3, 0.2, 0.1)

# A claim further than this past the plot's other powers stands at its edge.
_FARTHEST: Final = 3.0


def detail(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
    size: Size = (1920, 1080),
    wish: Wish | None = None,
) -> Sheet:
    """Plot what an eye can make out of one object against power, and tell where power turns empty.

    Parameters
    ----------
    powers
        Times, rising: where figures are wanted; None takes those of the plot. The marks do not
        depend on them.
    wish
        What is wanted of a slide; None for the sheet with every figure.

    Raises
    ------
    SimviewError
        For powers that are not rising numbers of 1 to 1e5, or a size that sheets cannot have.
    """
    contents = judge_detail(kit, target, powers=powers, sky=sky, observer=observer)
    return draw_detail(contents, size=size, wish=wish)


@dataclass(frozen=True, slots=True, kw_only=True)
class DetailContents:
    """All that a curve over power says, before it is drawn.

    Parameters
    ----------
    case
        The kit on the object, at many powers.
    answer
        The curve, its marks, and what is said of them.
    words
        Title, subtitle, caption, footer.
    figures, recipe
        For JSON, for tables and for the picture's metadata; what makes it again, but for its size.
    remarks
        What the reader should be told besides, a sentence each.
    """

    case: Case
    answer: Answer
    words: SheetText
    figures: Mapping[str, Any]
    recipe: Mapping[str, Any]
    remarks: tuple[str, ...]

    def told(self, size: Size = (1920, 1080)) -> Told:
        """Return what is said of it whether or not it is drawn: figures, recipe, remarks."""
        return Told(
            figures=dict(self.figures),
            recipe={**self.recipe, "size": list(size)},
            remarks=self.remarks,
        )


def judge_detail(
    kit: Kit,
    target: Target,
    *,
    powers: Sequence[float] | None = None,
    sky: Sky | None = None,
    observer: Observer | None = None,
) -> DetailContents:
    """Find what an eye makes out at each power, and say it.

    Parameters
    ----------
    kit, target, powers, sky, observer
        As in `detail`.

    Raises
    ------
    SimviewError
        For powers that are not rising numbers of 1 to 1e5, and for the naked eye.
    """
    sky, observer = conditions((kit,), target, sky, observer)
    if kit.kind == "eye":
        raise ChoiceError(
            "kit",
            got=captions.instrument(kit),
            allowed="a telescope or a binocular",
            remedy="the naked eye has one power only; use view",
        )
    case = _case(kit, target, powers, sky, observer)
    answer = _answer(case)
    words = SheetText(
        title=answer.title,
        subtitle=say("Seen through {kit}", kit=around_views.through(kit)),
        caption=_caption(case, answer.method),
        footer=footer(target),
    )
    figures = {**answer.figures, **_rules(case)}
    written = recipe.write(
        "detail",
        [kit],
        target,
        sky=sky,
        observer=observer,
        powers=None if powers is None else [float(p) for p in powers],
    )
    return DetailContents(
        case=case,
        answer=answer,
        words=words,
        figures=figures,
        recipe=written,
        remarks=_remarks(answer, asked=powers is not None),
    )


def draw_detail(
    contents: DetailContents, *, size: Size = (1920, 1080), wish: Wish | None = None
) -> Sheet:
    """Draw a curve that is judged already, as a sheet or, with a wish, as a slide.

    Raises
    ------
    SimviewError
        For a size that sheets cannot have.
    """
    told, words, answer = contents.told(size), contents.words, contents.answer
    if wish is not None:
        return curve_slide(
            answer.plot,
            wish=wish,
            name=name_of(contents.case.target),
            figures=told.figures,
            recipe=told.recipe,
            small_print=f"{words.subtitle}. {words.caption}",
            size=size,
        )
    rows = _with_rows(contents.case, answer, told.figures)
    return told.drawn(draw_power_plot(size, words, rows))


def _remarks(answer: Answer, *, asked: bool) -> tuple[str, ...]:
    """Return why figures are missing, where somebody asked for just these or nothing is seen."""
    missing = None in answer.figures["finest_detail_arcsec"]
    shown = answer.figures.get("split_from", answer.figures["enough_from"])
    if shown is None or (asked and missing):
        return (answer.figures["reason"],)
    return ()


def again(given: Mapping[str, Any], *, size: Size | None = None) -> Sheet:
    """Make the sheet again from its recipe."""
    made = recipe.read(given)
    return detail(
        made.kits[0],
        made.target,
        powers=made.further["powers"],
        sky=made.sky,
        observer=made.observer,
        size=size or made.size,
    )


def _answer(case: Case) -> Answer:
    """Ask what the target is, and let its own module answer."""
    pairs = pairs_of(case.target)
    if pairs:
        # Of several the closest.
        return star_curves.pair(case, min(pairs, key=lambda pair: pair.separation_arcsec))
    if case.target.luminance_cd_m2 is None:
        return star_curves.stars(case)
    if is_glow(case.target):
        return surface.glow(case)
    return surface.surface(case)


def _case(
    kit: Kit, target: Target, powers: Sequence[float] | None, sky: Sky, observer: Observer
) -> Case:
    scope = objective_of(kit, base_beam(kit))
    asked = None if powers is None else powers_of(kit, scope.working_aperture_mm, powers)
    own = None if kit.binocular is None else kit.binocular.power
    if own is not None and asked is not None and asked != (own,):
        raise ChoiceError(
            "powers",
            got=", ".join(f"{power:g}" for power in asked),
            allowed=f"{own:g}",
            remedy="a binocular has one power; leave --powers out",
        )
    shown = _shown(kit, scope, asked or ())
    return Case(
        kit=kit,
        target=target,
        sky=sky,
        observer=observer,
        scope=scope,
        places=stations(kit, target, powers=shown, sky=sky, observer=observer, one_glass=True),
        asked=asked,
        marks=marks(kit, target, sky=sky, observer=observer),
    )


def _shown(kit: Kit, scope: Telescope, asked: Sequence[float]) -> tuple[float, ...]:
    """Return the plot's powers: the usual ones, and on in the same steps to what the box gives."""
    usual = powers_of(kit, scope.working_aperture_mm, None)
    if len(usual) == 1:
        return usual
    cap = HIGHEST_POWER_PER_MM * scope.working_aperture_mm
    wanted = [*asked, *(power for power, _ in choices(kit))]
    if kit.claimed_power is not None and kit.claimed_power <= _FARTHEST * usual[-1]:
        wanted.append(1.06 * kit.claimed_power)
    ratio = usual[1] / usual[0]
    answer = list(usual)
    while answer[-1] < min(max(wanted, default=0.0), cap):
        answer.append(answer[-1] * ratio)
    return tuple(answer)


def _rules(case: Case) -> dict[str, Any]:
    """Return what trade, box and offer say, for JSON."""
    aperture, claim = case.scope.aperture_mm, case.kit.claimed_power
    empty_above = case.marks.empty_above
    told: dict[str, Any] = {
        "rule_per_inch": list(rules.per_inch(aperture)),
        "rule_twice_mm": rules.twice_the_mm(aperture),
        "claimed_power": claim,
        "claimed_over_empty": claim / empty_above if claim and empty_above else None,
    }
    if case.kit.kind == "telescope":
        told["pieces"] = [_piece(case, power) for power in _pieces(case.kit)]
    told["limited_by"] = [case.marks.limited_by(power) for power in case.asked or case.powers]
    return told


def _piece(case: Case, power: float) -> dict[str, Any]:
    found = case.marks.at(power)
    return {"power": power, "empty": found.empty, "limited_by": found.limited_by}


def _pieces(kit: Kit) -> list[float]:
    return sorted({round(power, 6) for power, _ in choices(kit)})


def _with_rows(case: Case, answer: Answer, figures: Mapping[str, Any]) -> PowerPlot:
    """Return the plot with the rows below it and the claim among the figures."""
    plot = answer.plot
    facts = (*plot.facts, *_claim_fact(case, figures))
    return replace(plot, rows=(*plot.rows, *_rows(case, figures, plot)), facts=facts[:4])


def _rows(case: Case, figures: Mapping[str, Any], plot: PowerPlot) -> list[Row]:
    working = case.scope.working_aperture_mm
    low, high = plot.powers
    rows = [
        Row(
            name=say("exit pupil"),
            marks=tuple(
                RowMark(low=working / p, high=working / p, label=decimal(f"{p:g} mm"), shape="tick")
                for p in _EXIT_PUPILS
                if low <= working / p <= high
            ),
        )
    ]
    if case.kit.kind == "telescope":
        rows += [_piece_row(case, figures), *_rule_rows(figures, case.scope, high)]
    elif case.kit.binocular is not None:
        power = case.kit.binocular.power
        mark = RowMark(low=power, high=power, label=text.times(power))
        rows.append(Row(name=say("its own power"), marks=(mark,)))
    claim = case.kit.claimed_power
    if claim is not None:
        rows.append(Row(name=say("promised"), marks=(_claim_mark(claim, figures, high),)))
    return rows


def _piece_row(case: Case, figures: Mapping[str, Any]) -> Row:
    marks = tuple(
        RowMark(
            low=each["power"],
            high=each["power"],
            label=text.times(each["power"]),
            manner="empty" if each["empty"] else "low",
        )
        for each in figures["pieces"]
    )
    name = say("pieces in the box") if marks else say("no eyepiece in the box")
    return Row(name=name, marks=marks)


def _rule_rows(figures: Mapping[str, Any], scope: Telescope, highest: float) -> list[Row]:
    low, high = figures["rule_per_inch"]
    twice = figures["rule_twice_mm"]
    span = RowMark(
        low=low,
        high=min(high, highest),
        label=say(
            "{low} to {high}×, a rule of the trade for {aperture} mm",
            low=f"{low:.0f}",
            high=f"{high:.0f}",
            aperture=decimal(f"{scope.aperture_mm:g}"),
        ),
    )
    once = RowMark(
        low=twice, high=twice, label=say("{power}, another such rule", power=text.times(twice))
    )
    return [
        Row(
            name=say(
                "{low} to {high} an inch",
                low=f"{rules.PER_INCH[0]:g}",
                high=f"{rules.PER_INCH[1]:g}",
            ),
            marks=(span,),
        ),
        Row(name=say("twice the millimetres"), marks=(once,)),
    ]


def _claim_mark(claim: float, figures: Mapping[str, Any], highest: float) -> RowMark:
    over = figures["claimed_over_empty"]
    label = text.times(claim)
    if claim > highest:
        label = say("{power} and off this scale", power=label)
    if over is not None and over >= 1.05:
        label = say("{claim}: {times} times past empty", claim=label, times=text.figure(over))
    return RowMark(
        low=claim,
        high=claim,
        label=label,
        manner="empty" if over is not None and over > 1.0 else "low",
        shape="triangle",
    )


def _claim_fact(case: Case, figures: Mapping[str, Any]) -> list[Fact]:
    claim, over = case.kit.claimed_power, figures["claimed_over_empty"]
    if claim is None or over is None:
        return []
    if over <= 1.0:
        return [Fact(figure=text.times(claim), words=say("is promised, and is not too much."))]
    words = say(
        "is promised: {times} times what this object can use here.", times=text.figure(over)
    )
    return [Fact(figure=text.times(claim), words=words, manner="empty")]


def _caption(case: Case, method: str) -> str:
    who = say(
        "Eye: {years} years{faults}, {eyes}.",
        years=f"{case.observer.age_years:.0f}",
        faults=captions.own_faults(case.observer),
        eyes=say("two eyes") if case.places[0].eye.eyes == 2 else say("one eye"),
    )
    notes = [retold(note) for note in case.target.notes]
    return " ".join((captions.air_before(case.target, case.sky), who, method, *notes))
