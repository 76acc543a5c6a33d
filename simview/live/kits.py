"""What stands on the table: the demo's kits, those named on the command line, those dropped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from simview.demo import PREFIX, kit_names
from simview.errors import ChoiceError, RangeError, nearest
from simview.eyepiece.train import HIGHEST_POWER_PER_MM, choices
from simview.kit import Kit
from simview.kitfile import KitFile, parse_kit
from simview.kitword import find_kit
from simview.picture import captions

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
    """

    files: dict[str, KitFile]

    @classmethod
    def laid(cls, words: Sequence[str]) -> Table:
        """Return the table with a user's own kits first, then the demo's.

        Raises
        ------
        SimviewError
            For a kit that cannot be read.
        """
        named = [*words, *(f"{PREFIX}{name}" for name in kit_names())]
        return cls({word: find_kit(word) for word in dict.fromkeys(named)})

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
        return self.add(word, parse_kit(text, where=word))

    def add(self, word: str, file: KitFile) -> str:
        """Put a kit on the table under this word.

        Raises
        ------
        RangeError
            Where the table is full.
        """
        own = [each for each in self.files if not each.startswith(PREFIX)]
        if word not in self.files and len(own) >= MOST_OWN:
            raise RangeError("kits on the page", got=len(own) + 1, allowed=f"at most {MOST_OWN}")
        self.files[word] = file
        return word

    def told(self) -> list[dict[str, Any]]:
        """Return what the page needs to know of every kit."""
        return [told(word, file.kit) for word, file in self.files.items()]


def told(word: str, kit: Kit) -> dict[str, Any]:
    """Return one kit as the page shows it: name, powers of its pieces, ends of the control."""
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
        "newtonian": kit.layout == "newtonian",
    }


@lru_cache(maxsize=256)
def ends_of(kit: Kit) -> tuple[float, float]:
    """Return the lowest and the highest power of the control; the same where there is one only."""
    scope = kit.telescope
    if scope is None:
        fixed = kit.binocular.power if kit.binocular else 1.0
        return fixed, fixed
    own = [power for power, _ in choices(kit)]
    least = min([*own, max(scope.aperture_mm / WIDEST_PUPIL_MM, 3.0)])
    most = max([*own, 4.0 * scope.aperture_mm, 500.0, kit.claimed_power or 0.0])
    return least, min(HIGHEST_POWER_PER_MM * scope.aperture_mm, most)
