"""Which supply or splitter feeds each door's lock."""

from __future__ import annotations

from riserkit.design import Design, DoorDesign
from riserkit.model.parts import DcSupply, Splitter
from riserkit.quantities.grouping import grouped
from riserkit.rules._shared.lookups import lock_of
from riserkit.wiring.closets import AT_DOOR, POE_CABLE


class Feeds:
    """What feeds each door's lock. Doors of one kind share a circuit, so few circuits have to be built to know."""

    def __init__(self, design: Design) -> None:
        """Nothing is looked up yet."""
        self._design = design
        self._parts: dict[tuple[str, ...], DcSupply | Splitter | None] = {}
        self._at = grouped((supply.opening or f"closet {supply.closet}", supply) for supply in design.site.supplies)

    def part(self, door: DoorDesign) -> DcSupply | Splitter | None:
        """The supply or splitter that the lock hangs on; None when it hangs on the controller, or is not known."""
        candidate = door.wiring.drawn
        if candidate is None:
            return None
        opening = door.opening
        where = door.mark if candidate.supply_at == AT_DOOR else candidate.supply_at
        key = (candidate.arrangement, where, opening.lock, opening.supply, door.wiring.powered_part)
        if key not in self._parts:
            self._parts[key] = self._look(door)
        return self._parts[key]

    def _look(self, door: DoorDesign) -> DcSupply | Splitter | None:
        circuit = door.wiring.circuit
        if circuit is None or not circuit.supply:
            return None
        part = self._design.site.part.get(circuit.netlist.component(circuit.supply.partition(".")[0]).part)
        return part if isinstance(part, DcSupply | Splitter) else None

    def site_supply(self, door: DoorDesign) -> str:
        """The site's supply that feeds the lock, as stated, else as the wiring has chosen; empty when none does.

        A lock with a supply of its own hangs on none, whatever the opening states.
        """
        lock = lock_of(self._design, door)
        if not self._at or (lock is not None and lock.own_supply):
            return ""
        part = self.part(door)
        candidate = door.wiring.drawn
        if part is None or candidate is None or door.opening.supply:
            return "" if isinstance(part, Splitter) else door.opening.supply
        here = self._at.get(door.mark if candidate.supply_at == AT_DOOR else candidate.supply_at, ())
        return next((supply.id for supply in here if supply.part == part.id), "")

    def doors_on(self, supply_id: str) -> tuple[str, ...]:
        """Marks of the doors whose locks a supply of the site feeds, in the site's order.

        One that states it, and whose wiring takes its power off the PoE cable, is not among them.
        """
        return tuple(
            door.mark
            for door in self._design.doors
            if self.site_supply(door) == supply_id
            and (door.wiring.drawn is None or door.wiring.drawn.supply_at != POE_CABLE)
        )
