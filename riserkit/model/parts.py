"""The parts catalogue: what each kind of part is, which values it needs, and which this one lacks.

Values are optional on purpose: a part whose data sheet is not at hand may stand on a drawing, but a rule that needs
the
missing value says so and does not pass it.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from riserkit.model.base import (
    AmpHours,
    Amps,
    Fraction,
    Henries,
    Id,
    Newtons,
    Ohms,
    Record,
    Seconds,
    Text,
    Tolerance,
    Volts,
    Watts,
)


class PartBase(Record):
    """What every part has. `needs` names the values that the checks of its kind read."""

    needs: ClassVar[tuple[str, ...]] = ()

    id: Id
    title: Text = ""

    def lacks(self) -> tuple[str, ...]:
        """The needed values that this part does not state."""
        return tuple(name for name in self.needs if getattr(self, name) is None)


class Lock(PartBase):
    """A strike, an electromagnetic lock or an electrified exit device.

    `hold_a` is the steady current at `rated_v`, `pull_in_a` the current while it picks up. `tolerance_low` and
    `tolerance_high` are the
    fractions of `rated_v` below and above at which it still works. `v_pull_in_v` and `v_drop_out_v` are coil
    volts. `action` says what it
    does unpowered; empty when it can be set either way.
    """

    needs = ("rated_v", "hold_a", "tolerance_low", "tolerance_high")

    kind: Literal["strike", "electromagnetic-lock", "electrified-exit-device", "electrified-latch"]
    action: Literal["", "fail-safe", "fail-secure"] = ""
    rated_v: Volts | None = None
    hold_a: Amps | None = None
    pull_in_a: Amps | None = None
    pull_in_s: Seconds | None = None
    tolerance_low: Tolerance | None = None
    tolerance_high: Tolerance | None = None
    inductance_h: Henries | None = None
    v_pull_in_v: Volts | None = None
    v_drop_out_v: Volts | None = None
    holding_force_n: Newtons | None = None
    own_supply: bool = False
    free_egress: bool | None = None
    suppressor_fitted: bool = False


class Controller(PartBase):
    """A door controller, a powered device on the cable. Its lock output is a solid-state switch from its own 12 V."""

    needs = ("poe_class", "own_w", "output_v", "output_limit_a")

    kind: Literal["controller"]
    poe_class: Annotated[int, Field(ge=0, le=8)] | None = None
    own_w: Watts | None = None
    output_v: Volts | None = None
    output_limit_a: Amps | None = None
    output_tolerance: Tolerance = 0.05
    auxiliary_v: Volts | None = None
    auxiliary_limit_a: Amps | None = None
    converter_efficiency: Fraction = 0.85
    input_v: Volts | None = None
    has_reader: bool = True
    module_link: bool = True
    reader_bus: bool = False


class Relay(PartBase):
    """A relay module.

    `command` is how it is told: by an authenticated message on two wires, or by voltage present.
    """

    needs = ("coil_v", "coil_a", "contact_a")

    kind: Literal["relay"]
    command: Literal["authenticated", "voltage"]
    coil_v: Volts | None = None
    coil_a: Amps | None = None
    trigger_v: Volts | None = None
    trigger_a: Amps | None = None
    contact_a: Amps | None = None
    contact_v: Volts | None = None
    factory_link: bool = False


class RexSensor(PartBase):
    """A request-to-exit sensor; closes its normally open contact on motion.

    `releases_on_loss`: losing its supply closes it too, so that the door releases. `poles`: a second one opens on motion and
    may break lock power itself; `contact_a` is what that one carries.
    """

    needs = ("rated_v", "draw_a")

    kind: Literal["rex-sensor"]
    rated_v: Volts | None = None
    draw_a: Amps | None = None
    tolerance_low: Tolerance = 0.15
    tolerance_high: Tolerance = 0.15
    releases_on_loss: bool | None = None
    poles: Annotated[int, Field(ge=1, le=4)] | None = None
    contact_a: Amps | None = None


class Contact(PartBase):
    """A door position switch, closed while the door is closed."""

    needs = ("contact_a",)

    kind: Literal["door-contact"]
    contact_a: Amps | None = None


class ReleaseButton(PartBase):
    """A manual release.

    `poles`: one breaks lock power itself, a second may tell the controller. `hold_s`: how long it stays out.
    """

    needs = ("contact_a", "hold_s", "poles")

    kind: Literal["release-button"]
    contact_a: Amps | None = None
    poles: Annotated[int, Field(ge=1, le=4)] | None = None
    hold_s: Seconds | None = None
    draw_a: Amps | None = None


class DcSupply(PartBase):
    """A DC supply. `output_v` is nominal, `float_v` with the battery charged, `end_v` when it is spent."""

    needs = ("output_v", "output_a", "tolerance")

    kind: Literal["dc-supply"]
    output_v: Volts | None = None
    output_a: Amps | None = None
    tolerance: Tolerance | None = None
    battery_ah: AmpHours | None = None
    float_v: Volts | None = None
    end_v: Volts | None = None
    source_ohm: Ohms | None = None
    fire_input: bool = False


class Splitter(PartBase):
    """A PoE splitter: a powered device whose 12 V output feeds everything at the door."""

    needs = ("poe_class", "output_v", "output_a", "efficiency")

    kind: Literal["splitter"]
    poe_class: Annotated[int, Field(ge=0, le=8)] | None = None
    output_v: Volts | None = None
    output_a: Amps | None = None
    output_tolerance: Tolerance = 0.05
    efficiency: Fraction | None = None
    own_w: Watts = 0.5


class Suppressor(PartBase):
    """What takes up a coil's kick: a diode (polarity matters) or a varistor or transient suppressor (it does not)."""

    needs = ("clamp_v",)

    kind: Literal["diode", "varistor", "transient-suppressor"]
    clamp_v: Volts | None = None
    rated_a: Amps | None = None


class Reader(PartBase):
    """A second reader on the controller's bus."""

    needs = ("rated_v", "draw_a")

    kind: Literal["reader"]
    rated_v: Volts | None = None
    draw_a: Amps | None = None


class FireRelay(PartBase):
    """A contact of the fire alarm system that opens in alarm."""

    needs = ("contact_a",)

    kind: Literal["fire-alarm-relay"]
    contact_a: Amps | None = None


class Accessory(PartBase):
    """A box, a hinge transfer, a transient protector: on the list, without electrical data."""

    kind: Literal["accessory"]


Part = Annotated[
    Lock | Controller | Relay | RexSensor | Contact | ReleaseButton | DcSupply | Splitter | Suppressor | Reader
    | FireRelay
    | Accessory,
    Field(discriminator="kind"),
]  # fmt: skip
