"""The rule `bundle-ampacity`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.model.cabling import CableType
from riserkit.network.bundles import Bundle, FourPairCable
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_pair, format_value
from riserkit.rules._shared.base import Measure, Subject, measured, not_evaluated, stated, within
from riserkit.rules._shared.lookups import listed, sentence
from riserkit.standards import bundles
from riserkit.standards.nec import cite_nec
from riserkit.standards.poe import POE_CLASSES
from riserkit.standards.source import NotTabulatedError


class BundleAmpacity:
    """Cables that carry power lie in bundles small enough for the current in them.

    Why:
        In the middle of a bundle the heat of all the cables has nowhere to go. Insulation ages at the temperature that
        it is marked for and fails beyond it, where nobody looks.
    Measures:
        The current in a conductor of each cable at the rated power and least voltage of its port's class, whatever
        hangs on it today, in each pathway segment. The bundle is every four-pair cable routed through the segment, or
        as many as its bundle_cables states, fewer or more: those that are not the site's may have all pairs loaded.
    Limit:
        The ampacity for this gauge, bundle and temperature rating (60 °C where none is marked), corrected where the
        pathway is warmer than 30 °C, times 1.4 where every port feeds two pairs; or the current of a limited-power
        mark, where that is more. No limit for 24 AWG and thicker at 0.3 A per conductor or less. Beyond 192 cables, or
        thinner than 26 AWG, the code asks for engineering supervision: not evaluated.
    Remedy:
        The largest bundle that carries this current, or the highest port class that needs no limit.
    Source:
        NEC Table 725.144 and 725.144(A), equation 310.15(B) (verified in the 2023 edition), cited by the site's
        edition; limited-power marks 725.144(B) (from memory). Class powers: IEEE 802.3-2022 (verified).
    """

    name: ClassVar[str] = "bundle-ampacity"
    source: ClassVar[str] = cite_nec("bundle ampacity", "NEC 2023")
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each pathway segment that holds cables on powered ports."""
        source = cite_nec("bundle ampacity", design.site.info.electrical_code)
        for segment in design.site.pathway_segments:
            bundle = design.bundles.get(segment.id)
            if bundle is not None and bundle.powered:
                own_c = design.site.info.pathway_c
                ambient_c = own_c if segment.temperature_c is None else max(own_c, segment.temperature_c)
                yield replace(self._bundle(design, bundle, ambient_c), source=source)

    def _bundle(self, design: Design, bundle: Bundle, ambient_c: float) -> Finding:
        subject: Subject = ("pathway", bundle.segment)
        loads = [_load(design, bundle, cable, ambient_c) for cable in dict.fromkeys(bundle.powered)]
        known = [load for load in loads if load.limit_a is not None]
        worst = min(known, key=lambda load: load.margin_a, default=None)
        unknown = [load for load in loads if load.why]
        size = counted(bundle.size, "four-pair cable")
        if unknown and (worst is None or within(worst.i_a, worst.limit_a or 0.0)):
            return not_evaluated(
                self, subject, f"{size} together: {listed(dict.fromkeys(load.why for load in unknown))}.",
                "Have the bundle assessed under engineering supervision, or tie smaller bundles and state bundle_cables.",
            )  # fmt: skip
        if worst is None or worst.limit_a is None:
            most_a = max(load.i_a for load in loads)
            return stated(
                self, subject, True,
                f"{size}{' together carry' if bundle.size > 1 else ' alone carries'} at most"
                f" {format_value(most_a, 'A')} a conductor, which needs no limit.",
            )  # fmt: skip
        shown, most = format_pair(worst.i_a, worst.limit_a, "A")
        system = design.site.info.unit_system
        return measured(
            self, subject, Measure(worst.i_a, worst.limit_a, "A"),
            f"{size} together at {format_value(ambient_c, '°C', system)}: {shown} in a conductor of {worst.kind.id} from a "
            f"port of class {worst.cable.port_class}, at most {most}.",
            remedy=lambda: _remedy(bundle, worst, ambient_c),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Load:
    """One kind of powered cable in a bundle. `limit_a` None: no limit, or unknown with `why` saying so."""

    cable: FourPairCable
    kind: CableType
    i_a: float
    limit_a: float | None
    why: str = ""

    @property
    def margin_a(self) -> float:
        return (self.limit_a or 0.0) - self.i_a


def _load(design: Design, bundle: Bundle, cable: FourPairCable, ambient_c: float) -> _Load:
    kind = design.site.cable_type[cable.cable_type]
    i_a = POE_CLASSES[cable.port_class or 0].i_conductor_a
    if cable.awg and not bundles.ampacity_required(cable.awg, i_a):
        return _Load(cable, kind, i_a, None)
    try:
        limit_a = _limit_a(kind, cable, bundle.size, ambient_c, bundle.half_loaded)
    except NotTabulatedError as error:
        marked_a = bundles.limited_power_a(kind.jacket)
        if marked_a is not None and within(i_a, marked_a):
            return _Load(cable, kind, i_a, marked_a)
        size = str(error) if cable.awg else f"{kind.id} of {kind.gauge}; the table holds AWG sizes"
        return _Load(cable, kind, i_a, None, size)
    return _Load(cable, kind, i_a, limit_a)


def _limit_a(kind: CableType, cable: FourPairCable, size: int, ambient_c: float, half_loaded: bool) -> float:
    rating_c = bundles.table_rating_c(kind.rating_c)
    table_a = bundles.ampacity_a(cable.awg, size, rating_c, ambient_c, half_loaded)
    return max(table_a, bundles.limited_power_a(kind.jacket) or 0.0)


def _remedy(bundle: Bundle, worst: _Load, ambient_c: float) -> str:
    ways = []
    for size in reversed(bundles.BUNDLE_SIZES):
        try:
            limit_a = _limit_a(worst.kind, worst.cable, size, ambient_c, bundle.half_loaded)
        except NotTabulatedError:
            continue
        if size < bundle.size and within(worst.i_a, limit_a):
            ways.append(f"bundles of at most {size} cables, stated as bundle_cables of {bundle.segment}")
            break
    free = [n for n, row in POE_CLASSES.items() if not bundles.ampacity_required(worst.cable.awg, row.i_conductor_a)]
    if free:
        ways.append(f"ports limited to class {max(free)}")
    return sentence(ways or ["cable of 24 AWG or thicker"])
