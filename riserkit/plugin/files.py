"""Files that plugins write beside drawings and schedules."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from riserkit.design import Design
from riserkit.findings import Finding
from riserkit.plugin.asking import answers
from riserkit.plugin.manager import Plugins

FOLDER: Final = "plugins"
MOST_BYTES: Final = 256 * 2**20
_NAME: Final = re.compile(r"^[A-Za-z0-9][A-Za-z0-9 ._-]{0,99}$")


def plugin_files(plugins: Plugins, design: Design, findings: Sequence[Finding]) -> Iterator[tuple[str, bytes]]:
    """Each file's place within the results, such as `plugins/door-list/doors.txt`, and its content.

    A plugin one of whose files cannot stand writes none, and is named in the log.
    """
    for plugin, answer in answers(
        plugins.manager, plugins.log, "more_files", "every file", design=design, findings=findings
    ):
        why = _fault(answer)
        if why:
            plugins.log.add(plugin, "every file", why)
        elif isinstance(answer, Mapping):
            folder = re.sub(r"[^A-Za-z0-9._-]+", "-", plugin.partition(":")[2] or plugin)
            for name in sorted(answer):
                content = answer[name]
                yield f"{FOLDER}/{folder}/{name}", content.encode("utf-8") if isinstance(content, str) else content


def write_plugin_files(plugins: Plugins, design: Design, findings: Sequence[Finding], folder: Path) -> int:
    """Write them below a folder; how many.

    Raises:
        OSError: the folder cannot be written.
    """
    count = 0
    for name, content in plugin_files(plugins, design, findings):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        count += 1
    return count


def _fault(answer: object) -> str:
    if not isinstance(answer, Mapping):
        return f"more_files returned {type(answer).__name__} where file names with their contents were expected"
    size = 0
    for name, content in answer.items():
        if not isinstance(name, str) or not _NAME.match(name) or name.endswith((".", " ")):
            return f"{str(name)[:60]!r} is no plain file name"
        if not isinstance(content, (str, bytes)):
            return f"{name} holds {type(content).__name__} where text or bytes were expected"
        try:
            size += len(content.encode("utf-8") if isinstance(content, str) else content)
        except UnicodeEncodeError:
            return f"{name} holds text that cannot be written"
    folded = {name.casefold() for name in answer}
    if len(folded) < len(answer):
        return "two of its file names differ by capitals only"
    return f"its files are larger than {MOST_BYTES // 2**20} MiB together" if size > MOST_BYTES else ""
