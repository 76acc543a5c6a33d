"""The optics: aperture, colour, the shape of the mirror, hidden stops and correctors."""

from __future__ import annotations

import math
from typing import Final

from simview.advice.rules.rule import Case, Grade, Outcome, Rule, inches
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
    kind = "mirror" if mirror else "lens"
    return Outcome(
        grade="stop" if aperture < TOY_MM else "caution",
        says=f"The aperture is {inches(aperture)}. It decides how faint and how fine a"
        " telescope shows;"
        f" below about {inches(floor)} for a {kind} a telescope soon disappoints, and"
        " binoculars for the"
        " same money show more.",
        arithmetic=f"light of ({aperture:g} / 7 mm)² = {(aperture / 7.0) ** 2:.0f} eyes; finest"
        " detail"
        f" 116 / {aperture:g} = {116.0 / aperture:.1f} arcseconds",
    )


def _stop(case: Case) -> Outcome | None:
    listing = case.listing
    if listing.stop_mm is not None and listing.aperture_mm is not None:
        if listing.stop_mm >= 0.97 * listing.aperture_mm:
            return None
        share = (listing.stop_mm / listing.aperture_mm) ** 2
        return Outcome(
            grade="caution",
            says=f"A ring inside the tube lets only {inches(listing.stop_mm)} of the advertised"
            f" {inches(listing.aperture_mm)} work: {share:.0%} of the light.",
            arithmetic=f"({listing.stop_mm:g} / {listing.aperture_mm:g})² = {share:.2f}",
        )
    lens = listing.layout == "refractor" and listing.objective in (None, "singlet")
    small = listing.aperture_mm is not None and listing.aperture_mm <= 60.0
    if not (lens and small):
        return None
    return Outcome(
        grade="note",
        says="Small lens telescopes that do not name their lens often hide a ring behind it"
        " that makes"
        " the working aperture smaller. To test: shine a torch into the eyepiece and"
        " measure the disc"
        " of light on the front lens.",
    )


def _singlet(case: Case) -> Outcome | None:
    ratio, focal = case.ratio, case.focal_length_mm
    if case.listing.objective != "singlet" or ratio is None or focal is None:
        return None
    spread = focal / CROWN_ABBE
    depth = 2.0 * WAVELENGTH_MM * ratio**2
    return Outcome(
        grade="stop",
        says=f"The front is a single lens. It brings red and blue together {spread:.1f} mm"
        " apart, where"
        f" sharpness allows ±{depth:.2g} mm: everything wears broad coloured fringes.",
        arithmetic=f"{focal:g} mm / {CROWN_ABBE:.0f} = {spread:.1f} mm; 2 × 0.00055 × {ratio:.3g}²"
        " ="
        f" {depth:.2g} mm",
    )


def _plastic(case: Case) -> Outcome | None:
    if not case.listing.plastic_optics:
        return None
    return Outcome(
        grade="stop",
        says="Plastic lenses are named. They cannot be made or kept to the millionths of a"
        " metre that a"
        " telescope needs.",
    )


def _colour(case: Case) -> Outcome | None:
    listing = case.listing
    lens = listing.layout == "refractor" and listing.objective in (None, "achromat")
    aperture, ratio = case.aperture_mm, case.ratio
    focal = case.focal_length_mm
    if not lens or aperture is None or ratio is None or focal is None:
        return None
    ratio = focal / aperture  # a stop inside makes it slower
    index = colour_index(aperture, ratio)
    if index >= CONRADY:
        return None
    much = index < SHORT
    strength = "clear violet fringes" if much else "a violet rim"
    if index >= SIDGWICK:
        strength = "a faint violet rim"
    return Outcome(
        grade="caution" if much else "note",
        says=f"A lens of {inches(aperture)} at f/{ratio:.3g} shows {strength} around the Moon,"
        " planets and"
        " bright stars. To be free of it such a lens would have to be"
        f" f/{CONRADY * aperture / 25.4:.0f};"
        f" f/{SIDGWICK * aperture / 25.4:.0f} is held to be bearable."
        + (" It is good at low power, not for planets." if much else ""),
        arithmetic=f"{ratio:.3g} / {aperture / MM_PER_INCH:.2f} in = {index:.2f}; Conrady asks for"
        f" {CONRADY:g}, Sidgwick for {SIDGWICK:g}",
    )


def _sphere(case: Case) -> Outcome | None:
    listing = case.listing
    aperture, ratio = listing.aperture_mm, case.ratio
    mirror = listing.layout == "newtonian" or (
        listing.objective == "mirror" and listing.layout is None
    )
    if not mirror or aperture is None or ratio is None or _has_corrector(case):
        return None
    if listing.mirror == "parabolic":
        return None
    if listing.spherical_waves is not None:
        return _measured(abs(listing.spherical_waves))
    error = spherical_error_waves(aperture, ratio)
    if error <= QUARTER_WAVE:
        return None
    told = listing.mirror == "spherical"
    strehl = math.exp(-((2.0 * math.pi * error / 3.3541) ** 2))
    sharp = f", a sharpness (Strehl ratio) of about {strehl:.2f}" if error <= 0.5 else ""
    says = (
        f"The mirror is spherical. At {inches(aperture)} and f/{ratio:.3g} that bends the"
        " wavefront by"
        f" {error:.2f} waves at best focus{sharp}; good is a quarter wave. Planets stay"
        " soft at any power."
        if told
        else f"The shape of the mirror is not named. Ask for a parabolic one: a spherical mirror of"
        f" {inches(aperture)} at f/{ratio:.3g} would be {error:.2f} waves out at best"
        " focus, and good is a"
        " quarter wave."
    )
    grade: Grade = "note" if not told else "stop" if error > HALF_WAVE else "caution"
    return Outcome(
        grade=grade,
        says=says,
        arithmetic=f"{aperture:g} mm / (2048 × {ratio:.3g}³ × 0.00055 mm) = {error:.2f} waves",
    )


def _measured(error: float) -> Outcome | None:
    if error <= QUARTER_WAVE:
        return None
    return Outcome(
        grade="stop" if error > HALF_WAVE else "caution",
        says=f"The optics are {error:.2f} waves out (spherical); good is a quarter wave.",
        arithmetic=f"{error:.2f} against {QUARTER_WAVE:g}",
    )


def _has_corrector(case: Case) -> bool:
    listing = case.listing
    return listing.corrector or _is_short(case)


def _is_short(case: Case) -> bool:
    listing, focal = case.listing, case.focal_length_mm
    newtonian = listing.layout == "newtonian"
    if not newtonian or listing.tube_length_mm is None or focal is None:
        return False
    return listing.tube_length_mm < SHORT_TUBE * focal


def _corrector(case: Case) -> Outcome | None:
    listing, focal = case.listing, case.focal_length_mm
    if _has_corrector(case):
        short = (
            f"The tube is {listing.tube_length_mm:g} mm long, the focal length {focal:g} mm. "
            if _is_short(case)
            else ""
        )
        return Outcome(
            grade="caution",
            says=f"{short}Such a short reflector holds a lens in the focuser that stretches a fast"
            " spherical mirror (often called a Bird-Jones). Cheaply made ones are hard to"
            " adjust and"
            " never quite sharp.",
            arithmetic=f"{listing.tube_length_mm:g} / {focal:g} ="
            f" {listing.tube_length_mm / focal:.2f}"
            if listing.tube_length_mm and focal and short
            else "",
        )
    usual = (listing.aperture_mm, focal) in USUAL_SHORT
    if listing.layout != "newtonian" or not usual or listing.tube_length_mm is not None:
        return None
    return Outcome(
        grade="note",
        says=f"Reflectors of {listing.aperture_mm:g} mm and {focal:g} mm are often short tubes"
        " with a lens"
        " in the focuser that stretches a fast spherical mirror, and are seldom sharp."
        " Ask how long the"
        f" tube is: about {(focal or 0.0) / 10:.0f} cm would be a plain, good design.",
    )


_FORMULA: Final = (
    "wavefront error of a sphere, D / (2048 F³ λ) at best focus; quarter wave: Rayleigh 1879"
)

RULES: Final = (
    Rule(
        name="aperture",
        label="common practice",
        cites="no single source; about 70 mm for a lens, 100 mm for a mirror",
        changes_mind="A larger aperture.",
        weigh=_aperture,
    ),
    Rule(
        name="internal stop",
        label="common practice",
        cites="no single source; the torch test measures it",
        changes_mind="A disc of light on the front lens as wide as the lens itself.",
        weigh=_stop,
    ),
    Rule(
        name="single lens",
        label="formula",
        cites="focus of F and C differs by f / Abbe number (N-BK7: 64); depth of focus ±2 λ F²",
        changes_mind="An achromatic (two-lens) objective.",
        weigh=_singlet,
    ),
    Rule(
        name="plastic optics",
        label="common practice",
        cites="no single source",
        changes_mind="Glass.",
        weigh=_plastic,
    ),
    Rule(
        name="colour",
        label="published source",
        cites="Conrady, Applied Optics and Optical Design; Sidgwick, Amateur Astronomer's Handbook"
        " (criteria from memory)",
        changes_mind="A slower f-ratio, a smaller lens, an apochromat or a mirror.",
        weigh=_colour,
    ),
    Rule(
        name="spherical mirror",
        label="formula",
        cites=_FORMULA,
        changes_mind="A parabolic mirror, or a slower f-ratio.",
        weigh=_sphere,
    ),
    Rule(
        name="built-in corrector",
        label="common practice",
        cites="no single source",
        changes_mind="A tube about as long as the focal length.",
        weigh=_corrector,
    ),
)
