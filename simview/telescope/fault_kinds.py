"""All faults that can be asked for: their units and ranges, settings, what they are and do.

One entry here is a fault: `--fault`, recipes, the sheet's words, the poster and the tests know it
from then on. What an entry does to the light is one of three things: it adds to a named part of
the wavefront (`polynomial`), it is an error with a shape of its own (`path` or `term`), or it
changes pupil or air (a method of `simview.telescope.faults`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final, Protocol

from simview.telescope.terms import Plume, Roughness, Term, TurnedEdge, Zone


class Asked(Protocol):
    """What a fault's form needs to know of the fault that was asked for."""

    @property
    def name(self) -> str:
        """Its word."""
        ...

    @property
    def amount(self) -> float:
        """How much, in its unit."""
        ...

    @property
    def unit(self) -> str:
        """What the amount is counted in."""
        ...

    @property
    def angle(self) -> float:
        """Its direction, deg."""
        ...

    def option(self, name: str) -> float:
        """Return a further setting, or what is usual."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """An option of a fault: its usual value and range."""

    usual: float
    low: float
    high: float
    says: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of fault.

    Parameters
    ----------
    says
        What it is, in a sentence.
    form
        Its wavefront or shadow, as a formula.
    units
        Unit to lowest and highest amount; the first is usual.
    directed
        Whether it has an angle.
    usual_angle
        Where it points when none is given, deg.
    options
        Further settings.
    polynomial, sign
        Field of `simview.kit.Wavefront` that it adds to, and with which sign.
    path
        Its path error, waves at 550 nm, for the fault at points x, y in radii of the full circle
        (right, up); arrays as they come.
    term
        The same as a record of `simview.telescope.terms`, where there is one.
    words
        For the star test's sheet: title, short (at most 40 letters), look, means, do (20 to 110
        each); what is left out is said in general terms. Older faults have theirs in
        simview/picture/data/star_faults.toml.
    strengths
        Weak, middling and strong, for the poster; empty leaves it off.
    control
        The strongest on a page's control, in the first unit, where no strengths are stated.
    traced
        Whether exact rays through the telescope's layout tell what it does.
    layouts
        Which layouts can have it; empty for all.
    """

    says: str
    form: str
    units: Mapping[str, tuple[float, float]] = field(
        default_factory=lambda: MappingProxyType({"waves": (-30.0, 30.0)})
    )
    directed: bool = False
    usual_angle: float = 0.0
    options: Mapping[str, Setting] = field(default_factory=dict)
    polynomial: str = ""
    sign: float = 1.0
    path: Callable[[Asked, Any, Any], Any] | None = None
    term: Callable[[Asked], Term] | None = None
    words: Mapping[str, str] = field(default_factory=dict)
    strengths: tuple[float, ...] = ()
    control: float = 1.0
    traced: bool = False
    layouts: tuple[str, ...] = ()


def _edge(fault: Asked) -> Term:
    sign = -1.0 if fault.name == "turned-down-edge" else 1.0
    return TurnedEdge(waves=sign * fault.amount, width=fault.option("width"))


def _zone(fault: Asked) -> Term:
    return Zone(waves=fault.amount, radius=fault.option("radius"), width=fault.option("width"))


def _plume(fault: Asked) -> Term:
    return Plume(waves=fault.amount, angle_deg=fault.angle, width=fault.option("width"))


def _roughness(fault: Asked) -> Term:
    return Roughness(
        waves=fault.amount,
        slope=fault.option("slope"),
        seed=round(fault.option("seed")),
        rms=fault.unit == "rms",
    )


# Settings of a Newtonian's flat.
_ALONG: Final = "mm towards the sky of its place; a Newtonian's only"
_HANGING: Final[Mapping[str, Setting]] = {
    "focuser": Setting(usual=0.0, low=-360.0, high=360.0, says="deg; where it stands"),
    "collimated": Setting(usual=0, low=0, high=1, says="1: the primary set again on the star"),
}

_POSITIVE: Final = {"waves": (0.0, 30.0)}

KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {
        "defocus": Kind(
            polynomial="defocus",
            says="The eyepiece is out of focus; negative is inside, nearer the objective.",
            form="A r^2",
        ),
        "spherical": Kind(
            polynomial="spherical",
            says="Zones focus at different places; positive is undercorrection.",
            form="4 A (r^4 - r^2)",
        ),
        "undercorrection": Kind(
            polynomial="spherical",
            says="The rim focuses short, as of a spherical mirror.",
            form="4 A (r^4 - r^2)",
            units=_POSITIVE,
        ),
        "overcorrection": Kind(
            polynomial="spherical",
            sign=-1.0,
            says="The rim focuses long: a mirror deeper than a paraboloid.",
            form="-4 A (r^4 - r^2)",
            units=_POSITIVE,
        ),
        "coma": Kind(
            polynomial="coma",
            says="The star grows a flare to one side, along the angle.",
            form="A (3 r^3 - 2 r) cos(t - angle) / 2",
            directed=True,
        ),
        "astigmatism": Kind(
            polynomial="astigmatism",
            says="The star is drawn out one way inside focus, across it outside.",
            form="A r^2 cos 2(t - angle) / 2",
            directed=True,
        ),
        "trefoil": Kind(
            polynomial="trefoil",
            says="The star is drawn to three corners.",
            form="A r^3 cos 3(t - angle) / 2",
            directed=True,
        ),
        "pinched": Kind(
            polynomial="trefoil",
            says="Three clips or screws press the mirror or lens: trefoil, a corner upwards.",
            form="A r^3 cos 3(t - angle) / 2",
            directed=True,
            usual_angle=90.0,
        ),
        "noll": Kind(
            says="One Zernike polynomial by Noll's index, in waves RMS: noll 11=0.05.",
            form="A Z_j",
            units={"waves": (-10.0, 10.0)},
        ),
        "turned-down-edge": Kind(
            control=2.0,
            term=_edge,
            says="The rim of the mirror falls away.",
            form="-A [(r - 1 + width) / width]^2 beyond r = 1 - width",
            units={"waves": (0.0, 20.0)},
            options={"width": Setting(usual=0.08, low=0.01, high=1.0, says="against the radius")},
        ),
        "turned-up-edge": Kind(
            control=2.0,
            term=_edge,
            says="The rim of the mirror stands up.",
            form="A [(r - 1 + width) / width]^2 beyond r = 1 - width",
            units={"waves": (0.0, 20.0)},
            options={"width": Setting(usual=0.08, low=0.01, high=1.0, says="against the radius")},
        ),
        "zone": Kind(
            term=_zone,
            says="A ring that stands too high; negative is a groove.",
            form="A cos^2(pi (r - radius) / (2 width)) within one width",
            units={"waves": (-20.0, 20.0)},
            options={
                "radius": Setting(usual=0.6, low=0.0, high=1.0, says="of its crest"),
                "width": Setting(usual=0.15, low=0.02, high=1.0, says="at half its height"),
            },
        ),
        "roughness": Kind(
            term=_roughness,
            says="A surface polished in haste: fine random error.",
            form="random, power ~ frequency^-slope from 5 to 40 ripples across",
            units={"waves": (0.0, 5.0), "rms": (0.0, 1.0)},
            options={
                "slope": Setting(usual=2.5, low=0.0, high=6.0, says="of the power law"),
                "seed": Setting(usual=1, low=0, high=2**32 - 1, says="which roughness"),
            },
        ),
        "miscollimation": Kind(
            control=15.0,
            says="What the collimating screws tilt leans: its axis misses the middle of the field.",
            form="Newtonian: coma tilt D / (32 F^2) r^3 cos t, shadow off; others by exact rays",
            units={"arcmin": (0.0, 120.0), "mm": (0.0, 200.0)},
            directed=True,
        ),
        "secondary-shift": Kind(
            control=5.0,
            traced=True,
            layouts=("newtonian", "cassegrain", "schmidt-cassegrain"),
            says="The second mirror stands off the axis: a Cassegrain's, or a Newtonian's flat.",
            form="by exact rays: coma, shadow off the centre, light past the flat's edge",
            units={"mm": (0.0, 20.0)},
            directed=True,
            options={
                **_HANGING,
                "along": Setting(usual=0.0, low=-20.0, high=20.0, says=_ALONG),
            },
        ),
        "secondary-tilt": Kind(
            control=120.0,
            layouts=("newtonian",),
            says="A Newtonian's flat leans: its holder's axis, towards the sky, to the angle.",
            form="by reflection: coma, shadow off the centre, light past the flat's edge",
            units={"arcmin": (0.0, 900.0)},
            directed=True,
            options=_HANGING,
        ),
        "corrector-shift": Kind(
            control=2.0,
            traced=True,
            layouts=("schmidt-cassegrain",),
            says="The corrector plate stands off the axis.",
            form="by exact rays: coma",
            units={"mm": (0.0, 20.0)},
            directed=True,
        ),
        "back-focus": Kind(
            control=200.0,
            traced=True,
            layouts=("cassegrain", "maksutov", "schmidt-cassegrain"),
            says="Pieces behind a folded telescope put its focus too far back.",
            form="by exact rays: spherical aberration after the mirror has moved to focus",
            units={"mm": (-100.0, 500.0)},
        ),
        "mirror-spacing": Kind(
            control=10.0,
            traced=True,
            layouts=("cassegrain", "maksutov", "schmidt-cassegrain"),
            says="The second mirror stands farther from the first than it was made for.",
            form="by exact rays: spherical aberration, the eyepiece brought to the new focus",
            units={"mm": (-50.0, 50.0)},
        ),
        "lens-spacing": Kind(
            control=2.0,
            traced=True,
            layouts=("refractor",),
            says="The two glasses of a lens stand farther apart than they were made for.",
            form="by exact rays: spherical aberration",
            units={"mm": (-2.0, 10.0)},
        ),
        "off-axis": Kind(
            control=30.0,
            traced=True,
            says="The star stands off the middle of the field; focused there unless refocused=0.",
            form="by exact rays: coma, astigmatism, curved field",
            units={"arcmin": (0.0, 120.0), "mm": (0.0, 60.0)},
            directed=True,
            options={"refocused": Setting(usual=1, low=0, high=1, says="1 there, 0 in the middle")},
        ),
        "decentred-lens": Kind(
            says="A lens off its axis: coma on the axis, and with a wedge colour to one side.",
            form="coma A along the angle, wedge along the angle",
            directed=True,
            options={"wedge": Setting(usual=0.0, low=0.0, high=60.0, says="arcmin")},
        ),
        "wedge": Kind(
            control=3.0,
            says="A lens thicker on one side: red and blue stand apart.",
            form="colours moved by angle (n - n_e) along the direction",
            units={"arcmin": (0.0, 60.0)},
            directed=True,
        ),
        "colour": Kind(
            says="Blue and red focus apart, beyond what the glasses do.",
            form="defocus A (n - n_e) / (n_F - n_C)",
        ),
        "off-centre-shadow": Kind(
            control=20.0,
            says="The secondary hangs off the middle.",
            form="shadow moved along the angle",
            units={"%": (0.0, 40.0), "mm": (0.0, 500.0)},
            directed=True,
        ),
        "secondary": Kind(
            control=0.6,
            says="A secondary of another size, against the aperture.",
            form="obstruction = A",
            units={"ratio": (0.0, 0.8), "%": (0.0, 80.0), "mm": (0.0, 1000.0)},
        ),
        "vanes": Kind(
            control=6.0,
            says="Vanes of another thickness.",
            form="strips from the secondary to the rim",
            units={"mm": (0.0, 50.0)},
            options={"count": Setting(usual=4, low=1, high=8, says="how many")},
        ),
        "clips": Kind(
            control=12.0,
            says="Clips that hold the mirror reach over its rim.",
            form="rectangles at the rim",
            units={"mm": (0.0, 50.0)},
            options={
                "count": Setting(usual=3, low=1, high=12, says="how many"),
                "width": Setting(usual=10.0, low=0.5, high=100.0, says="mm along the rim"),
            },
        ),
        "dew": Kind(
            control=60.0,
            says="Droplets cover so much of the front glass, or of a mirror.",
            form="light that goes the straight way: (1 - A)^2; the rest a glow a degree wide",
            units={"%": (0.0, 90.0)},
        ),
        "plume": Kind(
            term=_plume,
            says="Warm air rises in the tube.",
            form="a ridge of A from the middle to the rim, Gaussian across, width at half height",
            units={"waves": (-20.0, 20.0)},
            directed=True,
            usual_angle=90.0,
            options={"width": Setting(usual=0.5, low=0.05, high=2.0, says="against the radius")},
        ),
        "cooling": Kind(
            control=120.0,
            says="A mirror that came out of a warm room so many minutes ago.",
            form="heat equation: figure by expansion; warm air over it as seeing and a plume",
            units={"minutes": (0.0, 600.0)},
            options={
                "difference": Setting(usual=15.0, low=0.0, high=40.0, says="K, room against night"),
                "thickness": Setting(usual=0.0, low=0.0, high=100.0, says="mm; 0: a sixth of it"),
                "borosilicate": Setting(usual=0, low=0, high=1, says="1 for such glass, 0 plate"),
                "pinch": Setting(usual=0.0, low=0.0, high=10.0, says="waves, of a cold cell"),
            },
        ),
        "seeing": Kind(
            control=4.0,
            says="Turbulent air, one moment of it.",
            form="von Karman screen",
            units={"arcsec": (0.0, 20.0)},
            options={"seed": Setting(usual=1, low=0, high=2**32 - 1, says="which moment")},
        ),
    }
)
