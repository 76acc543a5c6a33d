"""A telescope from its two numbers: "150/750" on a tube is enough to look through it.

What the numbers leave open is filled with what such telescopes usually have. All of it is common
practice, no source, unless a line says otherwise; whoever knows better writes a kit file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from simview.errors import ChoiceError, RangeError, SimviewError, nearest, require_range
from simview.kit import Diagonal, Eyepiece, Kit, Layout, Mount, MountKind, Objective, Telescope
from simview.units import MM_PER_INCH

Kind = Literal[
    "newtonian", "refractor", "apochromat", "maksutov", "schmidt-cassegrain", "cassegrain"
]

# What people write -> which kind is meant.
WORDS: Final[dict[str, Kind]] = {
    "newtonian": "newtonian",
    "newton": "newtonian",
    "reflector": "newtonian",
    "tabletop": "newtonian",
    "rocker": "newtonian",
    "dobson": "newtonian",
    "dobsonian": "newtonian",
    "dob": "newtonian",
    "refractor": "refractor",
    "achromat": "refractor",
    "lens": "refractor",
    "apochromat": "apochromat",
    "apo": "apochromat",
    "maksutov": "maksutov",
    "mak": "maksutov",
    "schmidt-cassegrain": "schmidt-cassegrain",
    "sct": "schmidt-cassegrain",
    "sc": "schmidt-cassegrain",
    "cassegrain": "cassegrain",
}

# On rocker bases stand those whose word says so.
_ROCKERS: Final = ("tabletop", "rocker", "dobson", "dobsonian", "dob")

# Height of the focal plane above the tube of a Newtonian, with the tube's wall, mm, and the field
# that its secondary lights fully, mm.
_FOCUS_ABOVE_TUBE_MM: Final = 90.0
_LIT_FIELD_MM: Final = 8.0

# Where no kind is said. Lenses of these apertures are sold in number, mm; below the least mirror
# nothing else is. From these focal ratios on it is a folded telescope.
_LENSES_MM: Final = (80.0, 90.0, 100.0, 102.0, 120.0)
_LEAST_MIRROR_MM: Final = 76.0
_MAKSUTOV_RATIO: Final = 11.5
FOLDED_RATIO: Final = 9.6

# Slowest and fastest that is taken for a telescope.
_RATIOS: Final = (2.0, 40.0)

_EYEPIECES_MM: Final = (25.0, 10.0)

# A number, perhaps of inches.
_NUMBER: Final = r"(\d+(?:[.,]\d+)?)"
_SIZE: Final = re.compile(
    rf"^(?P<word>[a-z][a-z -]*?)?\s*{_NUMBER}\s*(?P<unit>mm|in|inch|\"|″|”)?\s*"
    rf"(?:(?:/|x|×|,)\s*{_NUMBER}(?:\s*mm)?|(?:,?\s*f\s*/?\s*){_NUMBER})$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What is usual for one kind of telescope.

    Parameters
    ----------
    title
        For labels.
    layout, objective, transmission
        As in a kit file.
    obstruction
        None where it follows from the numbers.
    diagonal
        True where the light leaves at the back, and a star diagonal bends it.
    """

    title: str
    layout: Layout
    objective: Objective
    transmission: float
    obstruction: float | None
    diagonal: bool


_USUAL: Final[dict[Kind, Usual]] = {
    "newtonian": Usual(
        title="Newtonian",
        layout="newtonian",
        objective="mirror",
        transmission=0.82,
        obstruction=None,
        diagonal=False,
    ),
    "refractor": Usual(
        title="Refractor",
        layout="refractor",
        objective="achromat",
        transmission=0.90,
        obstruction=0.0,
        diagonal=True,
    ),
    "apochromat": Usual(
        title="Apochromatic refractor",
        layout="refractor",
        objective="apochromat",
        transmission=0.92,
        obstruction=0.0,
        diagonal=True,
    ),
    "maksutov": Usual(
        title="Maksutov-Cassegrain",
        layout="maksutov",
        objective="mirror",
        transmission=0.80,
        obstruction=0.33,
        diagonal=True,
    ),
    "schmidt-cassegrain": Usual(
        title="Schmidt-Cassegrain",
        layout="schmidt-cassegrain",
        objective="mirror",
        transmission=0.80,
        obstruction=0.35,
        diagonal=True,
    ),
    "cassegrain": Usual(
        title="Classical Cassegrain",
        layout="cassegrain",
        objective="mirror",
        transmission=0.80,
        obstruction=0.33,
        diagonal=True,
    ),
}


def is_starter(text: str) -> bool:
    """Tell whether a text is a telescope's two numbers, such as "mak 127/1500" or "8 inch f/6".

    A kind with one letter wrong counts; other words before the numbers do not.
    """
    found = _SIZE.match(" ".join(text.split()))
    if found is None:
        return False
    word = _word(found)
    return word == "" or word in WORDS or nearest(word, WORDS) is not None


def _word(found: re.Match[str]) -> str:
    return (found["word"] or "").strip().lower().replace(" ", "-")


def starter(text: str) -> tuple[Kit, str]:
    """Return the telescope that its two numbers mean, and what was taken for granted.

    Parameters
    ----------
    text
        Aperture and focal length in mm, ``"150/750"``, or aperture and focal ratio, ``"8 inch
        f/6"``; before them perhaps a kind, ``"mak 127/1500"`` (`WORDS`).

    Returns
    -------
    tuple of Kit and str
        Its optics without a fault, a 25 mm and a 10 mm Plössl; and a sentence.

    Raises
    ------
    SimviewError
        For a text that is no such thing, an unknown kind, or a size that no telescope has.

    Examples
    --------
    >>> from simview.starters import starter
    >>> kit, taken = starter("mak 127/1500")
    >>> kit.name, kit.layout, round(kit.telescope.focal_ratio, 1)
    ('Maksutov-Cassegrain 127/1500', 'maksutov', 11.8)
    """
    found = _SIZE.match(" ".join(text.split()))
    if found is None:
        raise SimviewError(
            "telescope",
            got=text,
            allowed="aperture/focal length in mm, perhaps after a kind",
            remedy='as in 150/750, "mak 127/1500" or "8 inch f/6"',
        )
    aperture, focal = _lengths(found)
    word = _word(found)
    kind = _kind(word) if word else _likely(aperture, focal)
    kit = _kit(kind, aperture, focal, rocker=word in _ROCKERS)
    taken = f"{text.strip()} is taken for {_article(_USUAL[kind].title)}" if not word else kit.name
    return kit, (
        f"{taken} with a 25 mm and a 10 mm Plössl and optics without a fault;"
        " a kit file can say more"
    )


def _lengths(found: re.Match[str]) -> tuple[float, float]:
    """Return aperture and focal length in mm."""
    numbers = [each.replace(",", ".") for each in found.groups()[1:] if each]
    inches = found["unit"] is not None and found["unit"].lower() != "mm"
    values = [float(each) for each in numbers if re.fullmatch(r"[\d.]+", each)]
    aperture = values[0] * (MM_PER_INCH if inches else 1.0)
    by_ratio = found.group(found.re.groups) is not None
    focal = values[1] * aperture if by_ratio else values[1]
    require_range("aperture_mm", aperture, 20.0, 1000.0, unit="mm")
    _check_ratio(focal / aperture, exchangeable=not by_ratio)
    return aperture, focal


def _check_ratio(ratio: float, *, exchangeable: bool) -> None:
    """Refuse what is no telescope, or was written the wrong way round."""
    low, high = _RATIOS
    try:
        require_range("focal ratio", ratio, low, high)
    except RangeError as error:
        if not (exchangeable and ratio > 0.0 and low <= 1.0 / ratio <= high):
            raise
        raise RangeError(
            error.what,
            got=error.got,
            allowed=error.allowed,
            remedy="are the two numbers exchanged? The aperture comes first, as in 150/750",
        ) from None


def _kind(word: str) -> Kind:
    if word not in WORDS:
        near = nearest(word, WORDS)
        raise ChoiceError(
            "kind of telescope",
            got=word,
            allowed=", ".join(WORDS),
            remedy=f"did you mean {near!r}?" if near else "",
        )
    return WORDS[word]


def _likely(aperture_mm: float, focal_mm: float) -> Kind:
    """Return which kind is sold most with these numbers."""
    ratio = focal_mm / aperture_mm
    if aperture_mm < _LEAST_MIRROR_MM:
        return "refractor"
    if ratio >= _MAKSUTOV_RATIO and aperture_mm >= _LENSES_MM[1]:
        return "maksutov"
    if any(abs(aperture_mm - each) < 1.0 for each in _LENSES_MM):
        return "refractor"
    return "schmidt-cassegrain" if ratio >= FOLDED_RATIO else "newtonian"


def _kit(kind: Kind, aperture_mm: float, focal_mm: float, *, rocker: bool) -> Kit:
    usual = _USUAL[kind]
    newtonian = kind == "newtonian"
    obstruction = usual.obstruction
    if obstruction is None:
        obstruction = secondary_mm(aperture_mm, focal_mm) / aperture_mm
    return Kit(
        telescope=Telescope(
            aperture_mm=aperture_mm,
            focal_length_mm=focal_mm,
            objective=usual.objective,
            obstruction=obstruction,
            vanes=4 if newtonian or kind == "cassegrain" else 0,
            vane_mm=1.0 if newtonian or kind == "cassegrain" else 0.0,
            transmission=usual.transmission,
        ),
        eyepieces=tuple(Eyepiece(focal_length_mm=each) for each in _EYEPIECES_MM),
        diagonal=Diagonal(kind="star") if usual.diagonal else None,
        mount=_mount("rocker" if rocker or (newtonian and aperture_mm >= 200.0) else "altazimuth"),
        name=f"{usual.title} {aperture_mm:.4g}/{focal_mm:.4g}",
        layout=usual.layout,
    )


def secondary_mm(aperture_mm: float, focal_length_mm: float) -> float:
    """Return the minor axis of the diagonal mirror that a Newtonian needs.

    The cone of light where the mirror stands: (distance to the focus) / focal ratio, and the field
    lit fully. Source: by similar triangles; Texereau (1984, ch. 4) has the same.
    """
    distance = 0.5 * aperture_mm + _FOCUS_ABOVE_TUBE_MM
    lit = _LIT_FIELD_MM * (1.0 - distance / focal_length_mm)
    return min(distance * aperture_mm / focal_length_mm + max(lit, 0.0), 0.5 * aperture_mm)


def _mount(kind: MountKind) -> Mount:
    if kind == "rocker":
        return Mount(kind=kind, tap_arcsec=60.0, frequency_hz=6.0, damping=0.06)
    return Mount(kind=kind, tap_arcsec=60.0, frequency_hz=5.0, damping=0.04)


def _article(title: str) -> str:
    return f"{'an' if title[0] in 'AEIOU' else 'a'} {title}"
