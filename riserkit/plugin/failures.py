"""What went wrong in plugins: reported once each, as a log entry and as a finding, so that nothing left out goes unseen."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from riserkit.errors import visible
from riserkit.findings import Finding, Harm, Severity, Verdict

LEFT_OUT: Final = "plugin-left-out"
STRANGERS_MAY_RAISE: Final = (Exception, SystemExit)
"""What a plugin's code may raise while the others go on. One that leaves by `sys.exit(0)` would end a check as one without findings."""
_MOST_CHARS: Final = 200
_log = logging.getLogger("riserkit.plugins")


@dataclass(frozen=True, slots=True)
class Failure:
    """One thing of a plugin that was left out, and why.

    Args:
        plugin: its name with its distribution and version.
        left_out: what is left out, such as `rule door-colour`; empty for the plugin as a whole.
        reason: the exception in its own words, or what was returned.
    """

    plugin: str
    left_out: str
    reason: str

    def __str__(self) -> str:
        """One line that names it."""
        what = f"{self.left_out} of plugin {self.plugin}" if self.left_out else f"plugin {self.plugin}"
        return f"{what} is left out: {self.reason}"


def words_of(error: BaseException) -> str:
    """An exception in its own words, on one line and not too long: `ValueError: no licence`."""
    try:
        text = str(error)
    except STRANGERS_MAY_RAISE:  # a stranger's exception may fail to say itself
        text = ""
    text = visible(" ".join(f"{type(error).__name__}: {text}".split()).rstrip(":"))
    return text if len(text) <= _MOST_CHARS else f"{text[:_MOST_CHARS]}..."


@dataclass
class FailureLog:
    """Failures in the order they came, each logged as a warning once. Grows while plugins are asked."""

    found: dict[Failure, None] = field(default_factory=dict)

    def add(self, plugin: str, left_out: str, reason: str) -> Failure:
        """Note one; the same one again is not noted again."""
        failure = Failure(plugin, left_out, reason)
        if failure not in self.found:
            self.found[failure] = None
            _log.warning("%s", failure)
        return failure

    def __iter__(self) -> Iterator[Failure]:
        return iter(tuple(self.found))


def failure_findings(log: FailureLog) -> tuple[Finding, ...]:
    """A warning for each thing left out, so that findings and sheets show that something was not considered."""
    return tuple(
        Finding(
            rule=LEFT_OUT, verdict=Verdict.NOT_EVALUATED, severity=Severity.WARNING, harm=Harm.DOES_NOT_WORK,
            subject=failure.plugin.partition(" ")[0], subject_kind="plugin", source="the installation",
            message=f"{str(failure)[:1].upper()}{str(failure)[1:]}.",
            remedy="Repair, update or remove the plugin, then check again.", about=failure.left_out,
        )
        for failure in log
    )  # fmt: skip
