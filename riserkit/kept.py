"""What an earlier build worked out, so that the next need not work it out again where nothing that it rests on has changed.

Each thing is kept under a digest of all that it was worked out from: the values themselves to the last digit, and the code of
riserkit, of plugins and of the libraries. Beside it is a digest of what was found; what is read back must come to the same,
or it is worked out anew. Both digests find what was spoilt, not what was forged: whoever hands over a record answers for
where it comes from.
"""

from __future__ import annotations

import io
import json
import pickle
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from hashlib import sha256
from types import NoneType
from typing import Any, Final, TypeVar

from pydantic import BaseModel

from riserkit.code_digest import own_code

KeptEntry = Mapping[str, str]
"""`what` was asked; `kept`, what was found, as JSON writes it; `digest` of it and its key; and `within`, the keys of what was
asked to find it, parted by spaces, where there are any."""

_T = TypeVar("_T")
_SPOILT: Final = (LookupError, TypeError, ValueError, AttributeError, ArithmeticError, RecursionError)


class KeptWork:
    """What an earlier build worked out by key, and what this one did, which the next may use."""

    def __init__(
        self, earlier: Mapping[str, KeptEntry] | None = None, made_with: str = "", *, keeps: bool = True
    ) -> None:
        """Take an earlier record in; nothing of it is believed before it is asked for.

        Args:
            earlier: entries by key, as `entries` gave them.
            made_with: what else it is worked out with besides riserkit's code, such as plugins; other work is kept for each.
            keeps: False works everything out and keeps nothing, which spares the digests.
        """
        self._earlier, self._made_with, self._keeps = earlier or {}, made_with, keeps
        self._packed: dict[str, bytes] = {}
        self._within: list[dict[str, None]] = []

    @property
    def entries(self) -> Mapping[str, KeptEntry]:
        """What was worked out or taken over in this build by key, sorted; each is unpacked as it is asked for."""
        return _Unpacked(self._packed)

    def of(
        self,
        what: str,
        values: object,
        work_out: Callable[[], _T],
        read: Callable[[Any], _T],
        plain: Callable[[_T], Any] = lambda found: found,
    ) -> _T:
        """What was found from equal values, in this build or the one before; else worked out now, and kept for the next time.

        Args:
            what: the question, in a word of its own.
            values: all that the answer depends on. Where not all of that is data, nothing is kept.
            work_out: answers it.
            read: the answer from plain values.
            plain: the answer as plain values, which JSON can write.
        """
        key = self._key(what, values)
        found = self._found(key, read)
        if found is None:
            self._within.append({})
            try:
                found = work_out()
            finally:
                within = self._within.pop()
            self._keep(key, what, found, read, plain, within)
        return found

    def found(self, what: str, values: object, read: Callable[[Any], _T]) -> _T | None:
        """What was found from equal values, as `of` has it; None where that is not known."""
        return self._found(self._key(what, values), read)

    def keep(self, what: str, values: object, found: _T, read: Callable[[Any], _T], plain: Callable[[_T], Any]) -> None:
        """Keep what was found, as `of` does."""
        self._keep(self._key(what, values), what, found, read, plain)

    def _key(self, what: str, values: object) -> str:
        """A digest of what is asked, of what, and with which code; empty where not all of that is data."""
        digest = value_digest(values) if self._keeps else ""
        key = _digest(what, own_code(), self._made_with, digest) if digest else ""
        for within in self._within if key else ():
            within[key] = None
        return key

    def _found(self, key: str, read: Callable[[Any], _T]) -> _T | None:
        entry = _unpacked(self._packed[key]) if key in self._packed else self._earlier.get(key)
        try:
            # what is there must be, to the last digit, what was worked out under this key
            if entry is None or entry["digest"] != _digest(key, entry["kept"], *entry.get("within", "").split()):
                return None
            found = read(json.loads(entry["kept"]))
            self._take_over(key, entry)
        except _SPOILT:
            return None
        return found

    def _take_over(self, key: str, entry: KeptEntry) -> None:
        """Keep an earlier entry for the next build, and those that it was found by: they are asked for again when it changes."""
        if key in self._packed:
            return
        self._packed[key] = _packed(entry)
        for one in entry.get("within", "").split():
            if one in self._earlier:
                self._take_over(one, self._earlier[one])

    def _keep(
        self, key: str, what: str, found: _T, read: Callable[[Any], _T], plain: Callable[[_T], Any],
        within: Iterable[str] = (),
    ) -> None:  # fmt: skip
        if not key:
            return
        try:
            told = json.dumps(plain(found))
            # what would not be read back as it is now is not kept
            if repr(read(json.loads(told))) == repr(found):
                keys = tuple(within)
                entry = {"what": what, "digest": _digest(key, told, *keys), "kept": told}
                self._packed[key] = _packed(entry | {"within": " ".join(keys)} if keys else entry)
        except _SPOILT:
            return


class _Unpacked(Mapping[str, KeptEntry]):
    """Entries by key, sorted."""

    def __init__(self, packed: Mapping[str, bytes]) -> None:
        self._packed = dict(sorted(packed.items()))

    def __getitem__(self, key: str) -> KeptEntry:
        return _unpacked(self._packed[key])

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)


def _packed(entry: KeptEntry) -> bytes:
    """Readings of a thousand doors wait for the end of a build: as text they would take five times the memory."""
    return zlib.compress(json.dumps(dict(entry)).encode(), 1)


def _unpacked(data: bytes) -> KeptEntry:
    found: KeptEntry = json.loads(zlib.decompress(data))
    return found


NOTHING_KEPT: Final = KeptWork(keeps=False)
"""Works everything out."""


def _digest(*words: str) -> str:
    return sha256("\n".join(words).encode("utf-8", "surrogatepass")).hexdigest()


class _Told(pickle.Pickler):
    """Writes all that a value says: of riserkit's own values their fields, whatever has been worked out from them since."""

    def reducer_override(self, obj: object) -> Any:
        """As the library asks for it."""
        told = _plain(obj)
        return NotImplemented if told is obj else (tuple, (told,))


_LEAVES: Final = frozenset({str, int, float, bool, bytes, NoneType})


def _plain(value: Any) -> Any:
    """A value as tuples of plain values, as far as it is of riserkit's own; asked of each value alone the pickler takes thrice the time."""
    kind: Any = type(value)
    if kind in _LEAVES:
        return value
    if kind is tuple or kind is list:
        return kind([one if type(one) in _LEAVES else _plain(one) for one in value])
    if kind is dict:
        return {_plain(key): _plain(one) for key, one in value.items()}
    if kind is set or kind is frozenset:
        # members in an order that is the same in every process
        return "set", *map(_plain, sorted(value, key=repr))
    told = _teller(kind)
    return told(value) if told is not None else value


@cache
def _teller(kind: type) -> Callable[[Any], tuple[object, ...]] | None:
    """What tells a value of riserkit's as its fields; None of anything else, a class included."""
    if not kind.__module__.startswith("riserkit.") or issubclass(kind, type):
        return None
    name = f"{kind.__module__}.{kind.__qualname__}"
    if issubclass(kind, Enum):
        return lambda value: (name, value.value)
    if issubclass(kind, tuple):
        return lambda value: (name, *map(_plain, value))
    if is_dataclass(kind):
        names = tuple(field.name for field in fields(kind))
    elif issubclass(kind, BaseModel):
        names = tuple(kind.__pydantic_fields__)
    else:
        return None

    def told(value: object) -> tuple[object, ...]:
        found = [getattr(value, one) for one in names]
        return name, *[one if type(one) in _LEAVES else _plain(one) for one in found]

    return told


def value_digest(value: object) -> str:
    """A digest of a value and of all that is in it; empty where not all of that is data, such as a function within another."""
    stream = io.BytesIO()
    pickler = _Told(stream, protocol=5)
    # without it, two equal texts would be written otherwise than one text twice
    pickler.fast = True
    try:
        pickler.dump(_plain(value))
    except (pickle.PicklingError, TypeError, AttributeError, ValueError, RecursionError):
        return ""
    return sha256(stream.getbuffer()).hexdigest()
