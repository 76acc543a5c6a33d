"""What a page may ask for; text from outside becomes records here, and nowhere else."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from simview.air.conditions import culminating
from simview.errors import SimviewError
from simview.kit import Observer, Sky
from simview.scene.scene import Target

Frame = Literal["field", "middle", "object"]


class _Asked(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Side(_Asked):
    """One view: a kit on the table and a power; None takes its lowest."""

    kit: Annotated[str, Field(max_length=200)]
    power: Annotated[float, Field(gt=0.0, le=1e5)] | None = None


_USUAL: Final = Sky()


class Air(_Asked):
    """Air and sky; the record behind it checks the ranges."""

    seeing: float = _USUAL.seeing_arcsec
    sky_mag: float = _USUAL.sky_mag_arcsec2
    altitude: float = _USUAL.altitude_deg
    air: Annotated[str, Field(max_length=20)] = _USUAL.air
    seed: int = _USUAL.seed

    def sky(self) -> Sky:
        """Return the sky."""
        return Sky(
            seeing_arcsec=self.seeing,
            sky_mag_arcsec2=self.sky_mag,
            altitude_deg=self.altitude,
            air=self.air,  # type: ignore[arg-type] # the record checks the word
            seed=self.seed,
        )


class SeeWish(_Asked):
    """Answer "What would I see?": one to three views of one object.

    Parameters
    ----------
    frame
        The whole field, its middle at one apparent scale, or the object at one size.
    side_px
        Of each picture at rest.
    drag
        True while a control is moved: a coarser picture will do.
    shown
        Sides whose pictures are wanted, from 0; None for all, empty for words and figures alone.
    margin
        A picture is so many times wider than is shown, at the same scale.
    hold
        True for what the page will hold until a drag needs it: refused where others wait.
    """

    room: Literal["see"] = "see"
    number: int = 0
    target: Annotated[str, Field(min_length=1, max_length=80)]
    sides: Annotated[tuple[Side, ...], Field(min_length=1, max_length=3)]
    air: Air = Air()
    age: float = 40.0
    frame: Frame = "middle"
    adapt: Literal["sheet", "each"] = "sheet"
    side_px: Annotated[int, Field(ge=64, le=1400)] = 640
    drag: bool = False
    shown: Annotated[tuple[Annotated[int, Field(ge=0)], ...], Field(max_length=3)] | None = None
    margin: Annotated[float, Field(ge=1.0, le=1.5)] = 1.0
    hold: bool = False

    @model_validator(mode="after")
    def _shown_are_sides(self) -> SeeWish:
        if self.shown and max(self.shown) >= len(self.sides):
            raise ValueError(f"shown: from 0 to {len(self.sides) - 1}")
        return self

    @property
    def pictured(self) -> tuple[int, ...]:
        """Sides whose pictures are wanted."""
        return tuple(range(len(self.sides))) if self.shown is None else self.shown

    def sky(self, subject: Target) -> Sky:
        """Return the sky over an object, which stands no higher than it culminates."""
        return culminating(self.air.sky(), subject)

    def observer(self) -> Observer:
        """Return the eye."""
        return Observer(age_years=self.age)


class Evening(_Asked):
    """Ask what stands in the sky of a place on the evening of a day.

    Parameters
    ----------
    lat, lon
        Degrees, north and east positive; the record of the evening checks them.
    """

    date: Annotated[str, Field(max_length=20)]
    lat: float
    lon: float = 0.0


class Corrected(_Asked):
    """What a visitor knows better than the advert's reading; None where it was read right."""

    aperture_mm: float | None = None
    focal_length_mm: float | None = None
    eyepieces_mm: Annotated[tuple[float, ...], Field(max_length=12)] | None = None
    amplifiers: Annotated[tuple[float, ...], Field(max_length=6)] | None = None
    claimed_powers: Annotated[tuple[float, ...], Field(max_length=12)] | None = None
    layout: Annotated[str, Field(max_length=30)] | None = None
    mount: Annotated[str, Field(max_length=30)] | None = None
    price: float | None = None


class Means(_Asked):
    """What may be spent on something instead of an offer; None is no limit."""

    budget: Annotated[float, Field(ge=0.0, le=1e7)] | None = None


class StarWish(_Asked):
    """Answer "What is wrong with it?": a star with faults, at a distance from focus.

    Parameters
    ----------
    faults
        As the command line takes them: ``"coma=0.3@30"``.
    turns
        Of the primary's three screws, or None where they are not touched.
    waves
        From focus, in waves.
    """

    room: Literal["star"] = "star"
    number: int = 0
    kit: Annotated[str, Field(max_length=200)]
    faults: Annotated[tuple[Annotated[str, Field(max_length=60)], ...], Field(max_length=12)] = ()
    turns: tuple[float, float, float] | None = None
    waves: Annotated[float, Field(ge=-8.0, le=8.0)] = 5.0
    side_px: Annotated[int, Field(ge=64, le=1024)] = 384
    drag: bool = False


Model = TypeVar("Model", bound=BaseModel)


def checked(model: type[Model], told: Any) -> Model:
    """Return `told` as this model.

    Raises
    ------
    SimviewError
        Names the first thing that is wrong.
    """
    try:
        return model.model_validate(told)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = ".".join(str(step) for step in first["loc"]) or "the wish"
        raise SimviewError(place, got=first.get("input"), allowed=first["msg"]) from None
