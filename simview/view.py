"""follow(): the whole light path in order, and nothing else."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simview.air import glow, level
from simview.air.conditions import conditions
from simview.errors import require_choice
from simview.eye import clarity, state
from simview.eye.acuity import critical_angle_arcsec
from simview.eye.eye_faults import with_eye_faults
from simview.eye.filters import filtered
from simview.eye.glare import Veil, veil_of
from simview.eye.kernels import Grid, Planes, Sharp, widened, width_px
from simview.eye.retina import Exposure, Hues, Retina, convolve, even_light
from simview.eye.scatter import beam_pupil
from simview.eye.state import POINT_ACUITY_ARCSEC, STAR_SPOT_ARCSEC
from simview.eye.system import BANDS, FWHM_PER_SIGMA, LightPath
from simview.eyepiece import traced as glasswork
from simview.eyepiece.beam import Beam
from simview.eyepiece.lensfigures import EyepieceFigures
from simview.eyepiece.train import beam as form_beam
from simview.kit import Kit, Observer, Sky
from simview.power import figures, multiple
from simview.record import require_list, require_type
from simview.scene.aiming import aimed
from simview.scene.milky_way import starlight, starlit
from simview.scene.planet_colours import MOON_AGAINST_SUNLIGHT
from simview.scene.scene import Scene, Target
from simview.scene.spectrum import LINES_RGB, band_centres_nm
from simview.scene.star_colour import SUN_K, rgb_of_temperature
from simview.scene.targets import as_target
from simview.telescope.exposure import ENGINES, Engine

# Apparent diameter of the middle of the field in which no eyepiece's faults show, deg. A choice:
# a Huygens, the worst of them, blurs by less than the eye itself 4 deg from the axis.
MIDDLE_DEG: Final = 8.0

# Bands of light that an eyepiece is traced in.
GLASS_BANDS: Final = 9


# Pixels per degree of apparent angle, and pixels across at the most, on which a field is painted
# for the light that it scatters in the eye, where no wide panel has been painted anyway.
VEIL_SCALE: Final = 6.0
VEIL_PIXELS: Final = 360.0

# Views may be exposed side by side, and the program's own targets painted so; those of a caller's
# own one after another: what they do need not be safe between threads.
_painting = threading.Lock()


# A star's image in a picture, with its skirts, is so many times as wide as its middle: a disc that
# is no wider is drawn as a star. Choice.
_DOT: Final = 1.5

# How much farther a star reaches that is drawn as a dot, in the dot's widths, see
# `kernels.widened`: more than that widens it by.
_DOTS_REACH: Final = 6.0

# Retinal light of a small disc, troland, from which on any picture draws it as one. Choice.
_BRIGHT_TD: Final = 150.0


# An eye takes the mean light of what fills its view for white (Buchsbaum 1980, J. Franklin Inst.
# 310, 1; memory), not that of a small object in the dark: none of one that is the first of these
# wide at the eye, deg, all of one that is the second. Choices; observers call the Moon grey and
# white at the telescope, yellowish to the naked eye.
_FILLS_DEG: Final = (0.5, 5.0)


# Targets whose detail stands well above what an eye just sees.
_BRIGHT_KINDS: Final = ("planet", "moon")

# Luminance in which nerves blur least, as good as: cd/m2. Choice, that of a lit page or screen.
_DAYLIGHT_CD_M2: Final = 100.0


@dataclass(frozen=True, kw_only=True, repr=False)
class View:
    """One look through one instrument at one object.

    Parameters
    ----------
    path
        What lies between the object and the retina.
    eye
        How the observer's eye is set for this view: pupil, luminance, acuity.
    traced
        True where the eyepiece's glass shapes the view off the middle.
    looks_at
        Of a double that is several close pairs: which of them the eye rests on.
    """

    kit: Kit
    target: Target
    observer: Observer
    path: LightPath
    eye: state.EyeState
    traced: bool = True
    looks_at: int = 0

    def __repr__(self) -> str:
        seen = f"{self.beam.power:.4g}x, exit pupil {self.beam.exit_pupil_mm:.2g} mm"
        kit = self.kit.name or self.kit.kind
        return f"<{type(self).__name__}: {self.target.name} through {kit} at {seen}>"

    @property
    def beam(self) -> Beam:
        """First-order figures: power, exit pupil, fields."""
        return self.path.beam

    @property
    def sky(self) -> Sky:
        """The air and the sky's light."""
        return self.path.sky

    @cached_property
    def points_path(self) -> LightPath:
        """The light path of stars: nerves blur a faint glow, but no point that stands out.

        A pair is drawn as it is judged: with a gap, or with the blur that leaves none.
        """
        acuity = min(self.path.acuity_arcsec, POINT_ACUITY_ARCSEC)
        double = self.target.kind == "double"
        if double:
            drawn = multiple.drawn_pairs(self.path, self.eye, self.observer, self.target)
            if drawn:
                acuity = 60.0 * FWHM_PER_SIGMA * drawn[self.looks_at].nerves_arcmin
        if acuity == self.path.acuity_arcsec and not double:
            return self.path
        return replace(self.path, acuity_arcsec=acuity, points=double)

    @cached_property
    def surfaces_path(self) -> LightPath:
        """The light path of surfaces as they are seen: on planets and Moon without nerves' blur.

        What stands well above threshold is seen with the contrast that it has, though nerves blur
        fine detail: the brain gives it back (contrast constancy: Georgeson & Sullivan 1975, J.
        Physiol. 252, 627; memory). What dim light blurs further stays: constancy holds up to 8
        cycles/deg down to 2 cd/m2, but not at 16 (Peli, Arend & Labianca 1996, J. Opt. Soc. Am. A
        13, 1953). The eye's optics take nothing in beams of up to 1.1 mm (`eye.optics`).

        Checked by: tests/truth/test_saturn_in_print.py
        """
        if self.target.kind not in _BRIGHT_KINDS:
            return self.path
        bright = float(critical_angle_arcsec(_DAYLIGHT_CD_M2, self.observer.acuity))
        left = math.sqrt(max(self.path.acuity_arcsec**2 - bright**2, 0.0))
        return replace(self.path, acuity_arcsec=left)

    @property
    def hues(self) -> Hues:
        """How the hue of surfaces is seen, see `Retina`: clear where it is all in focus."""
        clear = self.target.kind == "planet" and not self.lens_on_planet
        return "clear" if clear else "pooled"

    @property
    def lens_on_planet(self) -> bool:
        """Whether a planet is seen through a lens, whose colours take from its hue."""
        return self.target.kind == "planet" and self.path.scope.objective != "mirror"

    @property
    def spot_arcsec(self) -> float:
        """Diameter of the spot that a star's light fills for the eye, on the sky."""
        width = clarity.width_arcsec(self.points_path)
        return max(width, STAR_SPOT_ARCSEC / self.beam.power)

    @cached_property
    def numbers(self) -> dict[str, float | None]:
        """The figures of this view by their fixed names; None where one has no meaning."""
        return figures.numbers(self.path, self.eye, self.target, self.observer)

    def expose(
        self,
        *,
        pixels_per_degree: float,
        pixels: int,
        star_px: float = 0.0,
        veil: Veil | Callable[[], Veil | None] | None = None,
        at_arcsec: tuple[float, float] = (0.0, 0.0),
        tell_veil: Callable[[Veil | None], None] | None = None,
    ) -> Exposure:
        """Expose `pixels` square (even) about the field's centre, at this apparent scale.

        Parameters
        ----------
        star_px
            The least width of a star's image in pixels of the picture.
        veil
            From an exposure of the whole field, so that a close-up need not paint it again; or
            what waits for one that is under way beside this.
        at_arcsec
            The place in the target that stands in the picture's middle instead of its own, right
            and up; for close-ups.
        tell_veil
            Told the veil as soon as it is known, long before the exposure is; not told one that is
            waited for.
        """
        pixel_arcsec = 3600.0 / (pixels_per_degree * self.beam.power)
        grid = self.path.grid(pixel_arcsec)
        of_surfaces, of_stars = self.surfaces_path, self.points_path
        # First what needs no painting: others may be at it.
        passed = of_surfaces.passed_for((of_surfaces, of_stars), grid)
        alone = self.alone(
            pixel_arcsec, pixels + grid.size, at_arcsec, star_arcsec=_DOT * star_px * pixel_arcsec
        )
        reach = 0.5 * pixel_arcsec * (pixels + grid.size + _DOTS_REACH * star_px)
        with_stars = bool(alone.crowds) or alone.stars.any_within(reach)
        points = lens = passed.kernels(of_surfaces)
        if with_stars and of_stars != of_surfaces:
            points = passed.kernels(of_stars)
        del passed
        between = starlight(alone)
        scene = starlit(alone, between)
        wide = None if any(at_arcsec) else scene
        if not callable(veil):
            veil = veil or self._veil(wide, pixels_per_degree)
            if tell_veil is not None:
                tell_veil(veil)
        background = lens.sum(axis=(1, 2, 3)) * np.float32(glow.luminance_cd_m2(self.sky))
        glass = self._glass(pixels_per_degree, pixels)
        surfaces, sky = self._imaged(alone, lens, grid), background[:, None, None]
        if between is not None:
            surfaces += even_light(between, lens)
        if glass is not None:
            surfaces += sky
            surfaces = glass(surfaces)
            surfaces -= sky
        if callable(veil):
            veil = veil() or self._veil(wide, pixels_per_degree)
        if veil is not None:
            aside = (at_arcsec[0] / pixel_arcsec, -at_arcsec[1] / pixel_arcsec)
            surfaces = veil.over(surfaces, pixels_per_degree=pixels_per_degree, aside_px=aside)
        sharp = None
        if with_stars and width_px(points) < star_px:
            sharp = Sharp(points, star_px, clarity.middle_arcsec2(self.points_path))
        # An even sky scatters as much into each place as out of it: only the object veils.
        surfaces += sky
        return Exposure(
            extended=surfaces,
            fading=self._fading(pixels_per_degree, pixels),
            veil=veil,
            scene=scene,
            lens=lens,
            star_lens=points if sharp is None else widened(points, star_px),
            sharp=sharp,
            spot_arcsec=self.spot_arcsec,
            aside_arcsec=at_arcsec,
            orientation=self.beam.orientation,
            pixels_per_degree=pixels_per_degree,
            eye_pupil_mm=self.beam.eye_pupil_mm,
            glass=glass,
            white=self.white_of(lens.sum(axis=(2, 3))),
            hues=self.hues,
            age_years=self.observer.age_years,
            beam_mm=beam_pupil(self.beam.used_pupil_mm),
        )

    def _imaged(self, scene: Scene, lens: Planes, grid: Grid) -> Planes:
        """Return the scene's surfaces on the retina: smooth spectra, and a nebula's lines."""
        if scene.lines is None:
            return convolve(scene.planes, lens)
        smooth = scene.planes - np.array(LINES_RGB, np.float32)[:, None, None] * scene.lines
        surfaces = convolve(smooth, lens)
        del smooth
        surfaces += convolve(scene.lines[None], self.path.line_kernel(grid))
        return surfaces

    def white_of(self, gains: NDArray[np.floating]) -> tuple[float, float, float]:
        """Return what a white surface in this view's light would send: in the Sun, or by day.

        An eye that has nothing but the Moon's ground before it takes that for white.

        Parameters
        ----------
        gains
            (4, 3) troland of channel for one cd/m2 of primary.
        """
        tint = np.ones(3) if self.target.by_day else rgb_of_temperature(SUN_K)
        if self.target.kind == "moon":
            tint = tint * np.array(MOON_AGAINST_SUNLIGHT) ** self._fills()
        x, y, z = (float(value) for value in gains[:3] @ tint)
        return x, y, z

    def _fills(self) -> float:
        """Return how far the object fills what an eye adapts to: 0 to 1 by its width there."""
        wide = self.target.size_arcsec * self.beam.power / 3600.0
        low, high = (math.log(limit) for limit in _FILLS_DEG)
        return min(max((math.log(max(wide, 1e-9)) - low) / (high - low), 0.0), 1.0)

    def painted(self, pixel_arcsec: float, pixels: int) -> Scene:
        """Return the object, painted at this sampling, the Milky Way between the stars with it."""
        return starlit(self.alone(pixel_arcsec, pixels))

    def alone(
        self,
        pixel_arcsec: float,
        pixels: int,
        at_arcsec: tuple[float, float] = (0.0, 0.0),
        *,
        star_arcsec: float = 0.0,
    ) -> Scene:
        """Return the object, painted at this sampling, without the Milky Way between the stars.

        `star_arcsec` is the least width of a star in the picture.
        """
        with nullcontext() if self.target.by_several else _painting:
            scene = self.target.scene(pixel_arcsec=pixel_arcsec, pixels=pixels, at_arcsec=at_arcsec)
        return self.dotted(scene, star_arcsec)

    def dotted(self, scene: Scene, star_arcsec: float = 0.0) -> Scene:
        """Return the object as it was painted; a disc too small to show as one is a star.

        Too small for the eye, or for a picture whose stars are `star_arcsec` wide; a bright disc is
        seen as one in it all the same, and in its colour.
        """
        dot, light = self.target.dot, self.target.luminance_cd_m2
        if dot is None:
            return scene
        pupil_mm2 = math.pi / 4.0 * self.beam.used_pupil_mm**2
        bright = (light or 0.0) * pupil_mm2 / _BRIGHT_TD
        return dot.drawn(scene, max(self.spot_arcsec, star_arcsec / (1.0 + bright**2)))

    def _glass(self, pixels_per_degree: float, pixels: int) -> Callable[..., Planes] | None:
        """Return what the eyepiece's glass does, None where that would show nowhere.

        In the middle of the field every eyepiece is good; a small object there, or a close-up,
        is left as it is.
        """
        beam = self.beam
        shown = self.glass_figures(pixels_per_degree, pixels)
        if shown is None:
            return None
        return partial(
            glasswork.through_glass,
            pixels_per_degree=pixels_per_degree,
            figures=shown,
            weights=self.path.shares(GLASS_BANDS),
            used_pupil=beam.used_pupil_mm / beam.exit_pupil_mm,
            obstruction=beam.obstruction,
        )

    def _fading(self, pixels_per_degree: float, pixels: int) -> NDArray[np.float32] | None:
        """Return how the eyepiece's glass lets an even field fade towards its edge."""
        shown, beam = self.glass_figures(pixels_per_degree, pixels), self.beam
        if shown is None:
            return None
        used = beam.used_pupil_mm / beam.exit_pupil_mm
        return glasswork.fades(pixels, pixels_per_degree, shown, used_pupil=used)

    def glass_figures(
        self, pixels_per_degree: float, pixels: int, *, near: float = 1.0
    ) -> EyepieceFigures | None:
        """Return the figures of the eyepiece's glass where that shows in such a picture.

        Parameters
        ----------
        near
            Above 1 an imagined eyepiece may be one from a row whose focal lengths differ by this
            factor: designs hardly change with scale, and their figures are found again.
        """
        beam = self.beam
        wide = pixels / pixels_per_degree
        alone = self.target.size_arcsec * beam.power / 3600.0
        if not self.traced or beam.eyepiece is None or min(wide, alone) < MIDDLE_DEG:
            return None
        piece = beam.eyepiece
        if near > 1.0 and not beam.in_the_box:
            steps = round(math.log(piece.focal_length_mm) / math.log(near))
            # Its name tells its own focal length, and would tell two of the same step apart.
            piece = replace(piece, focal_length_mm=max(near**steps, 1.0), name="")
        return glasswork.traced(
            self.path.scope,
            piece,
            factor=beam.factor,
            apparent_field_deg=beam.apparent_field_deg,
        )

    def _veil(self, scene: Scene | None, pixels_per_degree: float) -> Veil | None:
        """Scatter the light of the whole field, taken from this scene if it is wide enough."""
        field = self.beam.apparent_field_deg
        scale = min(VEIL_SCALE, VEIL_PIXELS / field)
        wide = scene is not None and scene.planes.shape[-1] >= field * pixels_per_degree
        if scene is not None and wide and pixels_per_degree >= 0.6 * scale:
            scale = pixels_per_degree
        else:
            pixels = 2 * math.ceil(field * scale / 2.0) + 4
            pixel_arcsec = 3600.0 / (scale * self.beam.power)
            scene = self.painted(pixel_arcsec, pixels)
        if not scene.planes.any():
            return None
        wavelengths = band_centres_nm(BANDS)
        gains = self.path.weights(wavelengths).sum(axis=2).astype(np.float32)
        primaries = veil_of(
            scene.planes,
            pixels_per_degree=scale,
            field_deg=field,
            age_years=self.observer.age_years,
            pupil_mm=beam_pupil(self.beam.used_pupil_mm),
        )
        return replace(primaries, planes=np.tensordot(gains, primaries.planes, axes=1))

    def retina(self, *, pixels_per_degree: float, pixels: int) -> Retina:
        """Return the image on the retina with every star at its true light."""
        return self.expose(pixels_per_degree=pixels_per_degree, pixels=pixels).retina()


def follow(  # noqa: PLR0913 - the public door takes all that the path needs
    kit: Kit,
    target: Target | str,
    *,
    eyepiece: int = 0,
    power: float | None = None,
    amplifiers: Sequence[int] = (),
    sky: Sky | None = None,
    observer: Observer | None = None,
    engine: Engine = "native",
    traced: bool = True,
) -> View:
    """Follow the light from `target` through `kit` to the retina.

    Parameters
    ----------
    target
        What `simview.target` gives, or its name.
    eyepiece, amplifiers
        Which pieces of the kit, counted from 0.
    power
        Asks for a power instead: with the kit's own pieces if they give it, otherwise with an
        imagined eyepiece (then `view.beam.in_the_box` is False).
    engine
        "native" or "poppy", for the telescope's point spread.
    sky, observer
        None takes the kit's own, and the height at which a dated target stands.
    traced
        False leaves out what the eyepiece's glass does off the middle of the field.

    Raises
    ------
    SimviewError
        For an unknown target, a kit whose pieces do not go together, an absurd power.
    """
    require_type("kit", kit, Kit, "a Kit; simview.load_kit reads one from a file")
    require_choice("engine", engine, ENGINES)
    target, before = as_target(target), require_list("amplifiers", amplifiers, "a list of numbers")
    stated, observer = conditions((kit,), target, sky, observer)
    sky = level.sky_before(target, stated)
    # The eye's pupil follows the light that reaches it, and that follows the beam.
    wide = form_beam(kit, eyepiece=eyepiece, amplifiers=before, power=power, eye_pupil_mm=7.0)
    wide = filtered(wide, observer)
    eye = state.settle(wide, target, sky, observer, binocular=kit.kind != "telescope")
    beam = form_beam(
        kit, eyepiece=eyepiece, amplifiers=before, power=power, eye_pupil_mm=eye.pupil_mm
    )
    beam = filtered(beam, observer)
    scope, blur = with_eye_faults(state.objective_of(kit, beam), beam, observer)
    path = LightPath(
        scope=scope,
        beam=beam,
        sky=sky,
        mount=kit.mount,
        acuity_arcsec=eye.acuity_arcsec,
        fault_arcsec=blur,
        engine=engine,
        filter=observer.filter,
    )
    target = level.shown(target, stated, beam.aperture_mm)
    target = aimed(target, 60.0 * beam.true_field_arcmin)
    return View(kit=kit, target=target, observer=observer, path=path, eye=eye, traced=traced)
