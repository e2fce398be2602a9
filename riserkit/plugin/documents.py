"""Reads documents with whichever plugin knows their format."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from riserkit.importing.facts import Facts
from riserkit.importing.settings import ImportSettings
from riserkit.model.problems import InputError, Problem, Where
from riserkit.plugin.asking import answers
from riserkit.plugin.failures import STRANGERS_MAY_RAISE, words_of
from riserkit.plugin.manager import Plugins, installed_plugins

MOST_BYTES: Final = 1 << 30
"""No document of an office is larger than a gibibyte."""


def read_documents(
    paths: Sequence[Path], settings: ImportSettings, plugins: Plugins | None = None
) -> tuple[Facts, ...]:
    """What each document says, in the order given.

    Args:
        paths: files, each of a name of its own.
        settings: what the user says of them.
        plugins: those to ask; those installed when left out.

    Raises:
        InputError: with every document that cannot be read, and why.
    """
    asked = plugins or installed_plugins()
    found: list[Facts] = []
    problems: list[Problem] = []
    names: set[str] = set()
    for path in paths:
        if path.name in names:
            problems.append(Problem(Where(path.name), "", "", "expected documents of different names; rename one"))
            continue
        names.add(path.name)
        try:
            found.append(_read(path, settings, asked))
        except InputError as error:
            problems += error.problems
        except OSError as error:
            problems.append(
                Problem(Where(path.name), "", "", f"expected a file that can be read: {error.strerror or error}")
            )
    if problems:
        raise InputError(problems)
    return tuple(found)


def _read(path: Path, settings: ImportSettings, asked: Plugins) -> Facts:
    if not path.is_file():
        seen = "there is none" if not path.exists() else "this is something else"
        seen = "this is a folder: name the documents in it" if path.is_dir() else seen
        wanted = f"expected a file; {seen}"
        raise InputError([Problem(Where(path.name), "", "", wanted)])
    if path.stat().st_size > MOST_BYTES:
        raise InputError([Problem(Where(path.name), "", "", "expected a document of at most a gibibyte")])
    failed = []
    for one in sorted(asked.manager.hook.read_document.get_hookimpls(), key=lambda impl: impl.plugin_name):
        given = {"path": path, "settings": settings.of(path.name)}
        try:
            facts = one.function(**{name: given[name] for name in one.argnames})
        except (InputError, OSError):
            raise
        except MemoryError:
            raise InputError(
                [Problem(Where(path.name), "", "", "it takes more memory to read than there is")]
            ) from None
        except STRANGERS_MAY_RAISE as error:
            failed.append(str(asked.log.add(one.plugin_name, "the reader of documents", words_of(error))))
            continue
        if isinstance(facts, Facts):
            return facts
        if facts is not None:
            why = f"it returned {type(facts).__name__} where Facts was expected"
            failed.append(str(asked.log.add(one.plugin_name, "the reader of documents", why)))
    lines = sorted(str(line) for _, line in answers(asked.manager, asked.log, "document_formats", "every format"))
    formats = "; ".join(lines) or "none, as no plugin that reads documents is installed"
    reason = f", but {'; '.join(failed)}" if failed else ""
    raise InputError([Problem(Where(path.name), "", "", f"expected a document{reason}; what can be read: {formats}")])
