"""From views to prints: all panels of one sheet exposed, adapted to together, developed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain, islice
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simview import budget
from simview.air.glow import luminance_cd_m2
from simview.executor.threads import spread_work, threads
from simview.eye.aided import aid_of
from simview.eye.retina import Exposure, Retina
from simview.eye.thresholds import seen_fraction
from simview.eyepiece.beam import Orientation
from simview.eyepiece.orientation import signs
from simview.picture.drawing.tongue import say
from simview.picture.prints import (
    choices,
    chroma,
    lens_hues,
    pair_patches,
    pair_prints,
    planet_dots,
    response,
    resting,
    star_factors,
    tone,
)
from simview.picture.prints.display import Display
from simview.picture.prints.exposing import expose_all, small
from simview.picture.prints.wanted import Wanted
from simview.view import View

Print = NDArray[np.uint8]
# Told how far the work is, 0 to 1, and what is being done.
Progress = Callable[[float, str], None]

# What a panel takes for each painted pixel, bytes: while it is kept (three planes of light, four of
# the retina, single precision), and while one is painted, convolved or printed (double precision
# where the Moon's ground is lit, spectra, stars). And what painting takes at any size: the maps.
# The last two are measured, the Moon taking most (docs/performance.md).
BYTES_HELD: Final = 28
BYTES_WORKING: Final = 190
BYTES_AT_LEAST: Final = 150_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Prints:
    """The panels in the order in which they were wanted, and how they were toned.

    Parameters
    ----------
    adaptation
        Of the sheet; of its first view where each has its own.
    first
        What the first panel was printed with: the sheet's, as its own view has it.
    """

    panels: tuple[Print, ...]
    adaptation: tone.Adaptation
    first: tone.Adaptation

    def says(self, *, several: bool = True) -> str:
        """Return sentences for the caption: how light is printed, and for which display."""
        display = self.adaptation.display
        each = display.adapt == "each"
        within = each or not several
        told = (self.first if within else self.adaptation).says(several=not within)
        own = (say("Each view has an exposure of its own."),) if each and several else ()
        return " ".join((told, *own, display.says()))


def develop_all(
    wanted: Sequence[Wanted],
    *,
    display: Display | None = None,
    progress: Progress | None = None,
) -> Prints:
    """Expose all panels, adapt to them, develop each as its view has it.

    Parameters
    ----------
    wanted
        All of them set the adaptation. A view and its close-ups, which share one `view`, are
        printed alike; the whole view comes before its close-ups.
    display
        What will show the print; it also says whether each view has an adaptation of its own.
    """
    display = display or Display()
    wanted = [planet_dots.finer(panel) for panel in wanted]
    parts = [pair_patches.patches(panel) for panel in wanted]
    # What is asked for comes first, and alone sets the adaptation.
    count, wanted = len(wanted), [*wanted, *chain.from_iterable(parts)]
    at_once = _at_once(wanted)
    budget.require(
        f"{len(wanted)} panels of up to {max(panel.pixels for panel in wanted)} pixels",
        memory_needed(wanted, at_once),
        remedy="make a smaller picture (--size)",
    )
    found = expose_all(wanted, at_once, progress, _measured)
    # What comes from another machine holds a copy of its view.
    exposed = [one._replace(view=panel.view) for one, panel in zip(found, wanted, strict=True)]
    del found
    if progress is not None:
        progress(len(wanted) / (len(wanted) + 1), "printing")
    together = spread_work if small(wanted) else _in_turn
    if display.adapt == "each":
        groups = [[o for o in exposed[:count] if o.view is one.view] for one in exposed]
        adaptations = [adapt_to(group, display) for group in groups]
    else:
        adaptations = [adapt_to(exposed[:count], display)] * len(exposed)
    owns = [_adapted(*each, exposed[:count]) for each in zip(adaptations, exposed, strict=True)]

    def printed(place: int) -> Print:
        own, panel = owns[place], wanted[place]
        dots = (panel.reader_px or panel.star_px) / panel.drawn_out()
        light = _on_the_retina(exposed[place], exposed[:count], own, dots, finer=True)
        retina = panel.shown(light)
        exposed[place] = exposed[place].printed()
        return edged(tone.develop(retina, own), exposed[place].exposure.orientation)

    panels = together(printed, range(len(wanted)))
    if progress is not None:
        progress(1.0, "done")
    of_pairs = iter(zip(wanted[count:], panels[count:], strict=True))
    whole = [
        pair_patches.laid_in(wanted[place], panels[place], list(islice(of_pairs, len(own))))
        for place, own in enumerate(parts)
    ]
    return Prints(panels=tuple(whole), adaptation=adaptations[0], first=owns[0])


def _in_turn(work: Callable[[Any], Any], items: Iterable[Any]) -> list[Any]:
    return list(map(work, items))


def _measured(panel: Wanted, exposure: Exposure) -> Exposed:
    return measured(panel.view, exposure)


def _at_once(wanted: Sequence[Wanted]) -> int:
    """Return how many views are exposed at once: as many as there are threads and memory for."""
    most = min(threads(), _apart(wanted))
    fitting = (n for n in range(most, 1, -1) if budget.fits(memory_needed(wanted, n)))
    return next(fitting, 1)


def _apart(wanted: Sequence[Wanted]) -> int:
    """Return how many panels may be worked on side by side: one of each view, or all of one."""
    views = len({id(panel.view) for panel in wanted})
    return len(wanted) if views == 1 and small(wanted) else views


def memory_needed(wanted: Sequence[Wanted], at_once: int | None = None) -> float:
    """Return an estimate of the bytes that exposing and developing these panels takes at most.

    Parameters
    ----------
    at_once
        Views that are exposed at the same time; None for as many as there are threads.
    """
    areas = [panel.painted_pixels() ** 2 for panel in wanted]
    if at_once is None:
        at_once = min(threads(), _apart(wanted))
    working = sum(sorted(areas)[-at_once:])
    finished = sum(panel.pixels**2 for panel in wanted)
    return BYTES_AT_LEAST + BYTES_HELD * sum(areas) + BYTES_WORKING * working + 3 * finished


def developed(
    each: Exposed,
    exposed: Sequence[Exposed],
    adaptation: tone.Adaptation,
    *,
    star_px: float = 0.0,
) -> Print:
    """Print one exposed panel, as fine as it was exposed.

    `exposed` holds all panels of its view, itself among them; `star_px` is the least width of a
    star, pixels, as in what was wanted.
    """
    own = _adapted(adaptation, each, exposed)
    retina = _on_the_retina(each, exposed, own, star_px)
    return edged(tone.develop(retina, own), each.exposure.orientation)


def _on_the_retina(
    each: Exposed,
    exposed: Sequence[Exposed],
    own: tone.Adaptation,
    star_px: float,
    *,
    finer: bool = False,
) -> Retina:
    looked = _looked_at(each, _given_back(each, exposed) ** own.dark)
    if finer:
        own = planet_dots.brighter(own, each.view, each.exposure, star_px)
        looked = planet_dots.on_pixels(looked, own)
    light = _star_factors(each, own, looked.star_peaks())
    return pair_prints.retina(each.view, looked, light, own, star_px=star_px)


def _looked_at(each: Exposed, given_back: float = 1.0) -> Exposure:
    """Return an exposure as an eye that looks at it has it.

    It sees through most of the glare, finds an even field even, adapts to the light of a lens as it
    falls on lit ground, and its stars' blue comes from all of their light (`chroma`). `given_back`
    is what its surfaces are multiplied by for the light that they lost to the glare.
    """
    exposure = each.seen or _through_veil(each.view, each.exposure)
    if given_back != 1.0:
        exposure = replace(exposure, extended=exposure.extended * np.float32(given_back))
    by_lens = each.view.path.scope.objective != "mirror"
    if by_lens and exposure.lit_white is None and exposure.hues == "pooled":
        exposure = replace(exposure, lit_white=lens_hues.lit_white(each.exposure))
    if not len(exposure.scene.stars):
        return exposure
    sharp = exposure.sharp
    lens = exposure.star_lens if sharp is None else sharp.lens
    lens, gain = chroma.fixated(lens, exposure.pixels_per_degree), 1.0
    if sharp is not None:
        lens, gain = sharp.dots(lens, exposure.scene.pixel_arcsec)
    return replace(exposure, star_lens=lens, dot_gain=gain)


def edged(picture: Print, orientation: Orientation) -> Print:
    """Return a turned picture with its first row and column like their neighbours.

    Turned about pixel n // 2, an even number of pixels leaves the first without a partner
    (`simview.eyepiece.orientation.orient`): it still shows what belongs to the other side.
    """
    right, up = signs(orientation)
    if up < 0 and picture.shape[0] % 2 == 0:
        picture[0] = picture[1]
    if right < 0 and picture.shape[1] % 2 == 0:
        picture[:, 0] = picture[:, 1]
    return picture


# Faintest star of the naked eye under a dark sky, V. Common practice, no source.
_DARK_SKY_MAG: Final = 6.0


# Levels that tell of bright surfaces.
_BRIGHT: Final = ("white_td", "vivid_td", "vivid_x", "vivid_z", "pooled_td")


# Bytes of a picture seen through its veil that are kept for its print, not found again. A choice.
_SEEN_KEPT: Final = 16_000_000


class Exposed(NamedTuple):
    """A panel on the retina, and how bright it is; `measured` makes one.

    `sky_through_veil` is its sky's light as seen through the veil, over all of it.
    """

    view: View
    exposure: Exposure
    levels: tone.Levels
    sky_through_veil: float = 1.0
    seen: Exposure | None = None  # through its veil, where that is small enough to be kept

    def printed(self) -> Exposed:
        """Return what other panels of the view still want of it: all but its light."""
        none = np.zeros((4, 0, 0), np.float32)
        dark = replace(self.exposure, extended=none, fading=None)
        return self._replace(exposure=dark, seen=None)

    @property
    def limit(self) -> float:
        """Magnitude of the faintest star in this view; by day, when there is none, a dark sky's."""
        limit = self.view.numbers["limiting_magnitude"]
        return _DARK_SKY_MAG if limit is None else limit


def measured(view: View, exposure: Exposure) -> Exposed:
    """Return an exposure with its levels of light, bright ones as seen through the veil."""
    stop = _stop_px(view, exposure)
    whole = tone.levels(exposure.evened(), stop_px=stop, surfaces=exposure.veil is None)
    whole = whole._replace(dot=_dot(view))
    if exposure.veil is None:
        return Exposed(view, exposure, whole)
    through = _through_veil(view, exposure)
    seen = tone.levels(through, stop_px=stop)
    bright = {name: getattr(seen, name) for name in _BRIGHT}
    # Of the light behind everything: what is the sky's own, and what is the veil.
    own = max(float(exposure.lens[3].sum()) * luminance_cd_m2(view.sky), 1e-9)
    veil = max(whole.background_scotopic_td - own, 0.0)
    left = seen.background_scotopic_td / max(whole.background_scotopic_td, 1e-12)
    even = _how_wide(view, choices.VEIL_EVEN_DEG)
    part = own / (own + veil)
    levels = whole._replace(**bright, sky_own=part, veil_even=even)
    small = through.extended.nbytes <= _SEEN_KEPT
    return Exposed(view, exposure, levels, left, through if small else None)


# Kinds of objects around which a field is dark up to its stop.
_DARK_FIELDS: Final = ("stars", "deep-sky", "double")


def _stop_px(view: View, exposure: Exposure) -> float | None:
    """Return the field stop's radius in pixels where a picture holds a night field to its edge.

    None for parts of it, and where something lit may fill it: its own dark is looked for elsewhere.
    """
    radius = view.beam.apparent_field_deg / 2.0 * exposure.pixels_per_degree
    holds = exposure.extended.shape[-1] >= 1.98 * radius
    return radius if holds and view.target.kind in _DARK_FIELDS else None


def _dot(view: View) -> float:
    """Return how far the view's object is so small that it prints as stars do, 1 down to 0."""
    if view.target.dot is None:
        return 0.0
    return 1.0 - _how_wide(view, choices.DOT_DEG)


def _how_wide(view: View, between: tuple[float, float]) -> float:
    """Return where the object's width at the eye lies between two, deg: 0 to 1, softly."""
    low, high = between
    wide = view.target.size_arcsec * view.beam.power / 3600.0
    part = min(math.log(max(wide, low) / low) / math.log(high / low), 1.0)
    return part * part * (3.0 - 2.0 * part)


def _through_veil(view: View, exposure: Exposure) -> Exposure:
    """Return an exposure as an eye that looks at it sees it through its own glare."""
    even = _how_wide(view, choices.VEIL_EVEN_DEG)
    light = (view.target.luminance_cd_m2 or 0.0) * view.path.troland_per_cd_m2()
    share = response.veil_discounted(light, even)
    return exposure.less_veil(share, choices.VEIL_HIDES * even).evened()


def _adapted(whole: tone.Adaptation, each: Exposed, exposed: Sequence[Exposed]) -> tone.Adaptation:
    """Return the adaptation for one panel: that of its view, or of its part of the Moon."""
    brightest, sky = _of_its_view(each, exposed)
    own = whole.for_view(brightest, sky)
    return resting.looking_at(each.levels, own, brightest, each.view.target.kind)


def _of_its_view(each: Exposed, exposed: Sequence[Exposed]) -> tuple[float, tone.Levels]:
    """Return the brightest surface of a panel's view, and the view's widest panel for its sky."""
    same = [other.levels for other in exposed if other.view is each.view]
    brightest = max(same, key=lambda level: level.white_td)
    widest = max(same, key=lambda level: level.extent_deg)
    vivid = {name: getattr(brightest, name) for name in ("vivid_td", "vivid_x", "vivid_z")}
    return brightest.white_td, widest._replace(**vivid)


def _given_back(each: Exposed, exposed: Sequence[Exposed]) -> float:
    """Return what a night's view is multiplied by so that its sky, seen through the veil, is whole.

    All contrasts are held against the sky's whole light, veil and all. Where what lies behind is
    not a sky but a veil that hides one, as beside the Moon, nothing is given back: its sunlit
    ground would be burnt to white.
    """
    same = [other for other in exposed if other.view is each.view]
    widest = max(same, key=lambda other: other.levels.extent_deg)
    return float(max(widest.sky_through_veil, 0.1) ** -widest.levels.sky_clear)


def adapt_to(exposed: Sequence[Exposed], display: Display) -> tone.Adaptation:
    """Set one adaptation for these panels, around the middle of what each view's eye sees."""
    spots = np.concatenate([each.exposure.star_spots() for each in exposed])
    faintest = [math.log(each.exposure.spot_of(each.limit)) for each in exposed]
    factors = [aid_of(e.view.path, e.view.eye, e.view.observer).factor for e in exposed]
    reader = tone.Reader(
        display=display,
        threshold_factor=math.exp(float(np.mean(np.log(factors)))),
        faintest_td=math.exp(float(np.mean(faintest))),
        pairs=all(each.view.target.kind == "double" for each in exposed),
        beam_mm=max(each.view.beam.used_pupil_mm for each in exposed),
    )
    return tone.adapt([each.levels for each in exposed], star_peaks_td=spots, reader=reader)


class _StarPrint(NamedTuple):
    """What each star's light is multiplied by, and the share of that in its own image."""

    factors: NDArray[np.float64]
    cores: NDArray[np.float64]


def _star_factors(each: Exposed, own: tone.Adaptation, peaks_td: NDArray[np.float64]) -> _StarPrint:
    """Return how each star prints, so that its print's middle, `peaks_td`, fits its spot.

    The spot is the star's for the eye; so a star prints as bright in a wide view of large pixels
    as in a close-up. Near the view's faintest star they fade out, beside a brighter one or before
    a haze sooner: each is drawn with the part of its light that answers to how often it is seen;
    the rest is in the surfaces. How bright a star that is just seen has to print goes by the print
    of the ground behind it.
    """
    exposure, view = each.exposure, each.view
    stars, spots = exposure.scene.stars, exposure.star_spots()
    ground = np.maximum(exposure.evened().behind_stars(), 1e-6)
    printed = response.surface_print(ground, own)
    behind, rise = np.zeros(len(stars)), np.ones(len(stars))
    above = 10.0 ** (0.4 * (each.limit - stars.magnitude))
    if exposure.above is not None:
        assert exposure.rise is not None
        assert exposure.halo_cd_m2 is not None
        above, rise = exposure.above, exposure.rise
        behind = exposure.halo_cd_m2 * view.path.troland_per_cd_m2()
    factors = tone.star_factors(
        spots,
        own,
        behind,
        rise=rise,
        least=response.least_star(printed, own.display),
        at_least=star_factors.sparkle(above, printed, own),
    )
    cores = tone.star_cores(spots, factors, own)
    return _StarPrint(factors * spots / peaks_td * seen_fraction(above), cores)
