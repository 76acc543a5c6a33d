"""simview computes what an eye really sees through a small telescope.

The rooms follow the light: scene, air, telescope, eyepiece, eye, picture; beside them, advice.
The public names load on first use, so that ``import simview`` stays light.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from simview.errors import SimviewError as SimviewError
    from simview.kit import (
        Amplifier as Amplifier,
    )
    from simview.kit import (
        Binocular as Binocular,
    )
    from simview.kit import (
        Diagonal as Diagonal,
    )
    from simview.kit import (
        Eyepiece as Eyepiece,
    )
    from simview.kit import (
        Kit as Kit,
    )
    from simview.kit import (
        Mount as Mount,
    )
    from simview.kit import (
        Observer as Observer,
    )
    from simview.kit import (
        Sky as Sky,
    )
    from simview.kit import (
        Telescope as Telescope,
    )
    from simview.kit import (
        Wavefront as Wavefront,
    )

__version__ = "0.2.0"

# Public name -> the module that holds it.
_HOME = {
    "SimviewError": "simview.errors",
    "use_executor": "simview.executor.pieces",
    "Amplifier": "simview.kit",
    "Binocular": "simview.kit",
    "Diagonal": "simview.kit",
    "Eyepiece": "simview.kit",
    "Kit": "simview.kit",
    "Mount": "simview.kit",
    "Observer": "simview.kit",
    "Sky": "simview.kit",
    "Telescope": "simview.kit",
    "Wavefront": "simview.kit",
    "find_kit": "simview.kitword",
    "load_kit": "simview.kitfile",
    "save_kit": "simview.kitfile",
    "target": "simview.scene.targets",
    "point_spread": "simview.telescope.star",
    "CollimationView": "simview.telescope.collimation",
    "collimation": "simview.telescope.collimation",
    "View": "simview.door.looking",
    "look": "simview.door.looking",
    "looks": "simview.door.rows",
    "ladder": "simview.door.rows",
    "compare": "simview.door.rows",
    "detail": "simview.door.rows",
    "unit": "simview.door.rows",
    "save_sheet": "simview.door.saving",
    "star_test": "simview.door.stars",
    "fault": "simview.door.stars",
    "faults": "simview.door.stars",
    "trace_eyepiece": "simview.door.glasswork",
    "targets": "simview.door.target_search",
    "film": "simview.door.films",
    "load_listing": "simview.advice.listingfile",
    "vet": "simview.advice.verdict",
    "answer": "simview.door.answers",
    "diagnose": "simview.diagnosis.diagnose",
}

__all__ = list(_HOME)


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'simview' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)


def __dir__() -> list[str]:
    return __all__
