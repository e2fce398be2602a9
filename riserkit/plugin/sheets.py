"""Reads the sheets of files that a crew has filled in, with whichever plugin knows their format."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from riserkit.model.problems import InputError, Problem, Where
from riserkit.model.raw import TextSheet
from riserkit.plugin.documents import MOST_BYTES
from riserkit.plugin.failures import STRANGERS_MAY_RAISE, words_of
from riserkit.plugin.manager import Plugins, installed_plugins


def read_sheets(path: Path, plugins: Plugins | None = None) -> Sequence[TextSheet]:
    """Every sheet of a workbook, or the one of a text table.

    Raises:
        InputError: there is no such file, no plugin reads it, or it is broken.
    """
    asked = plugins or installed_plugins()
    if not path.is_file():
        raise _refused(path, "expected a workbook (.xlsx) or a text table (.csv); there is no such file")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _refused(path, "expected a file of at most a gibibyte")
        failed = []
        for one in sorted(asked.manager.hook.read_sheets.get_hookimpls(), key=lambda impl: impl.plugin_name):
            try:
                found = one.function(path=path)
            except (InputError, OSError):
                raise
            except STRANGERS_MAY_RAISE as error:
                failed.append(str(asked.log.add(one.plugin_name, "the reader of sheets", words_of(error))))
                continue
            if isinstance(found, Sequence) and all(isinstance(sheet, TextSheet) for sheet in found):
                return found
            if found is not None:
                why = f"it returned {type(found).__name__} where a list of TextSheet was expected"
                failed.append(str(asked.log.add(one.plugin_name, "the reader of sheets", why)))
    except OSError as error:
        raise _refused(path, f"expected a file that can be read: {error.strerror or error}") from error
    why = f", but {'; '.join(failed)}" if failed else ""
    raise _refused(path, f"expected a workbook (.xlsx) or a text table (.csv){why}")


def _refused(path: Path, wanted: str) -> InputError:
    return InputError([Problem(Where(path.name), "", "", wanted)])
