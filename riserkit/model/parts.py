"""The parts catalogue: what each kind of part is, which values it needs, and which this one lacks.

Values are optional on purpose: a part whose data sheet is not at hand may stand on a drawing, but a rule that needs the
missing value says so and does not pass it.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from riserkit.model.base import (
    AmpHours,
    Amps,
    CoilAmps,
    FieldError,
    Fraction,
    Henries,
    Joules,
    Ohms,
    Seconds,
    Tolerance,
    Volts,
    Watts,
)
from riserkit.model.controllers import Controller
from riserkit.model.part_base import PartBase

__all__ = [
    "Accessory", "Contact", "Controller", "DcSupply", "FireRelay", "Lock", "Part", "PartBase", "Reader", "Relay",
    "ReleaseButton", "RexSensor", "Splitter", "Suppressor",
]  # fmt: skip


class Lock(PartBase):
    """A strike, an electromagnetic lock or an electrified exit device.

    `hold_a` is the steady current at `rated_v`, `pull_in_a` the current while it picks up. `tolerance_low` and
    `tolerance_high` are the fractions of `rated_v` below and above at which it still works. `v_pull_in_v` and `v_drop_out_v` are coil
    volts. `action` says what it does unpowered; empty when it can be set either way. `own_supply`: it has a supply of its own
    with a dry trigger input. `in_leaf` of a latch or exit device: no, where it is in no leaf that turns on hinges, as in a
    turnstile, a shutter or the header of a sliding door; left out, its power goes over the hinges.

    A lock may have a contact of its own for the controller's door input: `latch_contact` of a strike, latch or exit device
    watches the `bolt` (there or not) or the `keeper` (whether it holds the bolt), `bond_contact` of an electromagnetic lock
    whether the armature is held. `contact_when_secured` says its position then, `contact_a` and `contact_v` what it carries
    and breaks.
    """

    needs = ("rated_v", "hold_a", "tolerance_low", "tolerance_high")

    kind: Literal["strike", "electromagnetic-lock", "electrified-exit-device", "electrified-latch"]
    action: Literal["", "fail-safe", "fail-secure"] = ""
    rated_v: Volts | None = None
    hold_a: Amps | None = None
    pull_in_a: Amps | None = None
    tolerance_low: Tolerance | None = None
    tolerance_high: Tolerance | None = None
    inductance_h: Henries | None = None
    v_pull_in_v: Volts | None = None
    v_drop_out_v: Volts | None = None
    own_supply: bool = False
    in_leaf: bool | None = None
    free_egress: bool | None = None
    suppressor_fitted: bool = False
    latch_contact: Literal["", "bolt", "keeper"] = ""
    bond_contact: bool = False
    contact_when_secured: Literal["", "closed", "open"] = ""
    contact_a: Amps | None = None
    contact_v: Volts | None = None

    @model_validator(mode="after")
    def _has_the_contact_of_its_kind(self) -> Self:
        magnet = self.kind == "electromagnetic-lock"
        if magnet and self.latch_contact:
            raise FieldError(
                "latch_contact",
                "expected bond_contact of an electromagnetic lock, which has no bolt for a latch_contact",
            )
        if self.bond_contact and not magnet:
            raise FieldError(
                "bond_contact", f"expected latch_contact of kind {self.kind}, which has no armature for a bond_contact"
            )
        return self

    @model_validator(mode="after")
    def _is_where_its_kind_may_be(self) -> Self:
        if self.in_leaf is not None and self.kind in ("strike", "electromagnetic-lock"):
            where = (
                "of a strike the opening's mullion says it" if self.kind == "strike" else "it is at the frame's head"
            )
            raise FieldError("in_leaf", f"expected of an electrified latch or exit device alone; {where}")
        return self

    @property
    def own_contact(self) -> str:
        """Which contact of its own reports whether it is engaged, in words; empty where it has none."""
        if self.bond_contact:
            return "bond contact"
        return {"bolt": "latch contact (bolt)", "keeper": "latch contact (keeper)"}.get(self.latch_contact, "")

    @property
    def contact_follows_coil(self) -> bool:
        """Its contact reports a released lock though the door stays closed; one that sees the bolt only does not."""
        return self.bond_contact or self.latch_contact == "keeper"

    def lacks(self) -> tuple[str, ...]:
        """As for every part; one with a contact of its own needs that contact's data too."""
        own = ("contact_when_secured", "contact_a", "contact_v") if self.own_contact else ()
        return (*super().lacks(), *(name for name in own if getattr(self, name) in (None, "")))


class Relay(PartBase):
    """A relay module.

    `command` is how it is driven: by an authenticated message on two wires, or by voltage present. The tolerances are those of
    its own supply and of its trigger alike.
    """

    needs = ("coil_v", "coil_a", "tolerance_low", "tolerance_high", "contact_a", "contact_v")
    solved_with = ("coil_v", "coil_a", "tolerance_low")

    kind: Literal["relay"]
    command: Literal["authenticated", "voltage"]
    coil_v: Volts | None = None
    coil_a: CoilAmps | None = None
    trigger_v: Volts | None = None
    trigger_a: CoilAmps | None = None
    tolerance_low: Tolerance | None = None
    tolerance_high: Tolerance | None = None
    v_drop_out_v: Volts | None = None
    contact_a: Amps | None = None
    contact_v: Volts | None = None
    contact_ohm: Ohms | None = None
    factory_link: bool = False

    def lacks(self) -> tuple[str, ...]:
        """As for every part; one driven by voltage needs its trigger too."""
        return (*super().lacks(), *self._lacks_trigger())

    def lacks_for_circuit(self) -> tuple[str, ...]:
        """As for every part; one driven by voltage needs its trigger too."""
        return (*super().lacks_for_circuit(), *self._lacks_trigger())

    def _lacks_trigger(self) -> tuple[str, ...]:
        if self.command != "voltage":
            return ()
        return tuple(name for name in ("trigger_v", "trigger_a") if getattr(self, name) is None)


class RexSensor(PartBase):
    """A request-to-exit sensor; closes its normally open contact on motion.

    `releases_on_loss`: losing its supply closes it too, so that the door releases. `poles`: a second one opens on motion and
    may break lock power itself; `contact_a` and `contact_v` are what a pole carries and breaks. `draw_a` of 0: it needs no
    power. `in_leaf`: it is in the bar or handle on the leaf, and its wires go over the hinges; no, on the wall or the frame.
    """

    needs = ("draw_a", "poles", "contact_a", "contact_v")
    solved_with = ("draw_a",)

    kind: Literal["rex-sensor"]
    rated_v: Volts | None = None
    draw_a: Amps | None = None
    tolerance_low: Tolerance | None = None
    tolerance_high: Tolerance | None = None
    v_drop_out_v: Volts | None = None
    releases_on_loss: bool | None = None
    poles: Annotated[int, Field(ge=1, le=4)] | None = None
    contact_a: Amps | None = None
    contact_v: Volts | None = None
    contact_ohm: Ohms | None = None
    in_leaf: bool | None = None

    @property
    def is_powered(self) -> bool:
        """It takes a supply; one whose draw is not stated is taken to."""
        return self.draw_a != 0

    @property
    def breaks_on_loss(self) -> bool:
        """A second pole of it can stand in a lock's feed, and opens when the sensor loses its supply."""
        if self.in_leaf:
            return False
        return self.is_powered and bool(self.releases_on_loss) and self.poles is not None and self.poles >= 2

    def lacks(self) -> tuple[str, ...]:
        """As for every part; one that draws power needs what it is rated for too."""
        powered = ("rated_v", "tolerance_low", "tolerance_high", "releases_on_loss") if self.is_powered else ()
        return (*super().lacks(), *(name for name in powered if getattr(self, name) is None))

    def lacks_for_circuit(self) -> tuple[str, ...]:
        """As for every part; one whose relay drops with its supply needs the voltage that this happens at."""
        held = ("rated_v", "tolerance_low") if self.is_powered and self.releases_on_loss else ()
        return (*super().lacks_for_circuit(), *(name for name in held if getattr(self, name) is None))


class Contact(PartBase):
    """A door position switch, closed while the door is closed."""

    needs = ("contact_a", "contact_v")

    kind: Literal["door-contact"]
    contact_a: Amps | None = None
    contact_v: Volts | None = None


class ReleaseButton(PartBase):
    """A manual release.

    `poles`: one breaks lock power itself, a second may tell the controller. `hold_s`: how long it stays out; nothing asks it
    of a switch in the bar or handle on the leaf (`in_leaf`), whose wires go over the hinges.
    """

    needs = ("contact_a", "contact_v", "hold_s", "poles")

    kind: Literal["release-button"]
    contact_a: Amps | None = None
    contact_v: Volts | None = None
    contact_ohm: Ohms | None = None
    poles: Annotated[int, Field(ge=1, le=4)] | None = None
    hold_s: Seconds | None = None
    in_leaf: bool | None = None

    @property
    def signals(self) -> bool:
        """A second pole may tell the controller."""
        return self.poles is not None and self.poles >= 2

    def lacks(self) -> tuple[str, ...]:
        """As for every part, but how long one in the leaf stays out: as long as the bar is pushed."""
        return tuple(name for name in super().lacks() if name != "hold_s" or not self.in_leaf)


class DcSupply(PartBase):
    """A DC supply.

    `output_v` is nominal, within `tolerance`. With a battery it floats at `float_v` at most while the mains are on, and falls
    to `end_v` when the battery is spent; `regulated`: a converter behind the battery keeps the output within `tolerance` in
    either condition.
    """

    needs = ("output_v", "output_a")
    solved_with = ("output_v",)

    kind: Literal["dc-supply"]
    output_v: Volts | None = None
    output_a: Amps | None = None
    tolerance: Tolerance | None = None
    battery_ah: AmpHours | None = None
    float_v: Volts | None = None
    end_v: Volts | None = None
    regulated: bool = False
    source_ohm: Ohms | None = None

    @model_validator(mode="after")
    def _battery_falls(self) -> Self:
        if self.float_v is not None and self.end_v is not None and self.end_v >= self.float_v:
            raise FieldError("end_v", f"expected end_v below {self.float_v:g}, the float_v that a battery falls from")
        return self

    @property
    def follows_battery(self) -> bool:
        """Its output goes up and down with its battery."""
        return not self.regulated and any(x is not None for x in (self.battery_ah, self.float_v, self.end_v))

    @property
    def most_v(self) -> float | None:
        """Highest output voltage; None where it is not stated."""
        if self.follows_battery or self.output_v is None or self.tolerance is None:
            return self.float_v if self.follows_battery else None
        return self.output_v * (1 + self.tolerance)

    @property
    def least_v(self) -> float | None:
        """Lowest output voltage; None where it is not stated."""
        if self.follows_battery or self.output_v is None or self.tolerance is None:
            return self.end_v if self.follows_battery else None
        return self.output_v * (1 - self.tolerance)

    @property
    def range_v(self) -> tuple[float, float, float] | None:
        """(nominal, least, most) output voltage; None where one is not stated."""
        if self.output_v is None or self.least_v is None or self.most_v is None:
            return None
        return self.output_v, self.least_v, self.most_v

    def lacks(self) -> tuple[str, ...]:
        """As for every part, and what its output lies between."""
        return (*super().lacks(), *self._lacks_range())

    def lacks_for_circuit(self) -> tuple[str, ...]:
        """As for every part, and what its output lies between."""
        return (*super().lacks_for_circuit(), *self._lacks_range())

    def _lacks_range(self) -> tuple[str, ...]:
        names = ("float_v", "end_v") if self.follows_battery else ("tolerance",)
        return tuple(name for name in names if getattr(self, name) is None)


class Splitter(PartBase):
    """A PoE splitter: a powered device whose 12 V output feeds everything at the door."""

    needs = ("poe_class", "output_v", "output_a", "output_tolerance", "efficiency", "own_w")
    solved_with = ("output_v", "output_tolerance")

    kind: Literal["splitter"]
    poe_class: Annotated[int, Field(ge=0, le=8)] | None = None
    output_v: Volts | None = None
    output_a: Amps | None = None
    output_tolerance: Tolerance | None = None
    efficiency: Fraction | None = None
    own_w: Watts | None = None


class Suppressor(PartBase):
    """What takes up a coil's kick: a diode (polarity matters) or a varistor or transient suppressor (it does not).

    `clamp_v` is the voltage at which it conducts, of a diode its forward voltage; `rated_a` the current that it may take
    each time, `energy_j` the energy.
    """

    needs = ("clamp_v", "rated_a")
    solved_with = ("clamp_v",)

    kind: Literal["diode", "varistor", "transient-suppressor"]
    clamp_v: Volts | None = None
    rated_a: Amps | None = None
    energy_j: Joules | None = None


class Reader(PartBase):
    """A reader on the controller's bus. It works from `tolerance_low` below `rated_v` to `tolerance_high` above."""

    needs = ("rated_v", "draw_a", "tolerance_low", "tolerance_high")
    solved_with = ("draw_a",)

    kind: Literal["reader"]
    rated_v: Volts | None = None
    draw_a: Amps | None = None
    tolerance_low: Tolerance | None = None
    tolerance_high: Tolerance | None = None


class FireRelay(PartBase):
    """A contact of the fire alarm system. `in_alarm`: what it does in alarm; only one that opens can stand in a lock's feed."""

    needs = ("contact_a", "contact_v", "in_alarm")

    kind: Literal["fire-alarm-relay"]
    in_alarm: Literal["opens", "closes"] | None = None
    contact_a: Amps | None = None
    contact_v: Volts | None = None
    contact_ohm: Ohms | None = None


class Accessory(PartBase):
    """A box, a hinge transfer, a transient protector: on the list, without electrical data."""

    kind: Literal["accessory"]


Part = Annotated[
    Lock | Controller | Relay | RexSensor | Contact | ReleaseButton | DcSupply | Splitter | Suppressor | Reader
    | FireRelay
    | Accessory,
    Field(discriminator="kind"),
]  # fmt: skip


def is_in_leaf(part: Part | None) -> bool:
    """Whether a part is a switch in the bar or handle on the leaf; one of which that is not stated is taken to be on the wall."""
    return isinstance(part, RexSensor | ReleaseButton) and bool(part.in_leaf)
