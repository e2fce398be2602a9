"""Rex sensors as components: terminals as labelled on the sheet, and their electrical model."""

from __future__ import annotations

from riserkit.circuits.netlist import Component, Element, ElementKind, OutsideState, Terminal
from riserkit.model.parts import RexSensor
from riserkit.standards.door_devices import SENSOR_DROP_OUT
from riserkit.wiring.parts.electrical import coil_values, contact, electronics, least_v
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole


def rex_sensor(part: RexSensor, ref: str = "B2", *, place: str, breaks: bool = False) -> Component:
    """A REX sensor: its NO contact closes on motion and, where the part is made so, when it loses its supply.

    `place` is where it is put, in words. `breaks`: a second pole 2C 2NC opens at the same time, in the lock's feed.
    """
    contact_terminals: tuple[Terminal, ...] = (Terminal("C", "common"), Terminal("NO", "closes on motion"))
    title = part.title or "REX sensor"
    motion = (OutsideState("motion", StateRole.MOTION),)
    own_ohm = part.contact_ohm
    plain = contact("contact", "C", "NO", f"{ref}.motion", ElementRole.SENSOR_CONTACT, closed=False, ohm=own_ohm)
    if not part.is_powered:
        return Component(
            ref, title, contact_terminals, (plain,), part.id, place=place, role=DeviceRole.REX_SENSOR, states=motion,
            in_leaf=bool(part.in_leaf),
        )  # fmt: skip
    supply = (Terminal("+", "supply", "+"), Terminal("-", "supply", "-"))
    if part.releases_on_loss:
        # The relay inside is held while idle; motion or a lost supply lets it go, which closes NO at the terminals.
        elements: tuple[Element, ...] = (
            contact("sense", "+", "_held", f"{ref}.motion", ElementRole.SENSOR_DETECTOR, closed=True),
            Element(
                "relay", ElementKind.COIL, "_held", "-",
                coil_values(
                    part.rated_v, part.draw_a, least_v(part.rated_v, part.tolerance_low), part.v_drop_out_v,
                    SENSOR_DROP_OUT.value,
                ),
                role=ElementRole.SENSOR_RELAY,
            ),
            contact("contact", "C", "NO", f"{ref}.relay", ElementRole.SENSOR_CONTACT, closed=True, ohm=own_ohm),
        )  # fmt: skip
        if breaks:
            contact_terminals += (Terminal("2C", "lock power"), Terminal("2NC", "lock power, opens on motion"))
            pole = ElementRole.SENSOR_POLE
            elements += (contact("break", "2C", "2NC", f"{ref}.relay", pole, closed=False, ohm=own_ohm),)
    else:
        elements = (
            electronics(part.draw_a, ElementRole.SENSOR_LOAD),
            plain,
        )  # fmt: skip
    return Component(
        ref, title, supply + contact_terminals, tuple(elements), part.id, place=place, role=DeviceRole.REX_SENSOR,
        states=motion, in_leaf=bool(part.in_leaf),
    )  # fmt: skip
