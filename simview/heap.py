"""Where the C library puts large arrays, told to it where it is one that listens (GNU's).

Left to itself it asks the system for each large array and gives it back at once. Every new page is
then filled with zeros by the system, which takes a tenth of a picture's time. A command, which soon
ends, keeps what it let go of; the page's server, which stays, gives all back.
"""

from __future__ import annotations

from typing import Final

from simview import clibrary

# Settings of the GNU C library's mallopt, from its malloc.h.
_TRIM_THRESHOLD: Final = -1
_TOP_PAD: Final = -2
_MMAP_THRESHOLD: Final = -3
_ARENA_MAX: Final = -8

# Bytes: arrays larger than the first are given back at once, a free end of the heap longer than the
# second too; it grows by the third. Choices by trial (docs/performance.md): the first is the most
# that older releases of the library take.
_LARGEST_KEPT: Final = 12 << 20
_FREE_KEPT: Final = 64 << 20
_GROWN_BY: Final = 16 << 20

# Of the page's server: with thirty pages open it would otherwise hold a fifth more than is in use.
_LARGEST_OF_SERVER: Final = 2_000_000
_FREE_OF_SERVER: Final = 128 << 10
_HEAPS_OF_SERVER: Final = 2


def keep() -> None:
    """Have arrays that were let go of kept for the next ones: for a process that soon ends."""
    _tell({_MMAP_THRESHOLD: _LARGEST_KEPT, _TRIM_THRESHOLD: _FREE_KEPT, _TOP_PAD: _GROWN_BY})


def hand_back() -> None:
    """Have them given back at once: for a process that stays."""
    _tell(
        {
            _MMAP_THRESHOLD: _LARGEST_OF_SERVER,
            _TRIM_THRESHOLD: _FREE_OF_SERVER,
            _TOP_PAD: _FREE_OF_SERVER,
            _ARENA_MAX: _HEAPS_OF_SERVER,
        }
    )


def trim() -> None:
    """Give back what is kept, now: for a process whose next work is of another kind."""
    clibrary.ask("malloc_trim", (0,))


def _tell(settings: dict[int, int]) -> None:
    clibrary.ask("mallopt", *settings.items())
