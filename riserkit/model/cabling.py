"""Pathways, cable types and runs."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from riserkit.model.base import CableLength, Celsius, Diameter, EndName, FieldError, Gauge, Id, Record, Text


class PathwayKind(StrEnum):
    """What carries the cable."""

    TRAY = "tray"
    CONDUIT = "conduit"
    SLEEVE = "sleeve"
    RISER = "riser"


class Space(StrEnum):
    """What the jacket must be fit for, from the least to the most demanding indoors; outdoor is apart."""

    GENERAL = "general"
    RISER = "riser"
    PLENUM = "plenum"
    OUTDOOR = "outdoor"


class PathwaySegment(Record):
    """A stretch of pathway between two nodes. Without `length_m` its length is that of the line between them.

    `space` left out: that of a riser between two levels, else that above the ceiling of its level. `bundle_cables`:
    four-pair cables tied together or lying close, at most, cables of others counted with them; left out, all that the site has
    in the stretch are one bundle, with no others.
    """

    id: Id
    from_node: Id
    to_node: Id
    kind: PathwayKind = PathwayKind.TRAY
    space: Space | None = None
    length_m: CableLength | None = None
    trade_size: Text = ""
    temperature_c: Celsius | None = None
    bundle_cables: Annotated[int, Field(ge=1, le=10_000)] | None = None

    @model_validator(mode="after")
    def _two_ends(self) -> Self:
        if self.from_node == self.to_node:
            raise FieldError("to_node", "expected two different nodes in from_node and to_node")
        return self


class CableType(Record):
    """A kind of cable.

    A `category` cable has four pairs of `gauge` (category 5e to 6A: 24 to 23 AWG); a `control` cable has `conductors` of
    `gauge`; an `optical` one has `conductors` fibres and no gauge. `stranding` says how its conductors are made; where it is
    empty the higher resistance, that of stranded ones, is taken. `colours` are the letters (IEC 60757) of the conductors
    of the cable really bought, in the order they are to be used; empty takes the standard's own order. `jacket` is the
    listing mark such as CMP, CL3R; free text outside the published substitution table is accepted and reported as not
    evaluated. `rating_c` is the marked temperature rating of a category cable; unmarked, it counts as 60 °C, the least that
    a listed cable has.
    """

    id: Id
    title: Text = ""
    kind: Literal["category", "control", "optical"]
    category: Annotated[str, StringConstraints(pattern=r"^(5e|6|6A|7|7A|8)?$")] = ""
    conductors: Annotated[int, Field(ge=1, le=288)] = 8
    gauge: Gauge | None = None
    stranding: Literal["", "solid", "stranded"] = ""
    screened: bool = False
    outside_diameter_m: Diameter | None = None
    rating_c: Celsius | None = None
    jacket: Text = ""
    colours: Text = ""

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind != "optical" and self.gauge is None:
            raise FieldError("gauge", "expected a gauge, such as 23 AWG, for a copper cable")
        if self.kind == "category" and self.conductors != 8:
            raise FieldError("conductors", "expected 8 conductors (four pairs) in a category cable")
        letters = self.colours.upper().split()
        if letters and (len(letters) != self.conductors or len(set(letters)) != len(letters)):
            raise FieldError("colours", f"expected {self.conductors} different colours, such as BK RD, or none")
        return self


class Reel(Record):
    """A reel that has been cut from: `left_m` is what is left on it. The reel plan cuts from these before it begins new ones."""

    id: Id
    cable_type: Id
    left_m: CableLength


class LengthBasis(StrEnum):
    """How a length is known, the surest first."""

    MEASURED = "measured"
    STATED = "stated"
    ROUTED = "routed"
    ESTIMATED = "estimated"


class Run(Record):
    """A cable between two ends.

    An end is a closet's id, an opening's mark, or a device at an opening, as `MARK/lock`: one of `controller`, `lock`,
    `lock2` (the second leaf's), `contact`, `lock_contact` (in the lock), `rex`, `rex_feed` (the sensor's contact in the
    lock's feed), `reader`, `relay`, `release`, `fire`, `supply`, `box`, `request` (from the box to the REX/AUX input), and
    `leaf`, `rex_leaf`, `release_leaf` (over the hinges). A cable at a door goes from `MARK/controller` to its device, or
    from what feeds it. `length_m` is the permanent link without cords.
    """

    id: Id
    from_end: EndName
    to_end: EndName
    cable_type: Id = ""
    length_m: CableLength | None = None
    basis: Literal["measured", "stated"] = "stated"
    label: Text = ""

    @model_validator(mode="after")
    def _two_ends(self) -> Self:
        if self.from_end == self.to_end:
            raise FieldError("to_end", "expected two different ends in from_end and to_end")
        return self
