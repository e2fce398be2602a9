"""The rule `conduit-fill`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.model.cabling import PathwayKind, PathwaySegment
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_pair
from riserkit.rules._shared.base import Measure, Subject, measured, not_evaluated, stated, within
from riserkit.rules._shared.lookups import listed, sentence
from riserkit.standards import conduit
from riserkit.standards.nec import cite_nec
from riserkit.standards.source import NotTabulatedError

_PERCENT: Final = 100.0


class ConduitFill:
    """Each conduit is large enough for all cables that run through it.

    Why:
        An overfull conduit cannot be pulled, or the pull stretches the pairs and the cable fails its test. The last
        ten doors of a floor all go through the same sleeve.
    Measures:
        The outside diameters of every cable routed through a segment of kind conduit, each as a circle, over the
        conduit's inside area: PoE cables, backbone, and lock power from supplies that stand elsewhere.
    Limit:
        53 % of the area for one cable, 31 % for two, 40 % for more; 60 % in a nipple of at most 0.6 m. Where the
        trade size states no type of conduit, it passes what fits the narrowest type and fails what does not fit the
        widest; in between, with an unknown diameter, or without a trade size, it is not evaluated.
    Remedy:
        The smallest trade size that holds these cables, or how many conduits of the stated one.
    Source:
        NEC chapter 9 tables 1 and 4, note 4 for nipples (verified in the 2023 edition); cited by the site's edition.
    """

    name: ClassVar[str] = "conduit-fill"
    source: ClassVar[str] = cite_nec("conduit fill", "NEC 2023")
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each segment of kind conduit."""
        segments = [s for s in design.site.pathway_segments if s.kind is PathwayKind.CONDUIT]
        if not segments:
            return
        through: dict[str, list[str]] = {segment.id: [] for segment in segments}
        for cable in design.pathway_cables:
            for segment_id in cable.segments:
                if segment_id in through:
                    through[segment_id].append(cable.cable_type)
        source = cite_nec("conduit fill", design.site.info.electrical_code)
        for segment in segments:
            yield replace(self._segment(design, segment, through[segment.id]), source=source)

    def _segment(self, design: Design, segment: PathwaySegment, type_ids: Sequence[str]) -> Finding:
        subject = ("pathway", segment.id)
        if not type_ids:
            return stated(self, subject, True, "No cable runs through it.")
        if not segment.trade_size:
            return not_evaluated(
                self, subject, f"Its trade size is not stated; {counted(len(type_ids), 'cable')} run through it.",
                "State trade_size, for example 'EMT 1-1/4'.",
            )  # fmt: skip
        types = {name: design.site.cable_type.get(name) for name in set(type_ids)}
        found_m = {name: kind.outside_diameter_m for name, kind in types.items() if kind is not None}
        unknown = sorted(name for name in types if found_m.get(name) is None)
        if unknown:
            return not_evaluated(
                self, subject, f"The outside diameter of {listed(unknown)} is not stated.",
                f"State outside_diameter_m of {counted(len(unknown), 'cable type')}: {listed(unknown)}.",
            )  # fmt: skip
        diameters_m = [diameter_m for name in type_ids if (diameter_m := found_m[name]) is not None]
        return self._fill(subject, segment, diameters_m)

    def _fill(self, subject: Subject, segment: PathwaySegment, diameters_m: Sequence[float]) -> Finding:
        types, size = conduit.named_conduit(segment.trade_size)
        try:
            fills = {name: _PERCENT * conduit.fill_fraction(diameters_m, name, size) for name in types}
        except NotTabulatedError as error:
            return not_evaluated(
                self,
                subject,
                f"Its trade size is stated as '{segment.trade_size}': {error}.",
                "State one like 'EMT 1-1/4'.",
            )
        cables = counted(len(diameters_m), "cable")
        limit = _PERCENT * _limit(segment, len(diameters_m))
        # The narrowest type has the highest fill: what it holds is a pass for all, what the widest does not is a fail.
        fullest, emptiest = max(fills.values()), min(fills.values())
        if within(emptiest, limit) and not within(fullest, limit):
            return not_evaluated(
                self, subject, f"{cables} fill {emptiest:.1f} to {fullest:.1f} %, by the type "
                f"of conduit, of at most {limit:.0f} %.", f"State the type too, for example '{types[0]} {size}'.",
            )  # fmt: skip
        fill = fullest if within(emptiest, limit) else emptiest
        shown, most = format_pair(fill, limit, "%")
        return measured(
            self, subject, Measure(fill, limit, "%"),
            message=f"{cables} fill {shown} of trade size {segment.trade_size}, at most {most}.",
            remedy=lambda: _remedy(segment, diameters_m, types, size),
        )  # fmt: skip


def _limit(segment: PathwaySegment, count: int) -> float:
    if segment.length_m is not None and segment.length_m <= conduit.NIPPLE_MAX_M:
        return conduit.NIPPLE_FILL_FRACTION
    return conduit.max_fill_fraction(count)


def _remedy(segment: PathwaySegment, diameters_m: Sequence[float], types: Sequence[str], size: str) -> str:
    # Untyped, only what holds the cables in every type is a remedy.
    sizes = [conduit.smallest_trade_size(diameters_m, name) for name in types]
    ways = []
    if all(sizes):
        largest = max((s for s in sizes if s), key=conduit.TRADE_SIZES.index)
        name = " or ".join(types) if len(types) < len(conduit.CONDUITS) else "conduit of any type"
        fill = max(conduit.fill_fraction(diameters_m, name, largest) for name in types)
        ways.append(f"{name} of trade size {largest}: {_PERCENT * fill:.0f} %")
    count = _conduits(diameters_m, types, size, segment)
    if count:
        ways.append(f"{count} conduits of this size side by side")
    if not ways:
        few = len(diameters_m) > 1
        ways.append(
            f"fewer than {len(diameters_m)} cables through it" if few else "another way than conduit for this cable"
        )
    return sentence(ways)


def _conduits(diameters_m: Sequence[float], types: Sequence[str], size: str, segment: PathwaySegment) -> int:
    """Least number of equal conduits that hold the cables, dealt out largest first; 0 when one each is too much."""
    ordered = sorted(diameters_m, reverse=True)
    for count in range(2, len(ordered) + 1):
        shares = [ordered[start::count] for start in range(count)]
        if all(_within_limit(share, name, size, segment) for share in shares for name in types):
            return count
    return 0


def _within_limit(diameters_m: Sequence[float], type_: str, size: str, segment: PathwaySegment) -> bool:
    return within(conduit.fill_fraction(diameters_m, type_, size), _limit(segment, len(diameters_m)))
