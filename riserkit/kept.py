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
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from hashlib import sha256
from typing import Any, Final, TypeVar

from pydantic import BaseModel

from riserkit.code_digest import own_code

KeptEntry = Mapping[str, str]
"""`what` was asked; `kept`, what was found, as JSON writes it; and `digest` of it and its key."""

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
            found = work_out()
            self._keep(key, what, found, read, plain)
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
        return _digest(what, own_code(), self._made_with, digest) if digest else ""

    def _found(self, key: str, read: Callable[[Any], _T]) -> _T | None:
        entry = _unpacked(self._packed[key]) if key in self._packed else self._earlier.get(key)
        try:
            # what is there must be, to the last digit, what was worked out under this key
            if entry is None or entry["digest"] != _digest(key, entry["kept"]):
                return None
            found = read(json.loads(entry["kept"]))
        except _SPOILT:
            return None
        if key not in self._packed:
            self._packed[key] = _packed(entry)
        return found

    def _keep(self, key: str, what: str, found: _T, read: Callable[[Any], _T], plain: Callable[[_T], Any]) -> None:
        if not key:
            return
        try:
            told = json.dumps(plain(found))
            # what would not be read back as it is now is not kept
            if repr(read(json.loads(told))) == repr(found):
                self._packed[key] = _packed({"what": what, "digest": _digest(key, told), "kept": told})
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
        kind: Any = type(obj)
        names = _field_names(kind)
        if names is None:
            return NotImplemented
        return tuple, ((kind.__qualname__, *[_in_order(getattr(obj, name)) for name in names]),)


@cache
def _field_names(kind: type) -> tuple[str, ...] | None:
    """Fields of a value of riserkit's; None of anything else, a class included."""
    if not kind.__module__.startswith("riserkit.") or issubclass(kind, type):
        return None
    if is_dataclass(kind):
        return tuple(field.name for field in fields(kind))
    return tuple(kind.__pydantic_fields__) if issubclass(kind, BaseModel) else None


def _in_order(value: object) -> object:
    """A set's members in an order that is the same in every process."""
    return ("set", *sorted(value, key=repr)) if isinstance(value, set | frozenset) else value


def value_digest(value: object) -> str:
    """A digest of a value and of all that is in it; empty where not all of that is data, such as a function within another."""
    stream = io.BytesIO()
    pickler = _Told(stream, protocol=5)
    # without it, two equal texts would be written otherwise than one text twice
    pickler.fast = True
    try:
        pickler.dump(value)
    except (pickle.PicklingError, TypeError, AttributeError, ValueError, RecursionError):
        return ""
    return sha256(stream.getbuffer()).hexdigest()
