"""The circuit of one opening as a SPICE deck, so that anyone can check voltages and currents with another solver."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from pathlib import Path

from riserkit.circuits.cases import T_REFERENCE_C, SourceLevel
from riserkit.circuits.spice import spice_deck
from riserkit.circuits.states import outside_names
from riserkit.errors import RiserkitError
from riserkit.plugin.read import read_site
from riserkit.reports.explained import explain

VOLTAGES = {level.name.lower(): level for level in SourceLevel}
"""The words for a supply's voltage."""


def opening_deck(
    path: Path | str,
    mark: str,
    states: Sequence[str] = (),
    voltage: str = "nominal",
    conductor_c: float = T_REFERENCE_C,
    options: Mapping[str, str] | None = None,
) -> str:
    """Read a site, wire one opening of it, and write its circuit for a SPICE program.

    Args:
        path: where the site is.
        mark: of the opening.
        states: outside states that are on, such as `B1.open`.
        voltage: a key of `VOLTAGES`.
        conductor_c: conductor temperature in °C.
        options: settings of the input format.

    Raises:
        RiserkitError: the input has problems, there is no such opening or state, or no wiring is suitable.
    """
    wiring = explain(read_site(path, options), mark).wiring
    if wiring.netlist is None:
        raise RiserkitError(
            f"opening {mark} has no circuit: no wiring is suitable; run riserkit explain for the reasons"
        )
    names = outside_names(wiring.netlist)
    for state in states:
        if state not in names:
            close = difflib.get_close_matches(state, names, n=3) or names
            raise RiserkitError(f"opening {mark} has no state {state!r}; expected {', '.join(close)}")
    return spice_deck(
        wiring.netlist, dict.fromkeys(states, True), VOLTAGES[voltage], conductor_c, f"opening {mark}"
    ).text
