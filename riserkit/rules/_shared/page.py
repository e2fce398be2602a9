"""A rule's page, read from its docstring.

Rules need the whole engine to run; their pages do not. Pages of a package are therefore read from its source.
"""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import ClassVar, Final, Protocol

from riserkit.errors import RiserkitError

SECTIONS: Final = ("Why", "Measures", "Limit", "Remedy", "Source")
_HEADING: Final = re.compile(r"^([A-Z][a-z]+):$")
# A class down to its name: what it does is below, and takes longer to parse than all the rest.
_HEAD: Final = re.compile(r"^class \w+.*?^    name: ClassVar\[str\] = .*?$", re.MULTILINE | re.DOTALL)
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


def read_page(rule: Paged) -> RulePage:
    """The page of a rule.

    Raises:
        RuleError: its name is not words joined by hyphens, or a section is missing, empty or out of order.
    """
    return _page(rule.name, type(rule).__doc__ or "")


def pages_of_package(package: str) -> Iterator[RulePage]:
    """The pages of all rules, or checks of sheets, that stand in a package; none of its modules is imported.

    Raises:
        RuleError: as `read_page`.
    """
    for module in sorted(files(package).iterdir(), key=lambda m: m.name):
        if module.name.endswith(".py"):
            for head in _HEAD.finditer(module.read_text("utf-8")):
                for kind in ast.parse(head[0]).body:
                    if isinstance(kind, ast.ClassDef) and (name := _name(kind)):
                        yield _page(name, ast.get_docstring(kind) or "")


def _name(kind: ast.ClassDef) -> str:
    """The name that a class states, empty where it states none."""
    for line in kind.body:
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name) and line.target.id == "name":
            return str(line.value.value) if isinstance(line.value, ast.Constant) else ""
    return ""


@lru_cache(maxsize=1024)
def _page(name: str, doc: str) -> RulePage:
    if not _NAME.match(name):
        raise RuleError(f"rule name {name!r}; expected small words joined by hyphens, such as channel-length")
    lines = inspect.cleandoc(doc).splitlines()
    texts: dict[str, list[str]] = {"": []}
    for line in lines:
        match = _HEADING.match(line)
        texts.setdefault(match[1], []) if match else texts[list(texts)[-1]].append(line.strip())
    found = {section: " ".join(text for text in body if text) for section, body in texts.items()}
    if tuple(found) != ("", *SECTIONS) or not all(found.values()):
        seen = ", ".join(section for section in found if section) or "none"
        raise RuleError(f"rule {name}: expected a summary and the sections {', '.join(SECTIONS)}; saw {seen}")
    return RulePage(name, found[""], *(found[section] for section in SECTIONS))
