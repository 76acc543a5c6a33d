"""How freely a process keeps memory: large arrays that were let go of, and garbage.

Left to itself it asks the system for each large array and gives it back at once. Every new page is
then filled with zeros by the system, which takes a tenth of a picture's time. A command, which soon
ends, keeps what it let go of; the page's server, which stays, gives all back. It is told to the C
library where it is one that listens (GNU's).

Objects that hold one another and nobody else are found by Python looking through all it has made,
each time it has made 700 more: a twentieth of a command's start and of a ladder, for next to
nothing found. A command has it look once in 100,000.
"""

from __future__ import annotations

import gc
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

# Objects made and not let go of between two looks for garbage, in a command. A choice: a view makes
# some 80,000.
_MADE_BETWEEN_LOOKS: Final = 100_000
_USUAL_LOOKS: Final = gc.get_threshold()


def keep() -> None:
    """Have arrays that were let go of kept for the next ones: for a process that soon ends.

    And have it look for garbage seldom.
    """
    gc.set_threshold(_MADE_BETWEEN_LOOKS, *_USUAL_LOOKS[1:])
    _tell({_MMAP_THRESHOLD: _LARGEST_KEPT, _TRIM_THRESHOLD: _FREE_KEPT, _TOP_PAD: _GROWN_BY})


def hand_back() -> None:
    """Have them given back at once, and garbage found as usual: for a process that stays."""
    gc.set_threshold(*_USUAL_LOOKS)
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
