"""The wish: what a person asks for, as one frozen value. Lengths in mm, mass in kg."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from service.geometry import End
from service.workshop import Fastening, Style

Measured = Literal["existing-collar", "tape-two-fingers", "tape-snug"]

NECK_MIN, NECK_MAX = 150.0, 915.0
"""Shortest and longest neck measure [mm] that is read: a toy breed's puppy to a giant breed. From memory."""


class Collar(BaseModel):
    """A buckle collar. `None` for holes, pitch or stamp lets the engine choose; for studs or weight it means none."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Literal["collar"] = "collar"
    schema_version: Literal[1] = 1
    neck: Annotated[float, Field(ge=NECK_MIN, le=NECK_MAX)]
    measured: Measured = "existing-collar"
    weight: Annotated[float, Field(ge=0.5, le=130)] | None = None
    width: Annotated[float, Field(ge=8, le=80)] = 25.4
    style: Style = "centre-bar"
    end: End = "english-point"
    holes: Annotated[int, Field(ge=3, le=12)] | None = None
    pitch: Annotated[float, Field(ge=8, le=60)] | None = None
    leather: str
    finish: str
    fastening: Fastening = "rivet"
    studs: Annotated[float, Field(ge=8, le=200)] | None = None
    lettering: Annotated[str, Field(max_length=40)] = ""
    stamp: Annotated[float, Field(ge=3, le=25)] | None = None
