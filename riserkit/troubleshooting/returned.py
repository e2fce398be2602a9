"""Readings that came back of a door's test sheet, as observations; and which fault would show them so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from riserkit.circuits.netlist import Netlist
from riserkit.model.returned import ReturnedReading
from riserkit.troubleshooting.diagnose import all_suspects, explains
from riserkit.troubleshooting.observed import Observation, observe
from riserkit.troubleshooting.suspects import Suspect, SuspectKind
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import Reading
from riserkit.wiring.readings.judged import JudgedReading, is_metered, line_of, reading_value
from riserkit.wiring.readings.questions import MeterQuestion, questions

_MOST_NAMED: Final = 3
_LANDED: Final = "the landings that came back give this"


def returned_observations(
    circuit: DoorCircuit, lines: Sequence[Reading], rows: Sequence[ReturnedReading]
) -> tuple[Observation, ...]:
    """What a meter showed, of the rows that came back of a door; those without a line on its test sheet are left out.

    Args:
        circuit: the door.
        lines: of its test sheet.
        rows: that came back, the last said of each line.
    """
    return tuple(_observed(circuit, lines, rows))


def _observed(circuit: DoorCircuit, lines: Sequence[Reading], rows: Sequence[ReturnedReading]) -> Iterator[Observation]:
    for row in rows:
        line = line_of(lines, row)
        value = reading_value(line, row.reading) if line is not None and is_metered(line) else None
        question = _question(circuit, line) if line is not None else None
        if value is not None and question is not None:
            who = ", ".join(filter(None, (row.by, row.date.isoformat())))
            words = f"{row.red_lead} {row.black_lead} {row.reading}, {row.state} (returned, {who})"
            yield observe(words, question.asked, row.reading, float(value))


def _question(circuit: DoorCircuit, line: Reading) -> MeterQuestion | None:
    asked = (line.what, line.plus, line.minus, line.state)
    return next((q for q in questions(circuit) if (q.what, *q.leads, q.state) == asked), None)


@dataclass(frozen=True, eq=False)
class _AsLanded:
    """The landings that came back, as a change of the netlist drawn."""

    landed: Netlist

    def __call__(self, netlist: Netlist) -> Netlist:
        return self.landed


@dataclass(frozen=True)
class ReturnedExplainer:
    """Tries every single fault of a door on the readings that came back of it.

    Args:
        circuit: as drawn.
        at: coldest and hottest conductor.
        as_landed: its netlist with the landings that came back; None where all is as drawn.
    """

    circuit: DoorCircuit
    at: Temperatures
    as_landed: Netlist | None = None

    def __call__(self, every: Sequence[JudgedReading]) -> Mapping[Reading, str]:
        """By line that is out of range what would show it so; nothing for a line that nothing tried would."""
        taken = [(one, q) for one in every if (q := _question(self.circuit, one.line)) is not None]
        out = [k for k, (one, _) in enumerate(taken) if one.good is False]
        if not out:
            return {}
        landed = () if self.as_landed is None else (_landed(self.as_landed),)
        # the first of them is no fault, which explains nothing that is out
        suspects = (*landed, *all_suspects(self.circuit)[1:])
        observed = tuple(observe("", q.asked, one.row.reading, float(one.value)) for one, q in taken)
        fits = explains(self.circuit, suspects, observed, self.at)
        return dict(self._words(taken, out, suspects, fits))

    @staticmethod
    def _words(
        taken: Sequence[tuple[JudgedReading, MeterQuestion]], out: Sequence[int], suspects: Sequence[Suspect],
        fits: np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
    ) -> Iterator[tuple[Reading, str]]:  # fmt: skip
        ranked = sorted(range(len(suspects)), key=lambda k: -suspects[k].weight)
        whole = [suspects[k].words for k in ranked if fits[:, k].all()]
        for place in out:
            line = taken[place][0].line
            alone = [suspects[k].words for k in ranked if fits[place, k]]
            if _LANDED in alone:
                yield line, _LANDED
            elif words := _named(whole, "fits every reading of the door") or _named(
                alone, "fits this reading, not the others"
            ):
                yield line, words


def _landed(netlist: Netlist) -> Suspect:
    return Suspect(SuspectKind.DEVICE, _LANDED, frozenset(), ((_AsLanded(netlist),),), 1.0)


def not_as_landed(
    circuit: DoorCircuit, at: Temperatures, as_landed: Netlist, every: Sequence[JudgedReading]
) -> tuple[JudgedReading, ...]:
    """Readings that are in range, of the circuit as drawn, and that the landings which came back cannot give.

    Args:
        circuit: as drawn.
        at: coldest and hottest conductor.
        as_landed: its netlist with those landings.
        every: the readings that came back, judged.
    """
    taken = [(one, q) for one in every if one.good is True and (q := _question(circuit, one.line)) is not None]
    if not taken:
        return ()
    observed = tuple(observe("", q.asked, one.row.reading, float(one.value)) for one, q in taken)
    fits = explains(circuit, (_landed(as_landed),), observed, at)
    return tuple(one for k, (one, _) in enumerate(taken) if not fits[k, 0])


def _named(names: Sequence[str], what: str) -> str:
    """Names of what explains a reading, the likeliest first; a poor joint once, whatever its resistance."""
    once = tuple(dict.fromkeys(names))
    if not once:
        return ""
    more = f"; and {len(once) - _MOST_NAMED} more" if len(once) > _MOST_NAMED else ""
    return f"{once[0]} {what}" if len(once) == 1 else f"each of these {what}: {'; '.join(once[:_MOST_NAMED])}{more}"
