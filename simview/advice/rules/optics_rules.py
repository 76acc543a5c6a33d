"""The optics: aperture, colour, the shape of the mirror, hidden stops and correctors."""

from __future__ import annotations

from typing import Final

from simview.advice.listing import Listing
from simview.advice.rules.rule import Case, Grade, Outcome, Rule
from simview.advice.speech import N_, Said, joined, length, number, reach, say
from simview.power.rules import ROUNDING
from simview.units import MM_PER_INCH

# Smallest apertures worth buying, mm: common practice, no source.
TOY_MM: Final = 50.0
LENS_MM: Final = 70.0
MIRROR_MM: Final = 100.0

# Focal ratio over aperture in inches at which an achromat's colour is held to be harmless, and
# to be bearable. Source: Conrady, Applied Optics and Optical Design; Sidgwick, Amateur
# Astronomer's Handbook (both from memory).
CONRADY: Final = 5.0
SIDGWICK: Final = 3.0

# Below this the fringes are a caution and not a note: a choice, about f/4.5 for 60 mm and f/7 for
# 90 mm; such "rich-field" lenses serve at low power.
SHORT: Final = 2.0

# Wavelength for wavefront errors, mm.
WAVELENGTH_MM: Final = 550e-6

# Peak-to-valley error at best focus that still counts as good, waves. Source: Rayleigh 1879.
QUARTER_WAVE: Final = 0.25

# Error beyond which no power of use is left, waves: a choice; the Strehl ratio is then below 0.4.
HALF_WAVE: Final = 0.5

# Abbe number of common crown glass (N-BK7). Source: Schott data sheet, 64.17.
CROWN_ABBE: Final = 64.17

# A Newtonian's tube is about as long as its focal length; much shorter means that a lens
# inside stretches it. Common practice, no source.
SHORT_TUBE: Final = 0.75

# Aperture and focal length of short reflectors that usually hold such a lens, mm: common practice.
USUAL_SHORT: Final = frozenset(((114.0, 1000.0), (127.0, 1000.0), (150.0, 1400.0)))


def spherical_error_waves(aperture_mm: float, ratio: float) -> float:
    """Return the wavefront error of a spherical mirror at best focus, peak to valley at 550 nm.

    Source: third-order spherical aberration of a sphere at infinite conjugate,
    W = r^4 / (4 R^3) with R = 2 f, a quarter of which is left at best focus:
    PV = D / (2048 F^3 lambda).
    Checked by: tests/truth/test_trade_rules.py
    """
    return aperture_mm / (2048.0 * ratio**3 * WAVELENGTH_MM)


def colour_index(aperture_mm: float, ratio: float) -> float:
    """Return focal ratio over aperture in inches.

    Source: Conrady; Sidgwick (from memory); common practice.
    Checked by: tests/truth/test_trade_rules.py
    """
    return ratio / (aperture_mm / MM_PER_INCH)


def _aperture(case: Case) -> Outcome | None:
    aperture = case.aperture_mm
    if aperture is None or not case.is_telescope:
        return None
    mirror = case.listing.objective == "mirror" or case.listing.layout in (
        "newtonian",
        "cassegrain",
    )
    floor = MIRROR_MM if mirror and case.listing.layout != "cassegrain" else LENS_MM
    if aperture >= floor:
        return None
    return Outcome(
        grade="stop" if aperture < TOY_MM else "caution",
        says=say(
            _SMALL_MIRROR if mirror else _SMALL_LENS,
            aperture=length(aperture),
            floor=length(floor),
        ),
        arithmetic=f"({aperture:g} / 7 mm)² = {(aperture / 7.0) ** 2:.0f}×;"
        f" 116 / {aperture:g} = {116.0 / aperture:.1f}″",
    )


_SMALL_LENS: Final = N_(
    "The aperture, {aperture}, decides how faint and how fine the things are that a telescope"
    " shows. A lens of less than about {floor} soon disappoints; binoculars for the same money are"
    " easier to use and show far more sky at once."
)
_SMALL_MIRROR: Final = N_(
    "The aperture, {aperture}, decides how faint and how fine the things are that a telescope"
    " shows. A mirror of less than about {floor} soon disappoints; binoculars for the same money"
    " are easier to use and show far more sky at once."
)


def _stop(case: Case) -> Outcome | None:
    listing = case.listing
    if listing.stop_mm is not None and listing.aperture_mm is not None:
        if listing.stop_mm >= 0.97 * listing.aperture_mm:
            return None
        share = (listing.stop_mm / listing.aperture_mm) ** 2
        return Outcome(
            grade="caution",
            says=say(
                "A ring inside the tube lets only {stop} of the advertised {aperture} work: {share}"
                " % of the light.",
                stop=length(listing.stop_mm),
                aperture=length(listing.aperture_mm),
                share=number(100.0 * share),
            ),
            arithmetic=f"({listing.stop_mm:g} / {listing.aperture_mm:g})² = {share:.2f}",
        )
    lens = listing.layout == "refractor" and listing.objective in (None, "singlet")
    small = listing.aperture_mm is not None and listing.aperture_mm <= 60.0
    if not (lens and small):
        return None
    return Outcome(
        grade="note",
        says=say(
            "Small lens telescopes that do not name their lens often hide a ring behind it, so that"
            " less of it works. To test: shine a torch into the eyepiece and measure the disc of"
            " light on the front lens."
        ),
    )


def _singlet(case: Case) -> Outcome | None:
    ratio, focal = case.ratio, case.focal_length_mm
    if case.listing.objective != "singlet" or ratio is None or focal is None:
        return None
    spread = focal / CROWN_ABBE
    depth = 2.0 * WAVELENGTH_MM * ratio**2
    return Outcome(
        grade="stop",
        says=say(
            "The front is a single lens. It brings red and blue to a focus {spread} mm apart, where"
            " sharpness allows {depth} mm either way: everything wears broad coloured fringes.",
            spread=number(spread),
            depth=number(depth, 1),
        ),
        arithmetic=f"{focal:g} mm / {CROWN_ABBE:.0f} = {spread:.1f} mm; 2 × 0.00055 × {ratio:.3g}²"
        f" = {depth:.2g} mm",
    )


def _plastic(case: Case) -> Outcome | None:
    if not case.listing.plastic_optics:
        return None
    return Outcome(
        grade="stop",
        says=say(
            "Plastic lenses are named. They cannot be made or kept to the ten-thousandth of a"
            " millimetre that a telescope needs."
        ),
    )


def _colour(case: Case) -> Outcome | None:
    listing = case.listing
    lens = listing.layout == "refractor" and listing.objective in (None, "achromat")
    aperture, focal = case.aperture_mm, case.focal_length_mm
    if not lens or aperture is None or focal is None:
        return None
    ratio = focal / aperture  # a stop inside makes it slower
    index = colour_index(aperture, ratio)
    if index >= CONRADY:
        return None
    return Outcome(
        grade="caution" if index < SHORT else "note",
        says=say(
            "A lens of {aperture} at f/{ratio} shows {fringe} around the Moon, planets and bright"
            " stars. {use}",
            aperture=length(aperture),
            ratio=float(f"{ratio:.2g}"),
            fringe=_fringe(index),
            use=say("It is good at low power, less so for planets.")
            if index < SHORT
            else say("Most people soon forget it."),
        ),
        arithmetic=f"{ratio:.3g} / {aperture / MM_PER_INCH:.2f} = {index:.2f} < {CONRADY:g}"
        f" (Conrady), {SIDGWICK:g} (Sidgwick)",
    )


def _fringe(index: float) -> Said:
    if index >= SIDGWICK:
        return say("a faint violet rim")
    return say("clear violet fringes") if index < SHORT else say("a violet rim")


def _sphere(case: Case) -> Outcome | None:
    listing = case.listing
    aperture, ratio = listing.aperture_mm, case.ratio
    mirror = listing.layout == "newtonian" or (
        listing.objective == "mirror" and listing.layout is None
    )
    if (
        not mirror
        or aperture is None
        or ratio is None
        or has_corrector(listing, case.focal_length_mm)
    ):
        return None
    if listing.mirror == "parabolic":
        return None
    if listing.spherical_waves is not None:
        return _measured(abs(listing.spherical_waves))
    error = spherical_error_waves(aperture, ratio)
    # "Wrong by 1.0 times what is allowed" tells nobody anything.
    if error <= ROUNDING * QUARTER_WAVE:
        return None
    told = listing.mirror == "spherical"
    grade: Grade = "note" if not told else "stop" if error > HALF_WAVE else "caution"
    form = _TOLD_SPHERE if told else _UNTOLD_SPHERE
    return Outcome(
        grade=grade,
        says=say(
            form,
            aperture=length(aperture),
            ratio=_as_said(ratio, listing.focal_ratio),
            times=_wrong(error),
        ),
        arithmetic=f"{aperture:g} mm / (2048 × {ratio:.3g}³ × 0.00055 mm) = {error:.2f} λ"
        f" > {QUARTER_WAVE:g} λ",
    )


_TOLD_SPHERE: Final = N_(
    "The mirror is spherical. At {aperture} and f/{ratio} that shape is wrong by {times} what a"
    " good mirror is allowed: planets stay soft at any power."
)
_UNTOLD_SPHERE: Final = N_(
    "The shape of the mirror is not named. Ask whether it is parabolic: a spherical mirror of"
    " {aperture} at f/{ratio} would be wrong by {times} what a good one is allowed."
)


def _as_said(ratio: float, said: float | None) -> float:
    """Return the f-ratio as the offer has it, where its lengths do not contradict it."""
    if said is not None and abs(said / ratio - 1.0) < ROUNDING - 1.0:
        ratio = said
    return float(f"{ratio:.2g}")


def _wrong(error_waves: float) -> Said:
    """Return how many quarter waves an error is, as people say it."""
    times = error_waves / QUARTER_WAVE
    return say("{count} times", count=number(times, 1 if times < 3.0 else 0))


def _measured(error: float) -> Outcome | None:
    if error <= QUARTER_WAVE:
        return None
    return Outcome(
        grade="stop" if error > HALF_WAVE else "caution",
        says=say(
            "The optics were measured: they are wrong by {times} what good ones are allowed.",
            times=_wrong(error),
        ),
        arithmetic=f"{error:.2f} λ > {QUARTER_WAVE:g} λ",
    )


def has_corrector(listing: Listing, focal_mm: float | None) -> bool:
    """Return whether a lens in the focuser is named, or betrayed by a short tube."""
    return listing.corrector or is_short(listing, focal_mm)


def is_short(listing: Listing, focal_mm: float | None) -> bool:
    """Return whether a Newtonian's tube is much shorter than its focal length."""
    if listing.layout != "newtonian" or listing.tube_length_mm is None or focal_mm is None:
        return False
    return listing.tube_length_mm < SHORT_TUBE * focal_mm


def _corrector(case: Case) -> Outcome | None:
    listing, focal = case.listing, case.focal_length_mm
    if has_corrector(listing, focal):
        short = is_short(listing, focal)
        inside = say(
            "Such a short reflector holds a lens in the focuser that stretches a fast spherical"
            " mirror (often called a Bird-Jones). Cheaply made ones are hard to adjust and never"
            " quite sharp."
        )
        if not short or listing.tube_length_mm is None or focal is None:
            return Outcome(grade="caution", says=inside)
        told = say(
            "The tube is {tube} long, the focal length {focal}.",
            tube=reach(listing.tube_length_mm / 10.0),
            focal=reach(focal / 10.0),
        )
        return Outcome(
            grade="caution",
            says=joined((told, inside)),
            arithmetic=f"{listing.tube_length_mm:g} / {focal:g} ="
            f" {listing.tube_length_mm / focal:.2f}",
        )
    usual = (listing.aperture_mm, focal) in USUAL_SHORT
    if listing.layout != "newtonian" or not usual or listing.tube_length_mm is not None:
        return None
    return Outcome(
        grade="note",
        says=say(
            "Reflectors of {aperture} mm and {focal} mm are often short tubes with a lens in the"
            " focuser, and seldom sharp. Ask how long the tube is: about {tube} would be a"
            " plain, good design.",
            aperture=number(listing.aperture_mm or 0.0),
            focal=number(focal or 0.0),
            tube=reach((focal or 0.0) / 10.0),
        ),
    )


_FORMULA: Final = say(
    "wavefront error of a sphere, D / (2048 F³ λ) at best focus; quarter wave: Rayleigh 1879"
)

RULES: Final = (
    Rule(
        name="aperture",
        title=say("The aperture"),
        label="common practice",
        cites=say("no single source; about 70 mm for a lens, 100 mm for a mirror"),
        changes_mind=say("A larger aperture."),
        weigh=_aperture,
    ),
    Rule(
        name="internal stop",
        title=say("A ring inside"),
        label="common practice",
        cites=say("no single source; the torch test measures it"),
        changes_mind=say("A disc of light on the front lens as wide as the lens itself."),
        weigh=_stop,
    ),
    Rule(
        name="single lens",
        title=say("A single lens"),
        label="formula",
        cites=say(
            "focus of F and C differs by f / Abbe number (N-BK7: 64); depth of focus ±2 λ F²"
        ),
        changes_mind=say("An achromatic (two-lens) objective."),
        weigh=_singlet,
    ),
    Rule(
        name="plastic optics",
        title=say("Plastic optics"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("Glass."),
        weigh=_plastic,
    ),
    Rule(
        name="colour",
        title=say("Coloured fringes"),
        label="published source",
        cites=say(
            "Conrady, Applied Optics and Optical Design; Sidgwick, Amateur Astronomer's Handbook"
            " (criteria from memory)"
        ),
        changes_mind=say("A slower f-ratio, a smaller lens, an apochromat or a mirror."),
        weigh=_colour,
    ),
    Rule(
        name="spherical mirror",
        title=say("The mirror's shape"),
        label="formula",
        cites=_FORMULA,
        changes_mind=say("A parabolic mirror, or a slower f-ratio."),
        weigh=_sphere,
    ),
    Rule(
        name="built-in corrector",
        title=say("A lens in the focuser"),
        label="common practice",
        cites=say("no single source"),
        changes_mind=say("A tube about as long as the focal length."),
        weigh=_corrector,
    ),
)
