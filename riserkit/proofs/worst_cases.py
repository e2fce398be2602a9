"""Worst cases that a proof is made at: source voltage, conductor temperature, and cable lengths of the doors wired alike."""

from __future__ import annotations

from dataclasses import dataclass, replace

from riserkit.circuits.cases import SourceLevel
from riserkit.circuits.elimination import BoolArray
from riserkit.circuits.netlist import Netlist
from riserkit.circuits.study import StudyCondition
from riserkit.quantities.printed import format_value


@dataclass(frozen=True, slots=True)
class WorstCase:
    """One worst case.

    Args:
        netlist: the circuit, with the cable lengths of this worst case.
        level: of the sources.
        at_c: temperature of the conductors, °C.
        lengths: `longest` or `shortest` of the doors wired alike; empty where all are of one length.
    """

    netlist: Netlist
    level: SourceLevel
    at_c: float
    lengths: str = ""

    @property
    def words(self) -> str:
        """The worst case in one phrase.

        Examples:
            `at lowest source voltage, conductors at 40 °C (104 °F), with the longest cables of the doors wired alike`
        """
        volts = {SourceLevel.LOW: "lowest", SourceLevel.HIGH: "highest", SourceLevel.NOMINAL: "nominal"}[self.level]
        cables = f", with the {self.lengths} cables of the doors wired alike" if self.lengths else ""
        fahrenheit = format_value(self.at_c, "°C", "imperial")
        return f"at {volts} source voltage, conductors at {self.at_c:g} °C ({fahrenheit}){cables}"

    def condition(self, energised: bool | BoolArray = False) -> StudyCondition:
        """As a circuit is studied; `energised` as in `riserkit.circuits.study.StudyCondition`."""
        return StudyCondition(self.netlist, self.level, self.at_c, energised)


def worst_cases_of(
    shortest: Netlist, longest: Netlist, temperatures_c: tuple[float, float]
) -> tuple[WorstCase, WorstCase]:
    """Lowest source with the longest and hottest cables, and highest with the shortest and coldest.

    Args:
        shortest: the circuit with the shortest cables of the doors that share it.
        longest: with the longest.
        temperatures_c: coldest and hottest of the conductors.
    """
    coldest_c, hottest_c = temperatures_c
    long, short = ("", "") if shortest == longest else ("longest", "shortest")
    return WorstCase(longest, SourceLevel.LOW, hottest_c, long), WorstCase(shortest, SourceLevel.HIGH, coldest_c, short)


def crossed(low: WorstCase, high: WorstCase) -> tuple[WorstCase, ...]:
    """The lengths of one at the source of the other; none where all lengths are one.

    An attack may stand between source and lock: the nearer a short, the less is left for the lock.
    """
    if not low.lengths:
        return ()
    return (
        replace(low, netlist=high.netlist, lengths=high.lengths),
        replace(high, netlist=low.netlist, lengths=low.lengths),
    )
