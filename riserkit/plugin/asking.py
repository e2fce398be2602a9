"""Asks plugins one by one, so that one that raises is named and left out and the others still answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TypeVar

import pluggy

from riserkit.plugin.failures import STRANGERS_MAY_RAISE, FailureLog, words_of

T = TypeVar("T")


def answers(
    manager: pluggy.PluginManager, log: FailureLog, hook: str, what: str, **given: object
) -> Iterator[tuple[str, object]]:
    """What each plugin that implements a hook returns, None left out, with the plugin's name.

    Args:
        manager: the plugins.
        log: takes the failures.
        hook: the hook's name.
        what: what is lost of a plugin that fails here, such as `every rule`.
        given: the hook's arguments.
    """
    caller: pluggy.HookCaller = getattr(manager.hook, hook)
    for one in sorted(caller.get_hookimpls(), key=lambda impl: impl.plugin_name):
        try:
            answer = one.function(**{name: given[name] for name in one.argnames})
        except STRANGERS_MAY_RAISE as error:
            log.add(one.plugin_name, what, words_of(error))
            continue
        if answer is not None:
            yield one.plugin_name, answer


def listed(
    manager: pluggy.PluginManager, log: FailureLog, hook: str, what: str, fault: Callable[[object], str]
) -> Iterator[tuple[str, object]]:
    """The single things that plugins return in a list, with the plugin's name; those with a fault are left out.

    Args:
        manager: the plugins.
        log: takes the failures.
        hook: the hook's name.
        what: one of the things in words, such as `rule`.
        fault: what is wrong with one, empty for nothing.
    """
    for plugin, answer in answers(manager, log, hook, f"every {what}"):
        if isinstance(answer, (str, bytes)) or not isinstance(answer, Sequence):
            log.add(plugin, f"every {what}", f"{hook} returned {type(answer).__name__} where a list was expected")
            continue
        for thing in answer:
            name = name_of(thing)
            try:
                why = fault(thing)
            except STRANGERS_MAY_RAISE as error:
                why = words_of(error)
            if why:
                log.add(plugin, f"{what} {name}", why)
            else:
                yield plugin, thing


def name_of(thing: object) -> str:
    """What a plugin's thing is called, in a few characters whatever it is."""
    name = getattr(thing, "name", None) or getattr(thing, "id", None)
    return name[:60] if isinstance(name, str) and name.isprintable() else type(thing).__name__


def without_clashes(
    found: Iterable[tuple[str, T]], log: FailureLog, what: str, taken: Mapping[str, str], name: Callable[[T], str]
) -> Iterator[tuple[str, T]]:
    """Those whose name nobody before them has.

    Args:
        found: things with their plugins.
        log: takes the failures.
        what: one of the things in words.
        taken: whose each name is already.
        name: of a thing.
    """
    owners = dict(taken)
    for plugin, thing in found:
        owner = owners.get(name(thing))
        if owner is None:
            owners[name(thing)] = plugin
            yield plugin, thing
        else:
            log.add(plugin, f"{what} {name(thing)}", f"{owner} has one of this name; give it a name of its own")
