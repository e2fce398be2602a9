"""Explains one opening: everything that was considered for its wiring, and why."""

from __future__ import annotations

import difflib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from riserkit.design import proof_book, wire_openings
from riserkit.errors import RiserkitError
from riserkit.model.site import Site
from riserkit.pipeline import plugin_arrangements
from riserkit.plugin.read import read_site
from riserkit.proofs.sentences import proof_words
from riserkit.wiring.assumed import assumed_values
from riserkit.wiring.values import Candidate, DoorWiring


@dataclass(frozen=True, slots=True)
class Explained:
    """One opening's wiring with every candidate judged, and the story in words."""

    wiring: DoorWiring
    words: tuple[str, ...]


def explain_opening(path: Path | str, mark: str, options: Mapping[str, str] | None = None) -> Explained:
    """Read a site and explain one opening of it.

    Raises:
        RiserkitError: the input has problems, or there is no opening of that mark.
    """
    return explain(read_site(path, options), mark)


def explain(site: Site, mark: str) -> Explained:
    """Explain one opening.

    Raises:
        RiserkitError: there is no opening of that mark; names close ones.
    """
    wiring = wiring_of(site, mark, everything=True)
    proof = proof_book(site, (wiring,)).proof(mark)
    return Explained(wiring, (*_words(wiring, site), *proof_words(proof, site.opening[mark])))


def wiring_of(site: Site, mark: str, *, everything: bool = False) -> DoorWiring:
    """The wiring of one opening; `everything` judges also what comes after the first feasible candidate.

    Raises:
        RiserkitError: there is no opening of that mark; names close ones.
    """
    opening = site.opening.get(mark)
    if opening is None:
        close = difflib.get_close_matches(mark, sorted(site.opening), n=5, cutoff=0.3) or sorted(site.opening)[:5]
        raise RiserkitError(
            f"no opening {mark!r}; expected one of {len(site.openings)}, for example {', '.join(close)}"
        )
    return wire_openings(site, (opening,), plugin_arrangements(), everything=everything)[0]


def _words(wiring: DoorWiring, site: Site) -> list[str]:
    words = []
    if wiring.chosen is not None:
        how = "Forced by the site's data" if wiring.forced else "Chosen"
        words.append(f"{how}: {wiring.chosen.title}, lock cable {wiring.chosen.lock_cable}.")
        words += [f"Not suitable: {reason.text}." for reason in wiring.chosen.failed]
    elif wiring.nearest is not None:
        words.append(f"No wiring is suitable. Closest: {wiring.nearest.title}.")
        words += [f"It fails: {reason.text}." for reason in wiring.nearest.failed]
    circuit = wiring.circuit
    if circuit is not None:
        words += filter(None, [assumed_values(circuit.netlist, site.part)])
        words += circuit.notes
        if circuit.reachable_release:
            words.append(f"From the unsecured side: {circuit.reachable_release}.")
    return words


def candidate_data(candidate: Candidate) -> dict[str, Any]:
    """A candidate as plain data."""
    return {
        "arrangement": candidate.arrangement,
        "title": candidate.title,
        "lock_cable": candidate.lock_cable,
        "lock_power_from": candidate.supply_at,
        "cost_order": candidate.cost,
        "feasible": candidate.feasible,
        "tests": [
            {"name": r.name, "passed": r.passed, "value": r.value, "limit": r.limit, "unit": r.unit, "text": r.text}
            for r in candidate.reasons
        ],
    }


def explanation_json(explained: Explained) -> str:
    """All of it as one JSON document."""
    wiring = explained.wiring
    document = {
        "mark": wiring.mark,
        "chosen": candidate_data(wiring.chosen) if wiring.chosen else None,
        "nearest": candidate_data(wiring.nearest) if wiring.nearest else None,
        "forced": wiring.forced,
        "missing": list(wiring.missing),
        "considered": [candidate_data(c) for c in wiring.considered],
        "words": list(explained.words),
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)
