"""What was built otherwise than designed: was and is, who says so and when."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.as_built.places import built_length, height_column, part_column, resolved_port, tested_length_m
from riserkit.circuits.netlist import Component
from riserkit.design import Design, DoorDesign
from riserkit.model.as_built import AsBuilt, BuiltDifference
from riserkit.model.returned import Returned, ReturnedDevice
from riserkit.quantities.printed import UnitSystem, format_length
from riserkit.wiring.landed import OtherLanding, landed_otherwise
from riserkit.wiring.roles import DeviceRole

_INCH_M: Final = 0.0254
_SHARE: Final = 0.1
_LEAST_M: Final = 1.0
"""A measured length differs from the drawn one by more than ten per cent and a metre, which a walked route commonly does
without being another (common practice, no source)."""


def differences(made: Design, built: AsBuilt) -> Iterator[BuiltDifference]:
    """Every difference, openings in order, what is at no opening last.

    Args:
        made: as designed.
        built: what has come back.
    """
    for door in made.doors:
        yield from _landings(made, door, built)
        yield from _devices(made, door, built)
        yield from _port(made, door, built)
    yield from _cables(made, built)
    for row in built.equipment:
        supply = made.site.supply.get(row.equipment)
        if supply is not None and row.fitted_part not in ("", supply.part):
            yield _difference(row, "", "part", f"supply {supply.id}, part", (supply.part, row.fitted_part))


def _difference(row: Returned, opening: str, kind: str, subject: str, was_is: tuple[str, str]) -> BuiltDifference:
    return BuiltDifference.model_validate({
        "opening": opening, "kind": kind, "subject": subject, "was": was_is[0], "is_now": was_is[1], "by": row.by,
        "date": row.date, "file": row.file,
    })  # fmt: skip


def _landings(made: Design, door: DoorDesign, built: AsBuilt) -> Iterator[BuiltDifference]:
    netlist = door.wiring.netlist
    for landed in landed_otherwise(netlist, built.landings_of.get(door.mark, ())) if netlist else ():
        label = made.labels.cable.get(door.mark, "")
        yield _difference(landed.returned, door.mark, "landing", landed_name(landed, label), was_and_is(landed))


def landed_name(landed: OtherLanding, horizontal: str = "") -> str:
    """The conductor of a landing, as a crew has it in hand."""
    row = landed.returned
    if landed.drawn is not None:
        cable = row.cable or horizontal or landed.drawn.cable
        return f"conductor {landed.drawn.ref}, {' '.join(filter(None, (cable, landed.drawn.colour)))}"
    return f"spare conductor, {row.cable} {row.colour}" if row.cable else "lead that is not on the drawings"


def was_and_is(landed: OtherLanding) -> tuple[str, str]:
    """Where a conductor lands as drawn, and as built."""
    drawn, built = landed.drawn, landed.built
    was = f"{drawn.a} to {drawn.b}" if drawn is not None else "spare" if landed.returned.cable else "none"
    is_now = f"{built.a} to {built.b}" if built is not None else "not landed"
    if drawn is not None and built is not None and drawn.colour != built.colour:
        return f"{drawn.colour}, {was}", f"{built.colour}, {is_now}"
    return was, is_now


def _devices(made: Design, door: DoorDesign, built: AsBuilt) -> Iterator[BuiltDifference]:
    netlist = door.wiring.netlist
    for component in netlist.components if netlist else ():
        row = built.devices_of.get(door.mark, {}).get(component.ref)
        for what, was, is_now in _device(made, door, component, row) if row is not None else ():
            if was != is_now and row is not None:
                kind = "part" if what == "part" else "device"
                yield _difference(row, door.mark, kind, f"{component.ref} {component.title}, {what}", (was, is_now))


def _device(
    made: Design, door: DoorDesign, component: Component, row: ReturnedDevice
) -> Iterator[tuple[str, str, str]]:
    system = made.site.info.unit_system
    if row.fitted_part and (part_column(door, component) or component.role == DeviceRole.SUPPLY):
        yield "part", component.part, row.fitted_part
    if row.fitted_height_m is not None:
        column = height_column(door, component)
        drawn_m = getattr(door.opening, column) if column else None
        yield "height", _height(drawn_m, system), _height(row.fitted_height_m, system)
    if row.fitted_side:
        yield "side", "unsecured" if component.exposed else "secured", row.fitted_side
    if row.fitted_place:
        yield "place", component.place or "not stated", row.fitted_place


def _height(height_m: float | None, system: UnitSystem) -> str:
    if height_m is None:
        return "not stated"
    return f"{height_m / _INCH_M:.0f} in" if system == "imperial" else f"{height_m:.2f} m"


def _port(made: Design, door: DoorDesign, built: AsBuilt) -> Iterator[BuiltDifference]:
    row = next((row for row in built.ports if row.opening == door.mark), None)
    used = resolved_port(made, row) if row is not None else None
    if row is None or used is None:
        return
    was = made.labels.port_of(door.placement) or "none"
    is_now = made.labels.port.get(f"{used[1]}:{used[2]}", row.used_port)
    if was != is_now:
        yield _difference(row, door.mark, "port", f"PoE cable {made.labels.cable.get(door.mark, '')}", (was, is_now))


def _cables(made: Design, built: AsBuilt) -> Iterator[BuiltDifference]:
    system = made.site.info.unit_system
    tests = built.test_of
    for cable in made.cables:
        label = cable.called
        row = built_length(made, built, cable.subject)
        said: Returned | None = row or tests.get(label) or tests.get(cable.subject)
        length_m = (
            row.length_m
            if row is not None and row.length_m is not None
            else tested_length_m(made, built, cable.subject)
        )
        if said is None:
            continue
        if row is not None and row.used_cable_type not in ("", cable.cable_type):
            yield _difference(row, cable.mark, "cable", f"cable {label}, type", (cable.cable_type, row.used_cable_type))
        drawn_m = cable.length_m
        if length_m is not None and drawn_m is not None and abs(length_m - drawn_m) > max(_LEAST_M, _SHARE * drawn_m):
            was = f"{format_length(drawn_m, system)} {cable.basis}"
            yield _difference(
                said,
                cable.mark,
                "length",
                f"cable {label}, length",
                (was, f"{format_length(length_m, system)} measured"),
            )
