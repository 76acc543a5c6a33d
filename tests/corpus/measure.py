"""Hold the reading of adverts to what a careful reader takes from them: recall, errors, verdicts.

Run by hand::

    python tests/corpus/measure.py seen
    python tests/corpus/measure.py unseen      # once a release; its adverts are not looked at

The letters of "want": D aperture and F focal length in mm, N f-ratio, ep eyepieces in mm (the
longer end of a zoom), bar factor of a Barlow lens, pow the highest power promised, bin the
power of binoculars (the lower end of a zoom), lay "ref", "new" or "cas", mir "sph" or "par",
mnt "eq", "az", "rock" or "tri", find "rd", "opt", "small" or "none", price, cur currency, sun
the grade of the finding about the Sun, swapped, about "no" where the offer is about something
else, v the verdict it may get: "ok" not *leave it*, "notsound" and "bad" not *sound*, "leave"
*leave it*. A "?" leaves a value open. What is not named must not be read (D F ep bar pow bin
lay mnt price sun about); finder, currency, ratio, mirror and swapping are only held to where
they are named.
"""

from __future__ import annotations

import sys
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from simview.advice.listing import Listing
from simview.advice.reading.assemble import read_advert
from simview.advice.rules import sun_rules
from simview.advice.rules.rule import Case
from simview.advice.verdict import vet

HERE: Final = Path(__file__).parent
LAYOUTS: Final = {"ref": "refractor", "new": "newtonian", "cas": "cassegrain"}
MOUNTS: Final = {"eq": "equatorial", "az": "altazimuth", "rock": "rocker", "tri": "tripod"}
FINDERS: Final = {"rd": "red dot", "opt": "optical", "small": "small optical", "none": "none"}

# Values that must not be read where the advert does not name them.
STRICT: Final = ("D", "F", "ep", "bar", "pow", "bin", "lay", "mnt", "price")

# A length in inches or rounded on the box: agreement within this part.
ROUNDING: Final = 0.015

# What the answer may not call unsaid where the advert says it.
SAID: Final = {
    "D": "aperture",
    "F": "focal length",
    "ep": "eyepieces",
    "lay": "lens or mirror",
    "mnt": "mount",
    "find": "finder",
    "price": "price",
    "cur": "currency",
    "bin": "power",
}


@dataclass(slots=True)
class Tally:
    """What was read of a set of adverts.

    Parameters
    ----------
    right, missed, wrong
        Values, counted; an eyepiece is one value.
    adverts
        How many adverts.
    errors
        One line for each fault, by kind.
    quoted
        One line for each passage that is quoted because it speaks of something that was not read.
    """

    right: int = 0
    missed: int = 0
    wrong: int = 0
    adverts: int = 0
    sun_wanted: int = 0
    sun_stops: int = 0
    errors: dict[str, list[str]] = field(default_factory=dict)
    quoted: dict[str, list[str]] = field(default_factory=dict)

    def fault(self, kind: str, line: str) -> None:
        """Write down one fault."""
        self.errors.setdefault(kind, []).append(line)

    @property
    def wanted(self) -> int:
        """How many values the adverts hold."""
        return self.right + self.missed + self.wrong


def adverts(half: str) -> list[dict[str, Any]]:
    """Return the adverts of one half: "seen" or "unseen", with their number and file."""
    found = []
    for path in sorted(HERE.glob(f"{half}_*.toml")):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        for place, one in enumerate(table["a"]):
            found.append({**one, "id": f"{path.stem}-{place + 1}", "want": _wanted(one["want"])})
    return found


def _wanted(text: str) -> dict[str, str]:
    pairs = (part.split("=", 1) for part in text.split())
    return {key: "?" if value.endswith("?") else value for key, value in pairs}


def values(listing: Listing) -> dict[str, Any]:
    """Return what was read, under the letters of the corpus; None where nothing was."""
    hand_held = listing.binocular_power is not None
    claim = listing.claimed_power
    if hand_held and claim is not None and claim <= (listing.binocular_power or 0.0):
        claim = None
    return {
        "D": listing.aperture_mm,
        "F": listing.focal_length_mm,
        "N": listing.focal_ratio,
        "ep": sorted((one.focal_length_mm for one in listing.eyepieces), reverse=True),
        "bar": next((one.factor for one in listing.amplifiers if one.kind == "barlow"), None),
        "pow": claim,
        "bin": listing.binocular_power,
        "lay": None if hand_held else listing.layout,
        "mir": {"spherical": "sph", "parabolic": "par"}.get(listing.mirror or ""),
        "mnt": listing.mount.kind if listing.mount else None,
        "find": listing.finder,
        "price": listing.price,
        "cur": listing.currency or None,
        "swapped": "yes" if listing.swapped else None,
    }


def agrees(key: str, got: Any, wanted: str) -> bool:
    """Tell whether a value read is the value wanted."""
    if key in ("lay", "mnt", "find"):
        return bool(got == {"lay": LAYOUTS, "mnt": MOUNTS, "find": FINDERS}[key][wanted])
    if key in ("mir", "cur", "swapped"):
        return bool(got == wanted)
    return got is not None and abs(float(got) / float(wanted) - 1.0) <= ROUNDING


def measure(half: str) -> Tally:
    """Read every advert of one half and count."""
    tally = Tally()
    for advert in adverts(half):
        tally.adverts += 1
        listing = read_advert(advert["text"])
        _count_values(tally, advert, listing)
        if advert["want"].get("about") == "no":
            if listing.about_telescope:
                tally.fault("about", f"{advert['id']}: taken for a telescope")
            continue
        if not listing.about_telescope and advert["want"].get("about") != "?":
            tally.fault("about", f"{advert['id']}: not taken for a telescope")
        _count_sun(tally, advert, listing)
        _count_verdict(tally, advert, listing)
    return tally


def _count_values(tally: Tally, advert: dict[str, Any], listing: Listing) -> None:
    want, read = advert["want"], values(listing)
    for key, got in read.items():
        wanted = want.get(key)
        if wanted == "?" or (wanted is None and key not in STRICT):
            continue
        if key == "ep":
            _count_eyepieces(tally, advert["id"], got, wanted)
        elif wanted is None:
            if got is not None:
                tally.wrong += 1
                tally.fault("invented", f"{advert['id']}: {key} {got}")
        elif got is None:
            tally.missed += 1
            tally.fault("missed", f"{advert['id']}: {key} {wanted}")
        elif agrees(key, got, wanted):
            tally.right += 1
        else:
            tally.wrong += 1
            tally.fault("wrong", f"{advert['id']}: {key} {got}, not {wanted}")


def _count_eyepieces(tally: Tally, name: str, got: list[float], wanted: str | None) -> None:
    left = list(got)
    for size in [float(one) for one in (wanted or "").split(",") if one]:
        match = next((one for one in left if abs(one / size - 1.0) <= ROUNDING), None)
        if match is None:
            tally.missed += 1
            tally.fault("missed", f"{name}: eyepiece {size:g}")
        else:
            left.remove(match)
            tally.right += 1
    for one in left:
        tally.wrong += 1
        tally.fault("invented", f"{name}: eyepiece {one:g}")


def sun_grade(listing: Listing) -> str:
    """Return the grade of the finding about the Sun; empty where there is none.

    The rule alone: the whole verdict looks through the telescope, which takes fifty times as long.
    """
    found = sun_rules.RULES[0].find(Case(listing=listing))
    return "" if found is None else found.grade


def _count_verdict(tally: Tally, advert: dict[str, Any], listing: Listing) -> None:
    want, name = advert["want"], advert["id"]
    allowed = {
        "ok": ("sound", "with care"),
        "notsound": ("with care", "leave it"),
        "bad": ("with care", "leave it"),
        "leave": ("leave it",),
    }.get(want.get("v", ""))
    verdict = vet(listing) if allowed else None
    if allowed and verdict is not None and verdict.verdict not in allowed:
        kind = "sound undeserved" if verdict.verdict == "sound" else "verdict"
        tally.fault(kind, f"{name}: {verdict.verdict}, wanted {want['v']}")


def _count_sun(tally: Tally, advert: dict[str, Any], listing: Listing) -> None:
    want, name = advert["want"], advert["id"]
    grade = sun_grade(listing)
    wanted = want.get("sun", "")
    if wanted == "stop":
        tally.sun_wanted += 1
        tally.sun_stops += grade == "stop"
    if wanted not in ("?", grade):
        tally.fault("sun", f"{name}: {grade or 'nothing'}, wanted {wanted or 'nothing'}")
    for key, unsaid in SAID.items():
        if want.get(key, "?") not in ("?", "none") and unsaid in listing.missing:
            tally.fault("unsaid", f"{name}: “does not say” the {unsaid}")
    _count_spoken_of(tally, advert, listing)


def _count_spoken_of(tally: Tally, advert: dict[str, Any], listing: Listing) -> None:
    """Count what is said to be spoken of, and whether the advert does speak of it."""
    keys = {unsaid: key for key, unsaid in SAID.items()}
    for one in listing.unread:
        key = keys.get(one.what)
        if key is None or one.left_out:
            continue
        wanted = advert["want"].get(key)
        kind = "quoted" if wanted not in (None, "none") else "quoted for nothing"
        tally.quoted.setdefault(kind, []).append(f"{advert['id']}: {one.what}: {one.words}")


def report(half: str, *, names: bool) -> str:
    """Return the figures of one half as lines; with the faults where `names`."""
    tally = measure(half)
    share = 100.0 / max(tally.wanted, 1)
    lines = [
        f"{half}: {tally.adverts} adverts, {tally.right + tally.missed} values wanted",
        f"read rightly {tally.right} ({100.0 * tally.right / (tally.right + tally.missed):.1f} %),"
        f" missed {tally.missed}, wrong or invented {tally.wrong} ({tally.wrong * share:.1f} %)",
        f"Sun stops {tally.sun_stops} of {tally.sun_wanted}",
    ]
    for kind, faults in {**tally.errors, **tally.quoted}.items():
        lines.append(f"{kind}: {len(faults)}")
        lines += [f"    {one}" for one in faults] if names else []
    return "\n".join(lines)


if __name__ == "__main__":
    print(report(sys.argv[1], names=sys.argv[1] == "seen" or "--names" in sys.argv))
