"""What the commands print for people."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from rich.markup import escape
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bars

from riserkit.findings import Finding, Severity
from riserkit.model.site import Site
from riserkit.pipeline import Progress
from riserkit.reports.listing import listing
from riserkit.reports.printing import Console, filled, plain_table, text_width, wide_console

if TYPE_CHECKING:
    from riserkit.reports.explained import Explained
    from riserkit.wiring.reason import Reason
    from riserkit.wiring.values import Candidate, DoorWiring

_PASSED: Final = {True: "passes", False: "fails", None: "not evaluated"}
_TABLE: Final = 120
"""Letters from which on the candidates of an opening are set as a table; a narrower one has columns of two words."""


@contextlib.contextmanager
def progress_bar() -> Iterator[Progress]:
    """A progress bar on the error stream, shown only to a person."""
    columns = (TextColumn("{task.description:<18}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    console = Console(stderr=True)
    # Drawn when called, not by a thread of its own: sheets are shared among processes only while there is one thread.
    shown = console.is_terminal
    with Bars(*columns, console=console, transient=True, disable=not shown, auto_refresh=False) as bars:
        tasks = {}

        def progress(stage: str, done: int, total: int) -> None:
            if stage not in tasks:
                tasks[stage] = bars.add_task(stage, total=total)
            bars.update(tasks[stage], completed=done, total=total, refresh=shown)

        yield progress


def print_findings(
    site: Site, findings: Sequence[Finding], *, everything: bool = False, least: Severity = Severity.WARNING
) -> None:
    """Findings that want attention, by harm, one block for each door; what passes is only counted.

    Args:
        site: that was checked.
        findings: of it, in the order of `check`.
        everything: list also what is accepted and what passed.
        least: the least severity that is listed.
    """
    console = Console(highlight=False)
    width = text_width(console)
    lines = listing(site, findings, least=least, everything=everything, width=width)
    if not console.is_terminal:
        # plain text then, of which a thousand doors have thousands of lines
        console.file.writelines(f"{line.text}\n" for line in lines)
        return
    for line in lines:
        console.print(escape(line.text), style=line.style, soft_wrap=True)


def print_explanation(explained: Explained) -> None:
    """Every candidate of one opening, the one chosen, and the tests that decided."""
    console = wide_console()
    wiring = explained.wiring
    console.print(f"Opening {escape(wiring.mark)}")
    if wiring.missing:
        console.print(f"Not evaluated; missing: {escape(', '.join(wiring.missing))}")
    if console.width < _TABLE:
        _print_candidates(console, wiring)
    else:
        _print_candidate_table(console, wiring)
    drawn = wiring.drawn
    if drawn is not None and drawn.voltages is not None:
        console.print(f"\nTests of {drawn.arrangement} with {drawn.lock_cable}:")
        for reason in drawn.reasons:
            console.print(f"  {_PASSED[reason.passed]:14}{reason.name}: {escape(reason.text)}")
    console.print()
    for line in explained.words:
        console.print(escape(line))


def _print_candidate_table(console: Console, wiring: DoorWiring) -> None:
    columns = ("", "arrangement", "lock cable", "lock power from", "rank", "what fails, or is closest to its limit")
    table = plain_table(*columns, no_wrap=("arrangement",))
    for candidate in wiring.considered:
        mark, verdict = _verdict(candidate, wiring)
        table.add_row(verdict, candidate.arrangement, candidate.lock_cable, candidate.supply_at,
                      f"{candidate.cost:g}", escape(_deciding(candidate)), style="bold" if mark else "")  # fmt: skip
    console.print(table)


def _print_candidates(console: Console, wiring: DoorWiring) -> None:
    width = text_width(console)
    for candidate in wiring.considered:
        mark, verdict = _verdict(candidate, wiring)
        power = f", lock power from {candidate.supply_at}" if candidate.supply_at else ""
        what = f"{verdict}, rank {candidate.cost:g}: {candidate.arrangement}, lock cable {candidate.lock_cable}{power}"
        for line in (*filled(what, width, "", "  "), *filled(_deciding(candidate), width, "    ", "    ")):
            console.print(escape(line), style="bold" if mark else "", soft_wrap=True)


def _verdict(candidate: Candidate, wiring: DoorWiring) -> tuple[bool, str]:
    """Whether it is the one that is drawn, and what it is called."""
    if candidate in (wiring.chosen, wiring.nearest):
        return True, "selected" if candidate == wiring.chosen else "closest"
    return False, "suitable" if candidate.feasible else "not suitable"


def _deciding(candidate: Candidate) -> str:
    return "; ".join(reason.text for reason in candidate.failed or _tightest(candidate))


def _tightest(candidate: Candidate) -> tuple[Reason, ...]:
    """The passed test nearest to its limit."""
    measured = [r for r in candidate.reasons if r.passed and r.value is not None and r.limit]
    return tuple(sorted(measured, key=lambda r: abs(1 - (r.value or 0.0) / (r.limit or 1.0)))[:1])
