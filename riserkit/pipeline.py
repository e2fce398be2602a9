"""Read, design, check, write: the stages as Python callers and the commands alike use them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from riserkit.design import Design, design
from riserkit.findings import ACCEPTED_LIFE_SAFETY, Finding, Severity, status
from riserkit.model.site import Site
from riserkit.plugin_manager import installed_plugins
from riserkit.reading import read_site
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


def plugin_rules() -> tuple[Rule, ...]:
    """Rules of installed plugins."""
    return tuple(rule for rules in installed_plugins().manager.hook.more_rules() for rule in rules)


def plugin_arrangements() -> tuple[Arrangement, ...]:
    """Wiring arrangements of installed plugins."""
    return tuple(a for found in installed_plugins().manager.hook.more_arrangements() for a in found)


def design_site(site: Site) -> Design:
    """Work out a site: routes, labels, wiring, power; with the arrangements of all installed plugins.

    Raises:
        RiserkitError: labels cannot name all there is, or two arrangements have one name.
    """
    return design(site, plugin_arrangements())


def check_design(made: Design) -> tuple[Finding, ...]:
    """What the rules say of a design, passes included, the worst first; with the rules of all installed plugins."""
    return check(made, plugin_rules())


def work_out(site: Site) -> Checked:
    """Design a site and check it, with the arrangements and rules of all installed plugins."""
    made = design_site(site)
    return Checked(made, check_design(made))


def check_site(site: Site | Path | str, options: Mapping[str, str] | None = None) -> Checked:
    """Read, where it is a path, design and check.

    Args:
        site: a site, or where it stands.
        options: settings of the input format, such as `mapping`.

    Raises:
        RiserkitError: the input has problems (`InputError` has all of them), or labels cannot name all there is.
    """
    return work_out(site if isinstance(site, Site) else read_site(site, options))


def counts(findings: Iterable[Finding]) -> Mapping[str, int]:
    """How many findings of each status: pass, accepted, accepted life-safety error, and each severity of those open."""
    found = {"pass": 0, "accepted": 0, ACCEPTED_LIFE_SAFETY: 0, **{str(s): 0 for s in Severity}}
    for finding in findings:
        found[status(finding)] += 1
    return found
