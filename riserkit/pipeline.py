"""Read, design, check, write: the stages as Python callers and the commands alike use them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from riserkit.design import Design, design
from riserkit.findings import ACCEPTED_LIFE_SAFETY, Finding, Severity, by_harm, status
from riserkit.model.site import Site
from riserkit.plugin.arrangements import sound_arrangements
from riserkit.plugin.failures import failure_findings
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.plugin.read import read_site
from riserkit.plugin.rules import sound_rules
from riserkit.proofs.record import ProofRecord
from riserkit.rules._shared.base import Rule
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.arrangement import Arrangement

Progress = Callable[[str, int, int], None]


def no_progress(_stage: str, _done: int, _total: int) -> None:
    """Tells nobody."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A design with what the rules say of it."""

    design: Design
    findings: tuple[Finding, ...]

    @property
    def open_errors(self) -> tuple[Finding, ...]:
        """Errors that nobody has accepted."""
        return tuple(f for f in self.findings if f.is_open and f.severity is Severity.ERROR)


def plugin_rules(plugins: Plugins | None = None) -> tuple[Rule, ...]:
    """Rules of plugins, guarded; of those installed when left out."""
    return sound_rules(plugins or installed_plugins())


def plugin_arrangements(plugins: Plugins | None = None) -> tuple[Arrangement, ...]:
    """Wiring arrangements of plugins, guarded; of those installed when left out."""
    return sound_arrangements(plugins or installed_plugins())


def design_site(site: Site, plugins: Plugins | None = None, record: ProofRecord | None = None) -> Design:
    """Work out a site: routes, labels, wiring, power; with the arrangements of plugins.

    Args:
        site: what the user states.
        plugins: those installed when left out.
        record: proofs of an earlier build, which need not be solved again.

    Raises:
        RiserkitError: labels cannot name all there is.
    """
    return design(site, plugin_arrangements(plugins), record)


def check_design(made: Design, plugins: Plugins | None = None, progress: Progress = no_progress) -> tuple[Finding, ...]:
    """What the rules say of a design, passes included, the worst first; with the rules of plugins.

    What was left out of a plugin so far is a warning among them.

    Args:
        made: the design.
        plugins: those installed when left out.
        progress: told of every rule.
    """
    asked = plugins or installed_plugins()
    found = check(made, plugin_rules(asked), progress)
    left_out = failure_findings(asked.log)
    return tuple(sorted((*found, *left_out), key=by_harm)) if left_out else found


def work_out(
    site: Site, plugins: Plugins | None = None, progress: Progress = no_progress, record: ProofRecord | None = None
) -> Checked:
    """Design a site and check it; proofs that a record of an earlier build has are not solved again."""
    progress("working out", 0, 1)
    made = design_site(site, plugins, record)
    progress("working out", 1, 1)
    return Checked(made, check_design(made, plugins, progress))


def check_site(
    site: Site | Path | str, options: Mapping[str, str] | None = None, plugins: Plugins | None = None,
    progress: Progress = no_progress,
) -> Checked:  # fmt: skip
    """Read, where it is a path, design and check.

    Args:
        site: a site, or where it stands.
        options: settings of the input format, such as `mapping`.
        plugins: those installed when left out.
        progress: called for every step.

    Raises:
        RiserkitError: the input has problems (`InputError` has all of them), or labels cannot name all there is.
    """
    progress("reading", 0, 1)
    found = site if isinstance(site, Site) else read_site(site, options, plugins)
    progress("reading", 1, 1)
    return work_out(found, plugins, progress)


def counts(findings: Iterable[Finding]) -> Mapping[str, int]:
    """How many findings of each status: pass, accepted, accepted life-safety error, and each severity of those open."""
    found = {"pass": 0, "accepted": 0, ACCEPTED_LIFE_SAFETY: 0, **{str(s): 0 for s in Severity}}
    for finding in findings:
        found[status(finding)] += 1
    return found
