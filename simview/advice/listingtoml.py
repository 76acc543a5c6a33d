"""A TOML listing: the keys of a kit file, and an [offer] table for what only an offer says.

docs/vet.md shows one. A kit file is therefore a listing too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, make_dataclass, replace
from functools import lru_cache
from typing import Any, Literal

from simview.advice.listing import (
    Finder,
    Listing,
    MirrorShape,
    OfferedAmplifier,
    OfferedEyepiece,
    OfferedMount,
    Reading,
    SolarKind,
    Unread,
)
from simview.advice.reading.assemble import read_advert
from simview.advice.reading.conflicts import contradictions, missing, still_unread
from simview.errors import FileError, SimviewError, require_range
from simview.kit import FOLDED, Kit, Observer, Sky
from simview.textfile import parse_toml


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """What a TOML listing says beside the kit itself.

    Parameters
    ----------
    text
        Advert text to be read as well; the keys of the file go before it.
    aperture_mm, focal_length_mm, focal_ratio
        Where the offer does not give enough for a [telescope].
    claimed_powers
        Every power that it promises.
    free_play_arcmin
        Of the mount: how far the tube moves before it resists, 0 to 600 arcmin.
    unsaid
        What was read of `text` although it does not say it.
    """

    text: str = ""
    aperture_mm: float | None = None
    focal_length_mm: float | None = None
    focal_ratio: float | None = None
    claimed_powers: tuple[float, ...] = ()
    tube_length_mm: float | None = None
    mirror: Literal["spherical", "parabolic"] | None = None
    corrector: bool = False
    plastic_optics: bool = False
    finder: Literal["none", "red dot", "optical", "small optical"] | None = None
    solar: tuple[
        Literal[
            "eyepiece filter",
            "eclipse glasses",
            "filter",
            "look",
            "front filter",
            "screen",
            "use",
            "warning",
        ],
        ...,
    ] = ()
    phone_holder: bool = False
    photography: bool = False
    mount_grade: int | None = None
    free_play_arcmin: float | None = None
    unsaid: tuple[Literal["aperture_mm", "focal_length_mm", "eyepieces", "price"], ...] = ()

    def __post_init__(self) -> None:
        if self.free_play_arcmin is not None:
            require_range("free_play_arcmin", self.free_play_arcmin, 0.0, 600.0, unit="arcmin")
        if self.mount_grade is not None:
            require_range("mount_grade", self.mount_grade, 1, 8)
        object.__setattr__(self, "claimed_powers", tuple(self.claimed_powers))
        object.__setattr__(self, "solar", tuple(self.solar))
        object.__setattr__(self, "unsaid", tuple(self.unsaid))


def parse_listing(text: str, *, where: str) -> Listing:
    """Return the offer in TOML text; `where` stands for the file's name in messages.

    Raises
    ------
    SimviewError
        Names place and key, what was got and what is allowed.
    """
    from simview.table import build

    table = parse_toml(text, where=where, what="listing")
    if not table:
        raise FileError("listing is empty", remedy='begin with name = "..."', where=where)
    page = build(_page(), table, where=where)
    kit = Kit(**{name: getattr(page, name) for name in Kit.__dataclass_fields__})
    try:
        return _listing(kit, page.offer or Offer(), table)
    except SimviewError as error:
        raise error.at(where) from None


@lru_cache(maxsize=1)
def _page() -> type[Any]:
    """Return the whole file as one record: a kit's keys, and the three tables beside them."""
    spots: list[tuple[str, Any, Any]] = [
        ("offer", Offer | None, None),
        ("sky", Sky | None, None),
        ("observer", Observer | None, None),
    ]
    return make_dataclass("Page", spots, bases=(Kit,), frozen=True, kw_only=True)


def _listing(kit: Kit, offer: Offer, table: Mapping[str, Any]) -> Listing:
    base = read_advert(offer.text) if offer.text.strip() else Listing()
    facts = _kit_facts(kit, table) | _offer_facts(kit, offer)
    mount = _mount(kit, offer, table)
    if mount is not None:
        facts["mount"] = mount
    listing = replace(replace(base, **_unsaid(offer)), **facts)
    listing = replace(listing, unread=_still_unread(listing, offer))
    settled = {*facts, *offer.unsaid, *(["eyepiece"] if _asks_eyepieces(facts, offer) else [])}
    readings = [one for one in base.readings if one.key not in settled]
    readings += [
        Reading(key=key, value=_shown(value), words=f"{key} in the file")
        for key, value in facts.items()
        if key not in ("name", "text")
    ]
    return replace(
        listing,
        contradictions=contradictions(listing),
        missing=missing(listing),
        readings=tuple(readings),
    )


def _still_unread(listing: Listing, offer: Offer) -> tuple[Unread, ...]:
    """Return what the text speaks of and nobody has answered yet."""
    settled = {key.removesuffix("_mm").replace("_", " ") for key in offer.unsaid}
    return tuple(one for one in still_unread(listing) if one.what not in settled)


def _unsaid(offer: Offer) -> dict[str, Any]:
    """Return the values that the text was read to say and does not."""
    empty: dict[str, Any] = {"eyepieces": ()}
    return {key: empty.get(key) for key in offer.unsaid}


def _asks_eyepieces(facts: Mapping[str, Any], offer: Offer) -> bool:
    return "eyepieces" in facts or "eyepieces" in offer.unsaid


def _shown(value: Any) -> float | str | bool:
    """Return a value as a table of readings prints it."""
    if isinstance(value, float | str | bool):
        return value
    if isinstance(value, OfferedMount):
        return value.kind or "mount"
    if isinstance(value, tuple):
        return ", ".join(getattr(one, "label", None) or f"{one}" for one in value)
    return str(value)


def _kit_facts(kit: Kit, table: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the kit's own tables say, and nothing that they leave to a default."""
    facts: dict[str, Any] = {"name": kit.name} if kit.name else {}
    if kit.price is not None:
        facts |= {"price": float(kit.price), "currency": kit.currency}
    if kit.eyepieces:
        facts["eyepieces"] = _eyepieces(kit, table)
        barrels = [one.barrel for one in facts["eyepieces"] if one.barrel]
        facts |= {"barrel": min(barrels)} if barrels else {}
    if "focuser" in table and "barrel" not in facts:
        facts["barrel"] = kit.focuser
    if kit.amplifiers:
        facts["amplifiers"] = tuple(
            OfferedAmplifier(kind=one.kind, factor=float(one.factor)) for one in kit.amplifiers
        )
    if kit.diagonal is not None:
        facts["diagonal"] = kit.diagonal.kind
    if kit.layout is not None:
        # An offer knows folded telescopes as one kind.
        facts["layout"] = "cassegrain" if kit.layout in FOLDED else kit.layout
    return facts | _telescope_facts(kit, table.get("telescope", {})) | _binocular_facts(kit)


def _telescope_facts(kit: Kit, table: Mapping[str, Any]) -> dict[str, Any]:
    scope = kit.telescope
    if scope is None:
        return {}
    facts: dict[str, Any] = {
        "aperture_mm": float(scope.aperture_mm),
        "focal_length_mm": float(scope.focal_length_mm),
    }
    if "objective" in table:
        facts["objective"] = scope.objective
        if kit.layout is None:
            facts["layout"] = "newtonian" if scope.objective == "mirror" else "refractor"
    if "obstruction" in table:
        facts["obstruction"] = float(scope.obstruction)
    if scope.stop_mm is not None:
        facts["stop_mm"] = float(scope.stop_mm)
    if "spherical" in table.get("wavefront", {}):
        facts["spherical_waves"] = float(scope.wavefront.spherical)
    return facts


def _binocular_facts(kit: Kit) -> dict[str, Any]:
    if kit.binocular is None:
        return {}
    return {
        "instrument": "binocular",
        "aperture_mm": float(kit.binocular.aperture_mm),
        "binocular_power": float(kit.binocular.power),
        "true_field_deg": kit.binocular.true_field_deg,
    }


def _eyepieces(kit: Kit, table: Mapping[str, Any]) -> tuple[OfferedEyepiece, ...]:
    found = []
    for piece, given in zip(kit.eyepieces, table["eyepieces"], strict=True):
        found.append(
            OfferedEyepiece(
                focal_length_mm=float(piece.focal_length_mm),
                design=piece.design if "design" in given else "unknown",
                barrel=piece.barrel if "barrel" in given else None,
                apparent_field_deg=piece.apparent_field_deg,
                field_stop_mm=piece.field_stop_mm,
                marking=piece.name.removeprefix(f"{piece.focal_length_mm:g} mm").strip(),
            )
        )
    return tuple(sorted(found, key=lambda one: -one.focal_length_mm))


def _offer_facts(kit: Kit, offer: Offer) -> dict[str, Any]:
    claims = [float(power) for power in offer.claimed_powers]
    if kit.claimed_power is not None:
        claims.append(float(kit.claimed_power))
    facts: dict[str, Any] = {"claimed_powers": tuple(dict.fromkeys(claims))} if claims else {}
    for key in (
        "aperture_mm",
        "focal_length_mm",
        "focal_ratio",
        "tube_length_mm",
        "mirror",
        "finder",
    ):
        value: float | MirrorShape | Finder | None = getattr(offer, key)
        if value is not None:
            facts[key] = value
    for key in ("corrector", "plastic_optics", "phone_holder", "photography"):
        if getattr(offer, key):
            facts[key] = True
    solar: tuple[SolarKind, ...] = offer.solar
    return facts | ({"solar": solar} if solar else {})


def _mount(kit: Kit, offer: Offer, table: Mapping[str, Any]) -> OfferedMount | None:
    given = table.get("mount", {})
    if not given and offer.free_play_arcmin is None:
        return None
    mount = kit.mount
    return OfferedMount(
        kind=mount.kind if "kind" in given else None,
        grade=offer.mount_grade,
        small=mount.kind == "tripod" and "kind" in given,
        driven=mount.driven,
        slow_motion=mount.slow_motion if "slow_motion" in given else None,
        tap_arcsec=float(mount.tap_arcsec) if "tap_arcsec" in given else None,
        frequency_hz=float(mount.frequency_hz) if "frequency_hz" in given else None,
        damping=float(mount.damping) if "damping" in given else None,
        free_play_arcmin=offer.free_play_arcmin,
    )
