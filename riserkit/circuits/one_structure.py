"""Netlists of one door made to share a structure, so that they are solved together."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import replace
from math import inf
from typing import TypeVar

from riserkit.circuits.netlist import Component, Element, ElementKind, Netlist
from riserkit.circuits.overlay import Components

_Name = TypeVar("_Name")


class ComponentsOnce:
    """Components changed in some way, each worked out once; equal results are one object."""

    def __init__(self) -> None:
        # what something is made of is kept with it, so that nothing else gets its identity
        self._of: dict[tuple[int, Hashable], tuple[Component, Component]] = {}
        self._whole: dict[tuple[int, Hashable], tuple[Components, Components]] = {}
        self._made: dict[tuple[int, ...], Components] = {}

    def __call__(self, components: Components, how: Hashable, change: Callable[[Component], Component]) -> Components:
        """All of them changed; `how` names the change."""
        whole = (id(components), how)
        if whole not in self._whole:
            found = tuple(self._changed(one, how, change) for one in components)
            self._whole[whole] = components, self._made.setdefault(tuple(map(id, found)), found)
        return self._whole[whole][1]

    def _changed(self, one: Component, how: Hashable, change: Callable[[Component], Component]) -> Component:
        key = id(one), how
        if key not in self._of:
            self._of[key] = one, change(one)
        return self._of[key][1]


def of_one_structure(netlists: Mapping[_Name, Netlist], once: ComponentsOnce) -> Mapping[_Name, Netlist]:
    """Contacts that rest closed in some of these netlists and open in others are two in all of them, one of which passes nothing.

    A netlist with a contact of the wrong kind is else of a structure of its own, and to solve it by itself takes as long as a
    hundred that are solved together.
    """
    parts = {id(netlist.components): netlist.components for netlist in netlists.values()}
    kinds: dict[str, set[bool]] = {}
    for component in {id(one): one for components in parts.values() for one in components}.values():
        for e in component.elements:
            if e.kind is ElementKind.CONTACT:
                kinds.setdefault(f"{component.ref}.{e.name}", set()).add(e.normally_closed)
    both = frozenset(name for name, found in kinds.items() if len(found) > 1)
    if not both:
        return netlists

    def doubled(component: Component) -> Component:
        if not any(f"{component.ref}.{e.name}" in both for e in component.elements):
            return component
        pairs = (_pair(e) if f"{component.ref}.{e.name}" in both else (e,) for e in component.elements)
        return replace(component, elements=tuple(e for pair in pairs for e in pair))

    how = "both kinds", both
    return {name: replace(one, components=once(one.components, how, doubled)) for name, one in netlists.items()}


def _pair(contact: Element) -> tuple[Element, Element]:
    """A contact that rests open and one that rests closed, of which the one that is not there passes nothing."""
    nothing = {**contact.values, "r_closed_ohm": inf}
    rest_open, rest_closed = (
        replace(contact, normally_closed=kind, values=contact.values if contact.normally_closed is kind else nothing)
        for kind in (False, True)
    )
    return rest_open, replace(rest_closed, name=f"{contact.name}~closed")
