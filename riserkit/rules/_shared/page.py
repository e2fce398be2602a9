"""A rule's page, read from its docstring."""

from __future__ import annotations

import inspect
import re
from dataclasses import dataclass
from typing import ClassVar, Final, Protocol

from riserkit.errors import RiserkitError
from riserkit.findings import Harm

SECTIONS: Final = ("Why", "Measures", "Limit", "Remedy", "Source")
_HEADING: Final = re.compile(r"^([A-Z][a-z]+):$")
_NAME: Final = re.compile(r"^[a-z0-9]+(?:-[a-z0-9]+)*$")


class Paged(Protocol):
    """Anything with a name in words and a page as its docstring: a rule, or a check of a sheet."""

    name: ClassVar[str]


class RuleError(RiserkitError):
    """A rule, shipped or from a plugin, that is not made as a rule has to be."""


@dataclass(frozen=True, slots=True)
class RulePage:
    """What a rule says of itself; `summary` is its first line, the rest its sections as one paragraph each."""

    name: str
    summary: str
    why: str
    measures: str
    limit: str
    remedy: str
    source: str


def harm_of(rule: object) -> Harm:
    """The harm that a rule states. There is none to assume: a rule that hides a danger must not be listed last.

    Raises:
        RuleError: it states none.
    """
    harm = getattr(rule, "harm", None)
    if not isinstance(harm, Harm):
        name = getattr(rule, "name", type(rule).__name__)
        raise RuleError(f"rule {name}: no harm stated; set harm to one of {', '.join(f'Harm.{h.name}' for h in Harm)}")
    return harm


def read_page(rule: Paged) -> RulePage:
    """The page of a rule.

    Raises:
        RuleError: its name is not words joined by hyphens, or a section is missing, empty or out of order.
    """
    if not _NAME.match(rule.name):
        raise RuleError(f"rule name {rule.name!r}; expected small words joined by hyphens, such as channel-length")
    lines = inspect.cleandoc(type(rule).__doc__ or "").splitlines()
    texts: dict[str, list[str]] = {"": []}
    for line in lines:
        match = _HEADING.match(line)
        texts.setdefault(match[1], []) if match else texts[list(texts)[-1]].append(line.strip())
    found = {name: " ".join(text for text in body if text) for name, body in texts.items()}
    if tuple(found) != ("", *SECTIONS) or not all(found.values()):
        seen = ", ".join(name for name in found if name) or "none"
        raise RuleError(f"rule {rule.name}: expected a summary and the sections {', '.join(SECTIONS)}; saw {seen}")
    return RulePage(rule.name, found[""], *(found[name] for name in SECTIONS))
