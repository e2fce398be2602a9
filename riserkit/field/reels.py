"""The reel plan: which cable is cut from which reel, by type of cable, with the least waste."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from riserkit.design import Design
from riserkit.field.about import FieldWork
from riserkit.field.blocks import PaperBlock, PaperHeading, Paragraph
from riserkit.field.cutting import Cutting, cut
from riserkit.field.paper import Paper
from riserkit.field.table import WorkColumn, WorkTable
from riserkit.holds import DO_NOT_ORDER, HOLD
from riserkit.model.cabling import Reel
from riserkit.quantities.counting import counting_order
from riserkit.quantities.grouping import grouped
from riserkit.quantities.printed import UnitSystem, format_length
from riserkit.reports.lengths import FT_M, length_cell, length_column
from riserkit.reports.table import Cell, ReportTable
from riserkit.wiring.cables import DesignCable

REEL_M: Final = 304.8
"""1,000 ft, which is sold as 305 m."""
_STEP_M: Final = {"metric": 0.1, "imperial": FT_M}
"""Cuts are rounded up to what a crew reads off a jacket: a tenth of a metre, or a foot."""


@dataclass(frozen=True)
class TypePlan:
    """How the cables of one type are cut.

    Args:
        cable_type: id of the type.
        title: of the type.
        cables: those that are cut, in counting order of their labels.
        cutting: places in `cables`, reel by reel, lengths in tenths of a metre.
        too_long: longer than a reel; ordered by length.
        held: of openings on HOLD: not cut before that is resolved.
        unknown: whose length is not known.
        units: of the site, in whose steps it is cut.
        begun: reels of this type that have been cut from, as the site states them.
    """

    cable_type: str
    title: str
    cables: tuple[DesignCable, ...]
    cutting: Cutting
    too_long: tuple[DesignCable, ...]
    held: tuple[DesignCable, ...]
    unknown: tuple[DesignCable, ...]
    units: UnitSystem
    begun: tuple[Reel, ...] = ()

    @property
    def cut_m(self) -> float:
        """What is cut, all reels together."""
        return sum(cut_length_m(cable, self.units) for cable in self.cables)

    @property
    def left_m(self) -> float:
        """What is left of the new reels."""
        new = [cut_length_m(self.cables[n], self.units) for reel in self.cutting.reels for n in reel]
        return len(self.cutting.reels) * REEL_M - sum(new)


def cut_length_m(cable: DesignCable, units: UnitSystem) -> float:
    """What is cut for a cable: its length with slack, rounded up."""
    return _steps(cable, units) * _STEP_M[units]


def _steps(cable: DesignCable, units: UnitSystem) -> int:
    return math.ceil((cable.length_m or 0.0) / _STEP_M[units] - 1e-6)


def cut_text(length_m: float, units: UnitSystem) -> str:
    """A cut, or what is left of a reel, in the steps in which it is cut: never less than is needed.

    Examples:
        >>> cut_text(5.1, "metric"), cut_text(17 * 0.3048, "imperial")
        ('5.1 m', '17 ft')
    """
    return f"{length_m / FT_M:.0f} ft" if units == "imperial" else format_length(length_m, units)


def reel_plan(work: FieldWork) -> tuple[TypePlan, ...]:
    """The plan of every type of copper cable; fibre is ordered by length."""
    by_type = grouped(
        (cable.cable_type, cable)
        for cable in work.design.cables
        if work.design.site.cable_type[cable.cable_type].kind != "optical"
    )
    return tuple(_of_type(work, name, by_type[name]) for name in sorted(by_type))


def _of_type(work: FieldWork, name: str, cables: list[DesignCable]) -> TypePlan:
    ordered = sorted(cables, key=lambda c: counting_order(c.called))
    held = tuple(c for c in ordered if c.mark in work.holds)
    free = [c for c in ordered if c.mark not in work.holds]
    known = [c for c in free if c.length_m]
    units = work.design.site.info.unit_system
    reel = round(REEL_M / _STEP_M[units])
    fitting = tuple(c for c in known if _steps(c, units) <= reel)
    begun = tuple(one for one in work.design.site.reels if one.cable_type == name)
    # rounded down, so that no cut is planned from what is not there; more than a reel counts as one
    rooms = [min(reel, math.floor(one.left_m / _STEP_M[units] + 1e-6)) for one in begun]
    kind = work.design.site.cable_type[name]
    return TypePlan(
        name, kind.title or name, fitting, cut([_steps(c, units) for c in fitting], reel, begun=rooms),
        tuple(c for c in known if _steps(c, units) > reel), held, tuple(c for c in free if not c.length_m), units, begun,
    )  # fmt: skip


def reel_paper(work: FieldWork, plan: tuple[TypePlan, ...]) -> Paper:
    """The plan on paper."""
    return work.paper("Reel plan", "Cuts from reels of 1,000 ft (304.8 m)", tuple(_blocks(work, plan)))


def _blocks(work: FieldWork, plan: tuple[TypePlan, ...]) -> Iterator[PaperBlock]:
    units = work.design.site.info.unit_system
    for text in _notes(work.design):
        yield Paragraph(text)
    yield _summary(plan, units)
    for one in plan:
        if one.cables or one.held or one.too_long or one.unknown:
            yield from _type_blocks(work, one, units)
    idle = [f"{reel.id} of {reel.cable_type}" for reel in _idle(work.design, plan)]
    if idle:
        yield Paragraph(f"Nothing is cut from these reels that have been begun: {', '.join(idle)}.")


def _idle(design: Design, plan: tuple[TypePlan, ...]) -> Iterator[Reel]:
    """Reels begun that nothing is cut from."""
    used = {r.id for one in plan for r, cuts in zip(one.begun, one.cutting.begun, strict=True) if cuts}
    yield from (reel for reel in design.site.reels if reel.id not in used)


def _notes(design: Design) -> Iterator[str]:
    info = design.site.info
    closet = format_length(info.closet_slack_m, info.unit_system)
    door = format_length(info.door_slack_m, info.unit_system)
    step = "a foot" if info.unit_system == "imperial" else "0.1 m"
    loop = format_length(info.service_loop_m, info.unit_system) if info.service_loop_m else ""
    yield (
        f"Lengths are of cable in place, slack included: {closet} at the closet{f' and a service loop of {loop}' if loop else ''}, "
        f"{door} at the door; rounded up to {step}. Nothing is added for what a pull wastes: add it before cutting."
    )
    yield "Measure the way before cutting where the basis is routed or estimated. A stated or measured length has its slack in it."
    if design.site.reels:
        yield "Reels that have been begun are cut from first. What is left on them is as stated: read the marks on the jacket."
    yield "Mark both ends with the cable's label as it is cut. Boxes and reels differ: read the marks on the jacket first."


def _summary(plan: tuple[TypePlan, ...], units: UnitSystem) -> WorkTable:
    rows = tuple(
        (
            one.title, one.cable_type, f"{len(one.cables)}", cut_text(one.cut_m, units), f"{len(one.cutting.reels)}",
            _proof(one.cutting), cut_text(one.left_m, units),
        )
        for one in plan
        if one.cables
    )  # fmt: skip
    columns = (
        WorkColumn("Cable", leads=True, max_mm=60), WorkColumn("Id"), WorkColumn("Cuts"), WorkColumn("Cut"),
        WorkColumn("Reels"), WorkColumn("Fewest", max_mm=34), WorkColumn("Left over"),
    )  # fmt: skip
    return WorkTable("New reels to order", columns, rows)


def _proof(cutting: Cutting) -> str:
    return "proven least" if cutting.exact else f"no fewer than {cutting.bound}"


def _reels(one: TypePlan) -> str:
    count = len(one.cutting.reels)
    begun = sum(bool(cuts) for cuts in one.cutting.begun)
    return f"{count} {'reel' if count == 1 else 'reels'}{f' and {begun} begun' if begun else ''}"


def _type_blocks(work: FieldWork, one: TypePlan, units: UnitSystem) -> Iterator[PaperBlock]:
    yield PaperHeading(f"{one.title} ({one.cable_type})")
    first = grouped((words, cable.called) for cable in one.cables if (words := work.holds.first_words(cable.mark)))
    for words, labels in first.items():
        yield Paragraph(f"{words}, then cut: {', '.join(labels)}.")
    yield WorkTable("", _CUT_COLUMNS, tuple(_cut_rows(one, units)))
    for words, cables in (
        ("Longer than a reel, order by length", one.too_long),
        (f"On {HOLD}, not cut. {DO_NOT_ORDER}", one.held),
        ("Length not known, not cut", one.unknown),
    ):
        if cables:
            listed = "; ".join(f"{c.called} {_known(c, units)}".rstrip() for c in cables)
            yield Paragraph(f"{words}: {listed}.")


_CUT_COLUMNS: Final = (
    WorkColumn("Reel", leads=True), WorkColumn("Cut", "tick", leads=True), WorkColumn("Cable", leads=True, max_mm=34),
    WorkColumn("To", max_mm=34), WorkColumn("Basis"), WorkColumn("Left on the reel"),
)  # fmt: skip


def _known(cable: DesignCable, units: UnitSystem) -> str:
    return cut_text(cut_length_m(cable, units), units) if cable.length_m else ""


def _cut_rows(one: TypePlan, units: UnitSystem) -> Iterator[tuple[str, ...]]:
    for reel, cable, left_m in _cuts(one):
        yield (
            f"reel {reel}", cut_text(cut_length_m(cable, units), units), cable.called,
            _far_end(cable), cable.basis, cut_text(left_m, units),
        )  # fmt: skip


def _far_end(cable: DesignCable) -> str:
    return f"door {cable.mark}" if cable.mark else cable.to_id


def _cuts(one: TypePlan) -> Iterator[tuple[str, DesignCable, float]]:
    """The reel, those begun first and new ones by number, the cable, and what is left then."""
    begun = [(f"{reel.id}, begun", reel.left_m, cuts) for reel, cuts in zip(one.begun, one.cutting.begun, strict=True)]
    new = [(f"{number}", REEL_M, cuts) for number, cuts in enumerate(one.cutting.reels, 1)]
    for name, length_m, cuts in (*begun, *new):
        left_m = length_m
        for n in cuts:
            left_m = round(left_m - cut_length_m(one.cables[n], one.units), 4) + 0.0
            yield name, one.cables[n], left_m


def reel_table(work: FieldWork, plan: tuple[TypePlan, ...]) -> ReportTable:
    """The plan as a schedule: a row a cut, then what is not cut and why."""
    units = work.design.site.info.unit_system
    columns = (
        "cable_type", "reel", "cable", "from", "to", length_column("cut", units), "basis", length_column("left", units), "note",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for one in plan:
        rows += [
            (
                one.cable_type, reel, *_ends(c), length_cell(cut_length_m(c, units), units), c.basis, length_cell(left, units),
                work.holds.first_words(c.mark),
            )
            for reel, c, left in _cuts(one)
        ]  # fmt: skip
        for note, cables in (
            ("longer than a reel: order by length", one.too_long),
            (f"{HOLD}: {DO_NOT_ORDER.lower()}", one.held),
            ("length not known", one.unknown),
        ):
            rows += [
                (
                    one.cable_type, None, *_ends(c), length_cell(cut_length_m(c, units) if c.length_m else None, units), c.basis,
                    None, note,
                )
                for c in cables
            ]  # fmt: skip
        if one.cables:
            rows.append(
                (
                    one.cable_type,
                    None,
                    "",
                    "",
                    "",
                    None,
                    "",
                    None,
                    f"{_reels(one)}, {_proof(one.cutting)}",
                )
            )
    rows += [
        (r.cable_type, f"{r.id}, begun", "", "", "", None, "", length_cell(r.left_m, units), "nothing is cut from it")
        for r in _idle(work.design, plan)
    ]
    return ReportTable("reel_plan", columns, tuple(rows))


def _ends(cable: DesignCable) -> tuple[str, str, str]:
    return cable.called, cable.from_id, cable.to_id
