"""What a prescription may say; pydantic loads only where its text has something amiss."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from simview.eyepiece.lens import MOST_SURFACES

_FORBID = ConfigDict(extra="forbid", allow_inf_nan=False)


class SurfaceRow(BaseModel):
    """One [[surface]]; see simview.eyepiece.lens.Surface."""

    model_config = _FORBID

    radius_mm: float | Literal["plane"]
    thickness_mm: float = 0.0
    glass: str = "air"
    clear_mm: float


class LensFile(BaseModel):
    """One prescription; see simview.eyepiece.lens.Lens."""

    model_config = _FORBID

    title: str = ""
    apparent_field_deg: float = 40.0
    stop_after: int = 0
    stop_offset_mm: float = 0.0
    origin: Literal["published", "relations", "optimised", "user"] = "user"
    source: str = ""
    surface: list[SurfaceRow] = Field(min_length=2, max_length=MOST_SURFACES)
