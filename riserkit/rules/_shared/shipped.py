"""The rules that ship: every module of `riserkit.rules` that holds a rule class."""

from __future__ import annotations

import inspect
import pkgutil
from collections.abc import Iterator
from importlib import import_module
from typing import Final, cast

import riserkit.rules
from riserkit.rules._shared.base import Rule, harm_of


def _shipped() -> Iterator[Rule]:
    for module in pkgutil.iter_modules(riserkit.rules.__path__):
        if module.ispkg:
            continue
        found = import_module(f"riserkit.rules.{module.name}")
        for _, kind in inspect.getmembers(found, inspect.isclass):
            if kind.__module__ == found.__name__ and isinstance(getattr(kind, "name", None), str):
                rule = kind()
                harm_of(rule)
                yield cast(Rule, rule)


SHIPPED_RULES: Final[tuple[Rule, ...]] = tuple(sorted(_shipped(), key=lambda rule: rule.name))
"""Every rule that ships, in order of name."""
