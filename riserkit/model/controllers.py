"""Door controllers: what they draw, what their lock output is, and what their auxiliary output gives."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from riserkit.model.base import Amps, FieldError, Fraction, Ohms, Tolerance, Volts, Watts
from riserkit.model.part_base import PartBase


class Controller(PartBase):
    """A door controller, a powered device on the cable.

    `output_kind` says what its lock output is: `powered`, a solid-state switch from its own rail of `output_v` that gives
    up to `output_limit_a`; or `dry`, a relay contact C, NO, NC without voltage of its own, which carries and breaks
    `contact_a` and `contact_v`. The relay's coil is part of `own_w`. `output_tolerance` is that of lock output and
    auxiliary output, of a dry one that of the auxiliary output alone. `feed_v`, `tolerance_low` and `tolerance_high` are
    what it takes at its auxiliary terminals where it is fed there from outside.
    """

    needs = (
        "poe_class", "own_w", "output_tolerance", "auxiliary_v", "auxiliary_limit_a", "converter_efficiency", "input_v",
    )  # fmt: skip
    solved_with = ("output_tolerance", "auxiliary_v")

    kind: Literal["controller"]
    poe_class: Annotated[int, Field(ge=0, le=8)] | None = None
    own_w: Watts | None = None
    output_kind: Literal["powered", "dry"] = "powered"
    output_v: Volts | None = None
    output_limit_a: Amps | None = None
    contact_a: Amps | None = None
    contact_v: Volts | None = None
    contact_ohm: Ohms | None = None
    output_tolerance: Tolerance | None = None
    auxiliary_v: Volts | None = None
    auxiliary_limit_a: Amps | None = None
    converter_efficiency: Fraction | None = None
    feed_v: Volts | None = None
    tolerance_low: Tolerance | None = None
    tolerance_high: Tolerance | None = None
    input_v: Volts | None = None
    has_reader: bool = True
    module_link: bool = True
    reader_bus: bool = False

    @model_validator(mode="after")
    def _has_the_values_of_its_output(self) -> Self:
        if self.is_dry and (named := self._stated("output_v", "output_limit_a")):
            raise FieldError(
                named.partition(" ")[0],
                f"expected no {named} with output_kind dry, whose contact gives no voltage of its own; state contact_a and"
                " contact_v, or output_kind powered",
            )
        if not self.is_dry and (named := self._stated("contact_a", "contact_v", "contact_ohm")):
            raise FieldError(
                named.partition(" ")[0],
                f"expected no {named} with output_kind powered, which has no contact; state output_v and output_limit_a, or"
                " output_kind dry",
            )
        return self

    def _stated(self, *names: str) -> str:
        return " or ".join(name for name in names if getattr(self, name) is not None)

    @property
    def is_dry(self) -> bool:
        """Its lock output is a relay contact without voltage of its own."""
        return self.output_kind == "dry"

    @property
    def output_needs(self) -> tuple[str, ...]:
        """The values that the checks of its kind of lock output read."""
        return ("contact_a", "contact_v") if self.is_dry else ("output_v", "output_limit_a")

    def needed(self) -> tuple[str, ...]:
        """As for every part, and what its kind of lock output needs."""
        return (*self.output_needs, *self.needs)

    def lacks_for_circuit(self) -> tuple[str, ...]:
        """As for every part; a powered lock output needs its voltage too."""
        powered = () if self.is_dry or self.output_v is not None else ("output_v",)
        return (*powered, *super().lacks_for_circuit())
