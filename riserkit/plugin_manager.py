"""Finds the plugins that are installed and keeps those that are sound.

A plugin that cannot be imported, or implements a hook that there is not, is named with its version, logged as a
warning and left out; the others go on working.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from functools import cache
from importlib.metadata import EntryPoint, entry_points

import pluggy

from riserkit.hooks import GROUP, Hooks

_log = logging.getLogger("riserkit.plugins")


@dataclass(frozen=True, slots=True)
class Skipped:
    """A plugin that was left out, and why."""

    name: str
    distribution: str
    version: str
    reason: str

    def __str__(self) -> str:
        """One line that names it."""
        return f"plugin {self.name} of {self.distribution} {self.version} is left out: {self.reason}"


@dataclass(frozen=True, slots=True)
class Plugins:
    """The manager with every sound plugin registered, and those left out."""

    manager: pluggy.PluginManager
    skipped: tuple[Skipped, ...]


@cache
def installed_plugins() -> Plugins:
    """The plugins of this installation, found once. Each one left out is logged as a warning."""
    return find_plugins()


def find_plugins() -> Plugins:
    """Look for installed plugins afresh, in the order of their distributions' and own names."""
    manager = _empty()
    skipped: list[Skipped] = []
    for point in sorted(entry_points(group=GROUP), key=lambda p: (_distribution(p), p.name, p.value)):
        reason = _register(manager, point)
        if reason:
            skipped.append(Skipped(point.name, *_distribution(point), reason))
            _log.warning("%s", skipped[-1])
    return Plugins(manager, tuple(skipped))


def _empty() -> pluggy.PluginManager:
    manager = pluggy.PluginManager(GROUP)
    manager.add_hookspecs(Hooks)
    return manager


def _distribution(point: EntryPoint) -> tuple[str, str]:
    return (point.dist.name, point.dist.version) if point.dist else ("an unknown distribution", "without version")


def _register(manager: pluggy.PluginManager, point: EntryPoint) -> str:
    """Register a plugin; why not, when it is not sound."""
    try:
        plugin = point.load()
        # Tried on a manager of its own first: a refused plugin would stay half registered.
        trial = _empty()
        trial.register(plugin)
        trial.check_pending()
    except (Exception, SystemExit) as error:  # whatever a stranger's code raises while it loads, the others must go on
        return f"{type(error).__name__}: {error}"
    if manager.is_registered(plugin):
        return "it is registered already under another name"
    manager.register(plugin, name=f"{_distribution(point)[0]}:{point.name}")
    return ""
