"""The offer on the bench: every power that its pieces give, with exit pupil and true field."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from simview.advice.listing import Listing, OfferedAmplifier, OfferedEyepiece
from simview.advice.speech import listed, say
from simview.kit import Barrel, Eyepiece

# What an erecting lens magnifies where the offer does not say: common practice, no source.
USUAL_ERECTING_FACTOR: Final = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """One power that the pieces in the box really give.

    Parameters
    ----------
    power
        Focal length of the telescope / focal length of the eyepiece x factors of the amplifiers.
    exit_pupil_mm
        Aperture / power; None where the aperture is not known.
    true_field_arcmin
        From the design's usual apparent field, or the stated one, within the barrel.
    eyepiece, amplifiers
        The pieces.
    """

    power: float
    exit_pupil_mm: float | None
    true_field_arcmin: float
    apparent_field_deg: float
    eyepiece: OfferedEyepiece
    amplifiers: tuple[OfferedAmplifier, ...] = ()

    @property
    def label(self) -> str:
        """The pieces in words: "6 mm (SR6) with 3× Barlow"."""
        if not self.amplifiers:
            return self.eyepiece.label
        return say(
            "{eyepiece} with {between}",
            eyepiece=self.eyepiece.label,
            between=listed(piece.label for piece in self.amplifiers),
        )


def powers_of(listing: Listing) -> tuple[Delivered, ...]:
    """Return every power of each eyepiece, alone, with each amplifier and with all, lowest first.

    Source: first-order optics; common practice.
    Checked by: tests/truth/test_trade_rules.py
    """
    focal = focal_length_mm(listing)
    if focal is None:
        return ()
    found = [
        _delivered(listing, focal, size, piece, between)
        for piece in listing.eyepieces
        for size in _sizes(piece)
        for between in _between(listing)
    ]
    return tuple(sorted(found, key=lambda one: one.power))


def focal_length_mm(listing: Listing) -> float | None:
    """Return the focal length, stated or from aperture and f-ratio, mm."""
    if listing.focal_length_mm is not None:
        return listing.focal_length_mm
    if listing.aperture_mm is None or listing.focal_ratio is None:
        return None
    return listing.aperture_mm * listing.focal_ratio


def _sizes(piece: OfferedEyepiece) -> tuple[float, ...]:
    if piece.shortest_mm is None:
        return (piece.focal_length_mm,)
    return piece.focal_length_mm, piece.shortest_mm


def _between(listing: Listing) -> Iterator[tuple[OfferedAmplifier, ...]]:
    known = tuple(piece for piece in listing.amplifiers if piece.factor is not None)
    yield ()
    for piece in known:
        yield (piece,)
    if len(known) > 1:
        yield known


def as_eyepiece(
    piece: OfferedEyepiece, barrel: Barrel | None, size_mm: float | None = None
) -> Eyepiece:
    """Return the piece as a kit's eyepiece; a barrel not stated is taken for the common 1.25 in."""
    return Eyepiece(
        focal_length_mm=size_mm or piece.focal_length_mm,
        apparent_field_deg=piece.apparent_field_deg,
        field_stop_mm=piece.field_stop_mm,
        design=piece.design,
        barrel=piece.barrel or barrel or "1.25in",
        name=piece.label,
    )


def _delivered(
    listing: Listing,
    focal_mm: float,
    size_mm: float,
    piece: OfferedEyepiece,
    between: tuple[OfferedAmplifier, ...],
) -> Delivered:
    from simview.eyepiece.fields import eyepiece_fields

    stretch = math.prod(one.factor or 1.0 for one in between)
    power = focal_mm * stretch / size_mm
    eyepiece = as_eyepiece(piece, listing.barrel, size_mm)
    true_arcmin, apparent_deg, _ = eyepiece_fields(eyepiece, power, focal_mm * stretch)
    working = listing.stop_mm or listing.aperture_mm
    return Delivered(
        power=power,
        exit_pupil_mm=None if working is None else working / power,
        true_field_arcmin=true_arcmin,
        apparent_field_deg=apparent_deg,
        eyepiece=piece
        if piece.shortest_mm is None
        else OfferedEyepiece(focal_length_mm=size_mm, design=piece.design, marking="zoom"),
        amplifiers=between,
    )
