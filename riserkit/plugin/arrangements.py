"""Wiring arrangements of plugins, each guarded: one that fails at a door is rejected there, and the reason says so."""

from __future__ import annotations

from math import isfinite
from typing import Any, cast

from riserkit.circuits.errors import CircuitError
from riserkit.plugin.asking import listed, without_clashes
from riserkit.plugin.failures import STRANGERS_MAY_RAISE, words_of
from riserkit.plugin.manager import Plugins
from riserkit.wiring.arrangement import Arrangement, Choice, DoorCircuit
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason

FAILED = "plugin"


class PluginArrangementError(CircuitError):
    """A plugin's arrangement did not build a circuit."""


def sound_arrangements(plugins: Plugins) -> tuple[Arrangement, ...]:
    """The arrangements of plugins that are made as one has to be, guarded; the others are named in the log."""
    taken = {a.name: "riserkit" for a in SHIPPED_ARRANGEMENTS}
    found = (
        (plugin, cast(Arrangement, one))
        for plugin, one in listed(plugins.manager, plugins.log, "more_arrangements", "arrangement", _fault)
    )
    own = without_clashes(found, plugins.log, "arrangement", taken, lambda one: one.name)
    return tuple(cast(Arrangement, _GuardedArrangement(plugins, plugin, one)) for plugin, one in own)


def _fault(one: object) -> str:
    if isinstance(one, type) or not all(callable(getattr(one, n, None)) for n in ("screen", "supplies", "build")):
        return "not an arrangement: expected an object with name, title, rank, screen, supplies and build"
    for name in ("name", "title"):
        text = getattr(one, name, None)
        if not isinstance(text, str) or not text or not text.isprintable():
            return f"it states no {name}"
    rank = getattr(one, "rank", None)
    return "" if isinstance(rank, (int, float)) and isfinite(rank) else "its rank is no finite number"


class _GuardedArrangement:
    """A plugin's arrangement. What else it states, such as columns for the drawing, is passed on."""

    def __init__(self, plugins: Plugins, plugin: str, inner: Arrangement) -> None:
        self.name, self.title, self.rank = inner.name, inner.title, inner.rank
        self._plugins, self._plugin, self._inner = plugins, plugin, inner

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        return getattr(self._inner, name)

    def screen(self, need: DoorNeed) -> tuple[Reason, ...]:
        """The arrangement's own tests; failing is one more of them, and so is that it cannot build what it admits."""
        try:
            said: tuple[object, ...] = tuple(self._inner.screen(need))
            reasons = tuple(reason for reason in said if isinstance(reason, Reason))
            wrong = next((reason for reason in said if not isinstance(reason, Reason)), None)
            if wrong is not None:
                return (self._failed(f"screen yields {type(wrong).__name__} where a reason was expected"),)
            if all(reason.passed for reason in reasons):
                self._try_out(need)
        except STRANGERS_MAY_RAISE as error:
            return (self._failed(words_of(error)),)
        return reasons

    def _try_out(self, need: DoorNeed) -> None:
        if need.lock_cables:
            for supply in self._inner.supplies(need):
                _build(self._inner, need, Choice(need.lock_cables[0], supply))

    def supplies(self, need: DoorNeed) -> tuple[SupplyOffer | None, ...]:
        """Where lock power may come from; nothing when the arrangement fails to say."""
        try:
            return tuple(self._inner.supplies(need))
        except STRANGERS_MAY_RAISE as error:
            self._failed(words_of(error))
            return ()

    def build(self, need: DoorNeed, choice: Choice) -> DoorCircuit:
        """The circuit.

        Raises:
            PluginArrangementError: the arrangement failed, or built something else.
        """
        try:
            return _build(self._inner, need, choice)
        except STRANGERS_MAY_RAISE as error:
            raise PluginArrangementError(self.name, self._failed(words_of(error)).text) from error

    def _failed(self, why: str) -> Reason:
        failure = self._plugins.log.add(self._plugin, f"arrangement {self.name}", why)
        return Reason(FAILED, False, f"plugin {failure.plugin} failed: {failure.reason}")


def _build(one: Arrangement, need: DoorNeed, choice: Choice) -> DoorCircuit:
    made = one.build(need, choice)
    if not isinstance(made, DoorCircuit):
        raise TypeError(f"build returned {type(made).__name__} where a door circuit was expected")
    return made
