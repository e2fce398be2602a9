"""From bytes to JSON values, with a place for everything that JSON (RFC 8259) or good sense forbids.

The standard library's parser takes more than it should: it keeps the last of two equal names, reads NaN and numbers
beyond any range, and stops at a nesting that depends on how deep its caller is. Each is caught here.
"""

from __future__ import annotations

import codecs
import json
import math
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final

MAX_DEPTH: Final = 32
_MAX_DIGITS: Final = 400
_BRACKETS: Final = re.compile(r'"(?:[^"\\]|\\.?)*+(?:"|\Z)|[][{}]', re.DOTALL)
"""Brackets and whole strings, so that a bracket in a string is none; one never closed reaches to the end."""


class SyntaxProblem(ValueError):  # noqa: N818  it is what the user sees
    """The text is no JSON document. `place` says where, such as `line 3, column 5`."""

    def __init__(self, place: str, wanted: str) -> None:
        super().__init__(wanted)
        self.place = place


@dataclass(frozen=True, slots=True)
class NoNumber:
    """What is taken where a number was written that is none, such as NaN."""

    text: str

    def __str__(self) -> str:
        """As written."""
        return self.text


class Members(dict[str, Any]):
    """An object that remembers names which were given twice."""

    repeated: tuple[str, ...] = ()


def parse(data: bytes) -> Any:
    """Parse a whole document; objects come as `Members`, impossible numbers as `NoNumber`.

    Raises:
        SyntaxProblem: it is not text, not JSON, or nested deeper than `MAX_DEPTH`.
    """
    text = _decode(data)
    if not text.strip():
        raise SyntaxProblem("", "expected a JSON document; the file is empty")
    try:
        value = json.loads(
            text,
            object_pairs_hook=_members,
            parse_constant=NoNumber,
            parse_int=_number(int),
            parse_float=_number(float),
        )
    except json.JSONDecodeError as error:
        wanted = f"expected JSON; {error.msg[0].lower()}{error.msg[1:]}"
        raise SyntaxProblem(f"line {error.lineno}, column {error.colno}", wanted) from None
    except RecursionError:
        raise SyntaxProblem(_first_too_deep(text), _TOO_DEEP) from None
    return value


def _first_too_deep(text: str) -> str:
    """Where the first bracket beyond `MAX_DEPTH` opens."""
    depth = 0
    for found in _BRACKETS.finditer(text):
        depth += {"{": 1, "[": 1, "}": -1, "]": -1}.get(found[0], 0)
        if depth > MAX_DEPTH:
            line_starts = text.rfind("\n", 0, found.start()) + 1
            return f"line {text.count(chr(10), 0, found.start()) + 1}, column {found.start() - line_starts + 1}"
    return ""


_TOO_DEEP: Final = f"expected no more than {MAX_DEPTH} levels of brackets"


def _decode(data: bytes) -> str:
    encoding = "utf-8-sig"
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        wanted = f"expected text in UTF-8; byte {error.start + 1} of the file (0x{data[error.start]:02x}) is not"
        raise SyntaxProblem(f"line {line}", wanted) from None


def _members(pairs: list[tuple[str, Any]]) -> Members:
    made = Members(pairs)
    if len(made) < len(pairs):
        times = Counter(name for name, _ in pairs)
        made.repeated = tuple(sorted(name for name, count in times.items() if count > 1))
    return made


def _number(kind: Callable[[str], float]) -> Callable[[str], float | NoNumber]:
    def read(text: str) -> float | NoNumber:
        if len(text) > _MAX_DIGITS:
            return NoNumber(text)
        value = kind(text)
        return value if isinstance(value, int) or math.isfinite(value) else NoNumber(text)

    return read


def pointer(parent: str, name: object) -> str:
    """The JSON pointer (RFC 6901) of a member."""
    return f"{parent}/{str(name).replace('~', '~0').replace('/', '~1')}"


def walk(document: Any) -> Iterator[tuple[str, int, Any]]:
    """Every array, object and impossible number with its pointer and depth, without recursion and no deeper than allowed."""
    stack: list[tuple[str, int, Any]] = [("", 0, document)]
    while stack:
        place, depth, value = stack.pop()
        yield place, depth, value
        if depth > MAX_DEPTH:
            continue
        members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        for name, member in members:
            if isinstance(member, (dict, list, NoNumber)):
                stack.append((pointer(place, name), depth + 1, member))


def faults(document: Any) -> Iterator[tuple[str, str, str]]:
    """Pointer, value seen and what would be accepted, for everything that no site may contain."""
    for place, depth, value in walk(document):
        if depth > MAX_DEPTH:
            yield place, "", _TOO_DEEP
        elif isinstance(value, NoNumber):
            yield place, value.text, "expected a finite number"
        elif isinstance(value, Members):
            for name in value.repeated:
                yield pointer(place, name), "", "expected each name once in an object; this one is repeated"
