"""What stands on the table: the demo's kits, those named on the command line, those dropped."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from simview.demo import PREFIX, kit_names
from simview.errors import ChoiceError, RangeError, SimviewError, nearest
from simview.kit import Kit
from simview.kitfile import KitFile, parse_kit
from simview.kitword import find_kit
from simview.starters import is_starter, starter

if TYPE_CHECKING:
    from simview.advice.stock import Shelf

# The kit that a page begins with where nobody named one.
FIRST: Final = f"{PREFIX}tabletop-150"

# Words of telescopes that were offered begin so.
OFFER: Final = "offer:"
MOST_OFFERS: Final = 200

# Most kits that one page takes beside the demo's. A guard, no property of anything.
MOST_OWN: Final = 60

# Lowest power of the control, times the power of the widest exit pupil that an eye takes, 7 mm.
WIDEST_PUPIL_MM: Final = 7.0


@dataclass(slots=True)
class Table:
    """Kits by the word that names them.

    Parameters
    ----------
    files
        Word -> kit file; the words are those that the command line takes.
    shelf
        The user's own stock, from which alternatives to an offer come; None leaves the demo's.
    """

    files: dict[str, KitFile]
    shelf: Shelf | None = None
    _lock: Lock = field(default_factory=Lock)

    @classmethod
    def laid(
        cls,
        words: Sequence[str],
        shelf: Shelf | None = None,
        read: Callable[[str], KitFile] = find_kit,
    ) -> Table:
        """Return the table with a user's own kits first, then the demo's.

        Parameters
        ----------
        read
            Makes a kit of a word; the command line's takes offers too.

        Raises
        ------
        SimviewError
            For a kit that cannot be read.
        """
        named = [*words, *(f"{PREFIX}{name}" for name in kit_names())]
        return cls({word: read(word) for word in dict.fromkeys(named)}, shelf)

    def first(self) -> str:
        """Return the word of the kit that a page begins with."""
        own = (word for word in self.files if not word.startswith((PREFIX, OFFER)))
        return next(own, FIRST)

    def find(self, word: str) -> KitFile:
        """Return a kit by its word.

        Raises
        ------
        ChoiceError
            For a word that is not on the table.
        """
        if word not in self.files:
            near = nearest(word, self.files)
            raise ChoiceError(
                "kit",
                got=word,
                allowed="one of those on the table",
                remedy=f"did you mean {near!r}?" if near else "drop its file on the page again",
            )
        return self.files[word]

    def add_text(self, text: str, name: str) -> str:
        """Put a dropped kit file on the table and return its word.

        Raises
        ------
        SimviewError
            For text that is no kit; names line and remedy.
        """
        word = Path(name).name or "kit.toml"
        file = parse_kit(text, where=word)
        with self._lock:
            # Another page's kit of the same name stays as it is.
            words = [word, *(f"{word} ({count})" for count in range(2, MOST_OWN))]
            free = next(
                (w for w in words if w not in self.files or self.files[w].kit == file.kit), word
            )
            return self._add(free, file)

    def add_words(self, words: str) -> str:
        """Put a telescope on the table by its two numbers, "150/750", and return its word.

        Files are not looked for: a page may be open on another machine.

        Raises
        ------
        SimviewError
            For other words.
        """
        word = " ".join(words.split())
        if not is_starter(word):
            raise SimviewError(
                "telescope",
                got=word[:60],
                allowed='aperture and focal length in mm, such as "150/750" or "mak 127/1500"',
            )
        kit, taken = starter(word)
        with self._lock:
            return self._add(word, KitFile(kit=kit, path=Path(word), remarks=(taken,)))

    def add_offer(self, kit: Kit) -> str:
        """Put an offered telescope on the table; each offer keeps its own word.

        A kit that stands there already keeps the word that it has. Of many offers the first ones
        are cleared away.
        """
        with self._lock:
            here = next((word for word, file in self.files.items() if file.kit == kit), "")
            if here:
                return here
            old = [word for word in self.files if word.startswith(OFFER)]
            for word in old[: max(0, len(old) - MOST_OFFERS + 1)]:
                del self.files[word]
            word = f"{OFFER}{secrets.token_hex(4)}"
            self.files[word] = KitFile(kit=kit, path=Path(word))
            return word

    def _add(self, word: str, file: KitFile) -> str:
        own = [each for each in self.files if not each.startswith((PREFIX, OFFER))]
        if word not in self.files and len(own) >= MOST_OWN:
            raise RangeError("kits on the page", got=len(own) + 1, allowed=f"at most {MOST_OWN}")
        self.files[word] = file
        return word

    def told(self, offers: Sequence[str] = ()) -> list[dict[str, Any]]:
        """Return what the page needs to know of every kit, and of the offers that it names."""
        with self._lock:
            files = list(self.files.items())
        return [
            told(word, file.kit)
            for word, file in files
            if word in offers or not word.startswith(OFFER)
        ]


def told(word: str, kit: Kit) -> dict[str, Any]:
    """Return one kit as the page shows it: name, powers of its pieces, ends of the control."""
    from simview.eyepiece.train import choices
    from simview.picture import captions

    rungs: dict[float, str] = {}
    for power, choice in sorted(choices(kit), key=lambda each: each[0]):
        between = [kit.amplifiers[i].factor for i in choice.amplifiers]
        pieces = f"{choice.eyepiece.focal_length_mm:g} mm"
        label = " ".join([pieces, *(f"+ {factor:g}×" for factor in between)])
        rungs.setdefault(round(power, 1), label)
    scope, ends = kit.telescope, ends_of(kit)
    return {
        "word": word,
        "name": captions.instrument(kit),
        "kind": kit.kind,
        "aperture_mm": scope.aperture_mm if scope else None,
        "powers": [{"power": power, "label": label} for power, label in rungs.items()],
        "least": ends[0],
        "most": ends[1],
        "claimed": kit.claimed_power,
        "own": not word.startswith(PREFIX),
        "screws": screws_of(kit),
        "sky": _sky_told(kit),
        "age": kit.observer.age_years if kit.observer else None,
    }


def screws_of(kit: Kit) -> str | None:
    """Return which mirror of a kit has collimating screws, or None."""
    from simview.telescope.screws import Screws

    if kit.telescope is None:
        return None
    try:
        screws = Screws(scope=kit.telescope, layout=kit.layout)
    except SimviewError:
        return None
    return "secondary" if screws.before_secondary else "primary"


def _sky_told(kit: Kit) -> dict[str, Any] | None:
    """Return the sky that a kit file names, for the page's controls."""
    if kit.sky is None:
        return None
    sky = kit.sky
    return {
        "seeing": sky.seeing_arcsec,
        "sky": sky.sky_mag_arcsec2,
        "altitude": sky.altitude_deg,
        "air": sky.air,
    }


@lru_cache(maxsize=256)
def ends_of(kit: Kit) -> tuple[float, float]:
    """Return the lowest and the highest power of the control; the same where there is one only."""
    from simview.eyepiece.train import HIGHEST_POWER_PER_MM, choices

    scope = kit.telescope
    if scope is None:
        fixed = kit.binocular.power if kit.binocular else 1.0
        return fixed, fixed
    own = [power for power, _ in choices(kit)]
    least = min([*own, max(scope.aperture_mm / WIDEST_PUPIL_MM, 3.0)])
    most = max([*own, 4.0 * scope.aperture_mm, 500.0, kit.claimed_power or 0.0])
    return least, min(HIGHEST_POWER_PER_MM * scope.aperture_mm, most)
