"""Rules of plugins, each guarded: one that raises or yields nonsense is not evaluated, and says so."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import ClassVar, Final, cast

from riserkit.design import Design
from riserkit.errors import RiserkitError
from riserkit.findings import Finding, Harm
from riserkit.plugin.asking import listed, without_clashes
from riserkit.plugin.failures import LEFT_OUT, STRANGERS_MAY_RAISE, words_of
from riserkit.plugin.manager import Plugins
from riserkit.rules._shared.base import Rule, harm_of, not_evaluated
from riserkit.rules._shared.page import read_page
from riserkit.rules._shared.shipped import SHIPPED_RULES
from riserkit.rules._shared.unused import ACCEPTANCE_UNUSED

MOST_FINDINGS: Final = 1000
MOST_FINDINGS_PER_OPENING: Final = 20
"""No rule has that much to say; one that yields more is taken for broken, and costs no more memory than this."""


def sound_rules(plugins: Plugins) -> tuple[Rule, ...]:
    """The rules of plugins that are made as a rule has to be, guarded; the others are named in the log."""
    taken = {rule.name: "riserkit" for rule in SHIPPED_RULES} | {ACCEPTANCE_UNUSED: "riserkit", LEFT_OUT: "riserkit"}
    found = ((p, cast(Rule, rule)) for p, rule in listed(plugins.manager, plugins.log, "more_rules", "rule", _fault))
    own = without_clashes(found, plugins.log, "rule", taken, lambda rule: rule.name)
    return tuple(_guarded(plugins, plugin, rule) for plugin, rule in own)


def _fault(rule: object) -> str:
    if isinstance(rule, type) or not callable(getattr(rule, "evaluate", None)):
        return "not a rule: expected an object with name, source, harm and evaluate(design)"
    for name in ("name", "source"):
        if not isinstance(getattr(rule, name, None), str):
            return f"it states no {name}"
    try:
        read_page(cast(Rule, rule))
        harm_of(rule)
    except RiserkitError as error:
        return str(error)
    return ""


class _GuardedRule:
    """A plugin's rule; its page and name are put on a class of its own, where they are looked for."""

    name: ClassVar[str] = ""
    source: ClassVar[str] = ""
    harm: ClassVar[Harm]

    def __init__(self, plugins: Plugins, plugin: str, rule: Rule) -> None:
        self._plugins, self._plugin, self._rule = plugins, plugin, rule

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """The rule's findings up to its first failure, and that it failed."""
        most = MOST_FINDINGS + MOST_FINDINGS_PER_OPENING * len(design.doors)
        try:
            for count, finding in enumerate(self._rule.evaluate(design)):
                why = f"it yields more than {most} findings" if count >= most else _nonsense(finding, self.name)
                if why:
                    yield self._failed(why)
                    return
                yield finding
        except STRANGERS_MAY_RAISE as error:
            yield self._failed(words_of(error))

    def _failed(self, why: str) -> Finding:
        failure = self._plugins.log.add(self._plugin, f"rule {self.name}", why)
        return not_evaluated(
            self, ("site", "site"), f"Not evaluated, or not for all: plugin {failure.plugin} failed: {failure.reason}.",
            "Repair, update or remove the plugin, then check again.",
        )  # fmt: skip


def _guarded(plugins: Plugins, plugin: str, rule: Rule) -> Rule:
    said = {"__doc__": type(rule).__doc__, "name": rule.name, "source": rule.source, "harm": rule.harm}
    return cast(Rule, type("GuardedRule", (_GuardedRule,), said)(plugins, plugin, rule))


def _nonsense(finding: object, name: str) -> str:
    if not isinstance(finding, Finding):
        return f"it yields {type(finding).__name__} where a finding was expected"
    if finding.rule != name:
        return f"it yields a finding of the rule {finding.rule!r}"
    for field in ("value", "limit", "margin"):
        number = getattr(finding, field)
        if number is not None and not (isinstance(number, (int, float)) and isfinite(number)):
            return f"it yields a {field} that is no finite number: {str(number)[:40]}"
    for field in ("subject", "subject_kind", "message", "source", "remedy", "unit"):
        if not isinstance(getattr(finding, field), str):
            return f"it yields a {field} that is no text"
    return ""
