"""Finds the plugins that are installed and keeps those that are sound.

A plugin that cannot be imported, implements a hook that there is not, or is written for another version of the interface is
named with its version, logged as a warning and left out; the others go on working.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import EntryPoint, entry_points

import pluggy

from riserkit.plugin.failures import STRANGERS_MAY_RAISE, FailureLog, words_of
from riserkit.plugin.hooks import API_VERSION, GROUP, Hooks


@dataclass(frozen=True, slots=True)
class Plugins:
    """The manager with every sound plugin registered, and what was left out so far."""

    manager: pluggy.PluginManager
    log: FailureLog = field(default_factory=FailureLog, compare=False)

    def implement(self, hook: str) -> bool:
        """Whether any plugin implements a hook."""
        return bool(getattr(self.manager.hook, hook).get_hookimpls())

    def named(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Each plugin by name with the hooks it implements, both sorted."""
        hooks: dict[str, list[str]] = {name: [] for name, _ in self.manager.list_name_plugin()}
        for hook in sorted(name for name in vars(Hooks) if not name.startswith("_")):
            for one in getattr(self.manager.hook, hook).get_hookimpls():
                hooks[one.plugin_name].append(hook)
        return tuple((name, tuple(hooks[name])) for name in sorted(hooks))


@cache
def installed_plugins() -> Plugins:
    """The plugins of this installation, found once. Each one left out is logged as a warning."""
    return find_plugins()


def find_plugins() -> Plugins:
    """Look for installed plugins afresh, in the order of their distributions' and own names."""
    plugins = Plugins(empty_manager())
    for point in sorted(entry_points(group=GROUP), key=lambda p: (_distribution(p), p.name, p.value)):
        reason = _register(plugins.manager, point)
        if reason:
            name, version = _distribution(point)
            plugins.log.add(f"{name}:{point.name} {version}", "", reason)
    return plugins


def empty_manager() -> pluggy.PluginManager:
    """A manager that knows the hooks and no plugin."""
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
        trial = empty_manager()
        trial.register(plugin)
        trial.check_pending()
        wanted = getattr(plugin, "riserkit_api", API_VERSION)
    except STRANGERS_MAY_RAISE as error:
        return words_of(error)
    if wanted != API_VERSION:
        return f"it is written for version {str(wanted)[:20]} of the plugin interface; this is version {API_VERSION}"
    if manager.is_registered(plugin):
        return "it is registered already under another name"
    manager.register(plugin, name=f"{_distribution(point)[0]}:{point.name}")
    return ""
