"""The rule `clear-width`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import EgressRole, Opening
from riserkit.quantities.printed import UnitSystem, format_pair
from riserkit.rules._shared.base import Measure, measured, not_evaluated
from riserkit.standards.egress import CLEAR_WIDTH_MIN_M, INCH_M

LOST_M: Final = 2 * INCH_M
"""What a leaf open at 90 degrees takes of its own width, with its thickness and the stop: 2 in, common practice, no source."""
_LIMIT: Final = "32 in (813 mm)"
_REMEDY: Final = (
    "Check the width stated. Where it is right, have the door widened, or have the authority having jurisdiction decide whether it"
    " counts as an exit."
)


class ClearWidth:
    """A leaf on a way out is wide enough for a wheelchair, and for the people who have to leave.

    Why:
        A cupboard door stated as an exit passes every check of its wiring. Codes ask a clear width of each door in a means of
        egress, one leaf alone where there are two.
    Measures:
        For each opening with a role in egress that states a width: its clear_width_m; else the width of one leaf, which is
        more than the clear width by the leaf's thickness and the stop, about 2 in.
    Limit:
        32 in clear. A leaf narrower than that fails; one less than 34 in wide is to be measured.
    Remedy:
        What to check or measure.
    Source:
        ADA 2010 404.2.3 and IBC 2021 1010.1.1: 32 in clear (from memory). Exceptions of the local code, as for small rooms, are
        not known here.
    """

    name: ClassVar[str] = "clear-width"
    source: ClassVar[str] = CLEAR_WIDTH_MIN_M.source.cite()
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening with a role in egress and a stated width."""
        for door in design.doors:
            opening = door.opening
            if opening.egress in (None, EgressRole.NONE):
                continue
            if opening.clear_width_m is not None:
                yield self._width(design, opening, opening.clear_width_m, "Clear width")
            elif opening.width_m is not None or opening.leaf_width_m is not None:
                yield self._leaf(design, opening)

    def _leaf(self, design: Design, opening: Opening) -> Finding:
        leaf_m, limit_m, system = opening.one_leaf_m, CLEAR_WIDTH_MIN_M.value, design.site.info.unit_system
        surely_m = limit_m + LOST_M - 1e-9
        if opening.leaves > 1 and opening.leaf_width_m is None and leaf_m < surely_m:
            return self._pair(design, opening)
        if not limit_m <= leaf_m < surely_m:
            return self._width(
                design, opening, leaf_m, "Width of one leaf" if opening.leaves > 1 else "Width of the leaf"
            )
        leaf = _shown(leaf_m, system)
        message = f"A leaf of {leaf} open at 90 degrees may leave less than {_LIMIT} clear."
        remedy = f"Measure the clear width between stop and leaf and state clear_width_m; at least {_LIMIT}."
        return not_evaluated(self, ("opening", opening.mark), message, remedy)

    def _pair(self, design: Design, opening: Opening) -> Finding:
        """A pair whose leaves may be of two widths: one alone may be wide enough."""
        system = design.site.info.unit_system
        whole = _shown(opening.whole_width_m, system)
        message = f"Two leaves of {whole} together: whether one of them leaves {_LIMIT} clear is not stated."
        remedy = f"State clear_width_m, of the leaf that opens first; at least {_LIMIT}."
        return not_evaluated(self, ("opening", opening.mark), message, remedy)

    def _width(self, design: Design, opening: Opening, width_m: float, what: str) -> Finding:
        system = design.site.info.unit_system
        value = _shown(width_m, system)
        lost = "" if opening.clear_width_m is not None else f", of which about {_shown(LOST_M, system)} is not clear"
        return measured(
            self, ("opening", opening.mark), Measure(width_m, CLEAR_WIDTH_MIN_M.value, "m", at_most=False),
            f"{what} {value}{lost}; on a way out at least {_LIMIT} clear.", severity=Severity.WARNING, remedy=_REMEDY,
        )  # fmt: skip


def _shown(width_m: float, system: UnitSystem) -> str:
    """In millimetres or inches, so that one below the limit does not read as the limit."""
    factor, unit = (1 / INCH_M, "in") if system == "imperial" else (1000.0, "mm")
    return format_pair(round(width_m * factor, 9), round(CLEAR_WIDTH_MIN_M.value * factor, 9), unit)[0]
