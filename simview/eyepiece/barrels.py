"""Barrel sizes: what fits into what, and the largest field that passes.

A barrel goes into a socket of its own size, or with the usual adapter ring into a larger one:
0.965 inch in 1.25 inch, 1.25 inch in 2 inch, and both rings together. A ring only fills a gap, so
it costs neither light nor field. The other way round nothing is possible here: the rare
step-up pieces that carry a larger eyepiece on a smaller focuser cut the field to the smaller
barrel and are not modelled.
"""

from __future__ import annotations

from typing import Final

from simview.errors import FitError
from simview.kit import BARRELS, Barrel, Diagonal, Eyepiece, Kit

# Largest usable diameter of a field stop in each barrel, mm: the inner diameter less the filter
# thread. Common practice, no source; good to about 1 mm (stops of 28 mm in 1.25 inch occur).
LARGEST_STOP_MM: Final[dict[Barrel, float]] = {"0.965in": 21.0, "1.25in": 27.0, "2in": 46.0}

# A stated field stop may pass the usual limit by this factor before it is taken for a mistake.
_STOP_TOLERANCE: Final = 1.05


def goes_into(barrel: Barrel, socket: Barrel) -> bool:
    """Tell whether a barrel fits a socket, with an adapter ring where the socket is larger."""
    return BARRELS.index(barrel) <= BARRELS.index(socket)


def require_fit(what: str, barrel: Barrel, socket: Barrel, socket_of: str) -> None:
    """Check that a barrel goes into a socket.

    Raises
    ------
    FitError
        Names both sizes and says what to do.
    """
    if not goes_into(barrel, socket):
        smaller = [size for size in BARRELS if goes_into(size, socket)]
        raise FitError(
            what,
            got=f"a {barrel} barrel for the {socket_of}'s {socket} socket",
            allowed=" or ".join(smaller),
            remedy=f"choose a piece with a {socket} barrel, or change the {socket_of}",
        )


def diagonal_in_use(kit: Kit, amplifiers: tuple[int, ...]) -> Diagonal | None:
    """Return the kit's diagonal unless an erecting prism takes its place.

    Source: common practice, no source: the prism goes where the diagonal went, straight through.
    """
    erected = any(kit.amplifiers[index].kind == "erecting-prism" for index in amplifiers)
    return None if erected else kit.diagonal


def require_train_fits(kit: Kit, eyepiece: Eyepiece, amplifiers: tuple[int, ...]) -> None:
    """Check every joint from the focuser through diagonal and amplifiers to the eyepiece.

    Raises
    ------
    FitError
        At the first joint that does not fit, or for a field stop wider than its barrel.
    """
    socket, owner = kit.focuser, "focuser"
    diagonal = diagonal_in_use(kit, amplifiers)
    if diagonal is not None:
        require_fit("diagonal", diagonal.barrel, socket, owner)
        socket, owner = diagonal.barrel, "diagonal"
    for index in amplifiers:
        piece = kit.amplifiers[index]
        require_fit("amplifier", piece.barrel, socket, owner)
        socket, owner = piece.barrel, "amplifier"
    require_fit("eyepiece", eyepiece.barrel, socket, owner)
    require_stop_fits(eyepiece)


def require_stop_fits(eyepiece: Eyepiece) -> None:
    """Check that a stated field stop goes into the eyepiece's own barrel.

    Raises
    ------
    FitError
        For a stop wider than any in such a barrel.
    """
    largest = LARGEST_STOP_MM[eyepiece.barrel]
    stop = eyepiece.field_stop_mm
    if stop is not None and stop > largest * _STOP_TOLERANCE:
        raise FitError(
            "field_stop_mm",
            got=f"{stop:g} mm in a {eyepiece.barrel} barrel",
            allowed=f"up to about {largest:g} mm",
            remedy="measure the ring inside the barrel, or name the right barrel",
        )
