"""The rule `jacket-fit`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import CableType, PathwayKind, PathwaySegment
from riserkit.network.values import CableRun
from riserkit.rules._shared.base import Subject, not_evaluated, stated
from riserkit.rules._shared.lookups import listed
from riserkit.standards import jackets
from riserkit.standards.source import NotTabulatedError
from riserkit.units import format_length

_Answers = dict[tuple[str, str], bool | None]


class JacketFit:
    """Each cable's jacket is listed for every space that it runs through.

    Why:
        A riser cable in a plenum carries fire and smoke to where people breathe. An inspector has it pulled out
        again.
    Measures:
        The listing mark of each horizontal and backbone cable against the space of each pathway segment on its route.
    Limit:
        The marks that may run in the open in a plenum, a riser, a general space, or outdoors. Within conduit the code
        may allow more, so there it is a warning. A mark that the table does not know, and a route without known
        segments, are not evaluated.
    Remedy:
        A cable type of the site's list that is fit for all spaces of the route, and the length of it.
    Source:
        NEC 2023 800.113 and Table 722.135(B) (verified); outdoors: common practice, no source.
    """

    name: ClassVar[str] = "jacket-fit"
    source: ClassVar[str] = jackets.LOCATIONS.cite()
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening and each backbone cable."""
        segments = {segment.id: segment for segment in design.site.pathway_segments}
        answers: _Answers = {}
        for door in design.doors:
            yield self._cable(design, segments, answers, ("opening", door.mark), door.cable)
        for cable in design.backbone:
            yield self._cable(design, segments, answers, ("cable", cable.subject), cable)

    def _cable(
        self, design: Design, segments: Mapping[str, PathwaySegment], answers: _Answers, subject: Subject,
        cable: CableRun | None,
    ) -> Finding:  # fmt: skip
        cable_type = design.site.cable_type.get(cable.cable_type) if cable else None
        if cable is None or cable_type is None or cable.route is None or not cable.route.segments:
            return not_evaluated(
                self, subject, "Its cable type, or the spaces on its way, are unknown.",
                "Route it over pathway segments that state their space.",
            )  # fmt: skip
        if not cable_type.jacket:
            return not_evaluated(
                self,
                subject,
                f"Cable type {cable_type.id} states no jacket.",
                f"State the jacket of {cable_type.id}, such as CMP.",
            )
        on_way = [segments[name] for name in cable.route.segments]
        spaces = {(s.space.value, s.kind is PathwayKind.CONDUIT) for s in on_way}
        verdicts = {space: _allowed(answers, cable_type.jacket, space[0]) for space in spaces}
        return self._verdict(design, subject, cable_type, cable.route.length_m, verdicts)

    def _verdict(
        self, design: Design, subject: Subject, cable_type: CableType, length_m: float,
        verdicts: Mapping[tuple[str, bool], bool | None],
    ) -> Finding:  # fmt: skip
        spaces = sorted({space for space, _ in verdicts})
        unfit = sorted({space for (space, _), fit in verdicts.items() if fit is False})
        name = f"{cable_type.jacket} of {cable_type.id}"
        if None in verdicts.values() and not unfit:
            return not_evaluated(
                self, subject, f"Jacket {name} is no mark that the table knows.",
                "State a listing mark such as CMP or CMR, or have this cable accepted.",
            )  # fmt: skip
        if not unfit:
            return stated(self, subject, True, f"{name} may run in the open in {', '.join(spaces)}.")
        in_conduit = all(conduit for (_, conduit), fit in verdicts.items() if fit is False)
        where = " within conduit" if in_conduit else ""
        return stated(
            self, subject, False, f"{name} may not run in the open in {', '.join(unfit)}; its way leads there{where}.",
            severity=Severity.WARNING if in_conduit else Severity.ERROR,
            remedy=_remedy(design, cable_type, spaces, length_m),
        )  # fmt: skip


def _allowed(answers: _Answers, jacket: str, space: str) -> bool | None:
    if (jacket, space) not in answers:
        try:
            answers[jacket, space] = jackets.jacket_allowed(jacket, space)
        except NotTabulatedError:
            answers[jacket, space] = None
    return answers[jacket, space]


def _remedy(design: Design, cable_type: CableType, spaces: list[str], length_m: float) -> str:
    answers: _Answers = {}
    fit = [
        f"{other.id} ({other.jacket})"
        for other in design.site.cable_types
        if other.kind == cable_type.kind and other.category == cable_type.category
        and other.conductors >= cable_type.conductors
        and all(_allowed(answers, other.jacket, space) for space in spaces)
    ]  # fmt: skip
    length = format_length(length_m, design.site.info.unit_system)
    if fit:
        return f"{length} of {listed(sorted(fit))} instead."
    return f"{length} of a cable marked for {', '.join(spaces)}, or another way."
