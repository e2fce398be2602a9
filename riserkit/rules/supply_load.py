"""The rule `supply-load`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.parts import DcSupply, Splitter
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_at_least, format_pair
from riserkit.rules._shared.base import COMMON_PRACTICE, Measure, Subject, measured, not_evaluated, within
from riserkit.rules._shared.feeds import Feeds
from riserkit.rules._shared.lookups import listed, sentence, unsolved

_Load = tuple[DoorDesign, float | None]


class SupplyLoad:
    """No DC supply or splitter gives more current than it is rated for, all its doors together.

    Why:
        A supply in the closet feeds one door more each year, until an alarm pulls all locks in at once and it folds
        back.
    Measures:
        The sum of the most current that each opening on a supply of the site draws, pull-in included, nothing taken
        off for not happening together; the same for the splitter or supply of a single opening.
    Limit:
        The rated output current.
    Remedy:
        The rated current that is needed, a part of the catalogue that has it, or how many doors have to go elsewhere.
    Source:
        Common practice, no source: the rated current is the supply's data.
    """

    name: ClassVar[str] = "supply-load"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each supply of the site, and for each opening with a supply or splitter of its own."""
        shared: dict[str, list[_Load]] = {supply.id: [] for supply in design.site.supplies}
        feeds = Feeds(design)
        for door in design.doors:
            supply_a = door.wiring.voltages.supply_a
            supply = feeds.site_supply(door)
            if supply:
                if supply_a is not None or unsolved(door):
                    shared[supply].append((door, supply_a))
            elif supply_a is not None:
                yield self._own(design, door, feeds.part(door), supply_a)
        for site_supply in design.site.supplies:
            part = design.site.part.get(site_supply.part)
            subject = ("supply", site_supply.id)
            if not isinstance(part, DcSupply) or part.output_a is None:
                yield not_evaluated(
                    self, subject, f"The rated current of {site_supply.part} is not stated.",
                    f"State output_a of {site_supply.part}.",
                )  # fmt: skip
                continue
            yield self._shared(design, subject, shared[site_supply.id], part, part.output_a)

    def _own(self, design: Design, door: DoorDesign, part: DcSupply | Splitter | None, supply_a: float) -> Finding:
        if part is None or part.output_a is None:
            name = part.id if part else "what feeds its lock"
            return not_evaluated(
                self,
                door.subject,
                f"The rated current of {name} is not stated.",
                f"State output_a of {name}.",
            )
        return self._sum(design, door.subject, [(door, supply_a)], part, part.output_a)

    def _shared(
        self, design: Design, subject: Subject, loads: Sequence[_Load], part: DcSupply, rated_a: float
    ) -> Finding:
        unknown = [door.mark for door, load_a in loads if load_a is None]
        known_a = sum(load_a for _, load_a in loads if load_a is not None)
        if unknown and within(known_a, rated_a):
            others = f"; the others draw {known_a:.2f} A" if len(unknown) < len(loads) else ""
            return not_evaluated(
                self, subject, f"The current of {listed(unknown)} is unknown{others}.",
                f"State the missing data of {counted(len(unknown), 'door')}; see missing-data.",
            )  # fmt: skip
        return self._sum(design, subject, loads, part, rated_a)

    def _sum(
        self, design: Design, subject: Subject, loads: Sequence[_Load], part: DcSupply | Splitter, rated_a: float
    ) -> Finding:
        known = [load_a for _, load_a in loads if load_a is not None]
        total_a = sum(known)
        shown, rated = format_pair(total_a, rated_a, "A")
        doors = f"{counted(len(known), 'door')} draw{'s' if len(known) == 1 else ''}"
        return measured(
            self, subject, Measure(total_a, rated_a, "A"),
            message=f"{doors} {shown} at most from {part.id}, rated {rated}.",
            remedy=lambda: _remedy(design, known, part, rated_a),
        )  # fmt: skip


def _remedy(design: Design, loads: Sequence[float], part: DcSupply | Splitter, rated_a: float) -> str:
    total_a = sum(loads)
    larger = sorted(
        (other.output_a, other.id)
        for other in design.site.parts
        if isinstance(other, type(part)) and other.output_v == part.output_v and other.output_a is not None
        and other.output_a >= total_a
    )  # fmt: skip
    ways = [
        f"a supply rated at least {format_at_least(total_a, 'A')}{f', for example {larger[0][1]}' if larger else ''}"
    ]
    if len(loads) > 1:
        left_a, moved = total_a, 0
        for load_a in sorted(loads, reverse=True):
            if within(left_a, rated_a):
                break
            left_a, moved = left_a - load_a, moved + 1
        ways.append(f"{counted(moved, 'door')} on another supply: {left_a:.2f} A left")
    return sentence(ways)
