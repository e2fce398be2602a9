"""The first draft of `import.toml`: what was guessed, written down so that it can be corrected."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from riserkit.importing.facts import Facts
from riserkit.importing.gather import Gathered
from riserkit.importing.settings import CIRCULATION, UNITS_M


def draft(documents: Sequence[Facts], gathered: Gathered) -> str:
    """The settings that say what was guessed of these documents; what is left to say stands in comments."""
    return "\n".join((
        "# How riserkit import reads the documents of this site. Every line may be changed or taken out;",
        "# what no line says is inferred anew. The full list of settings: docs/importing.md.",
        "",
        "[doors]",
        '# keep = "listed"    # "all": doors that are drawn and on no list become openings too',
        f"# holds = {json.dumps([facts.document for facts in documents])}    # whose sizes hold where documents differ",
        "",
        "[sides]",
        f"# circulation = {json.dumps(CIRCULATION[:6])}    # rooms that one comes from",
        "",
        "[levels]",
        *(f"{_key(level.name)} = {_text(level.identity)}" for level in gathered.levels if level.name),
        "",
        "[marks]",
        *_marks(gathered),
        "",
        "[words]",
        *_words(gathered),
        *(line for facts in documents for line in _document(facts, gathered)),
        "",
    ))  # fmt: skip


def _key(text: str) -> str:
    return _text(text)


def _text(text: str) -> str:
    """A string of TOML: its escapes are those of JSON where no sign needs a pair."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _marks(gathered: Gathered) -> Iterator[str]:
    names: dict[str, int] = {}
    for door in gathered.doors:
        if door.mark:
            names[door.mark] = names.get(door.mark, 0) + 1
    for name, count in sorted(names.items()):
        if count > 1:
            yield f'# {_key(name)} = ""    # {count} doors have this name'


def _words(gathered: Gathered) -> Iterator[str]:
    said = {text for door in gathered.doors for _, text in door.hardware}
    said |= {text for one in gathered.sets for _, text in one.items}
    for text in sorted(said)[:200]:
        yield f'# {_key(text[:200])} = {{ lock = "" }}'


def _document(facts: Facts, gathered: Gathered) -> Iterator[str]:
    yield ""
    yield f"[document.{_key(facts.document)}]"
    if facts.kind == "plan":
        unit = next((name for name, unit_m in UNITS_M.items() if abs(unit_m - facts.unit_m) < 1e-9), "")
        yield f"units = {_text(unit)}" if unit else f'# units = ""    # one unit is {facts.unit_m:g} m'
        levels = sorted({level.identity for level in gathered.levels if level.at.document == facts.document})
        yield f"level = {_text(levels[0])}" if levels else '# level = ""'
        yield "# elevation_m = 0.0"
        yield "# origin = [0.0, 0.0]    # the drawing's point that is the site's 0, 0"
        yield "# rotation_deg = 0.0"
        yield "# points = [[0, 0, 0.0, 0.0], [1000, 0, 25.4, 0.0]]    # instead: x, y drawn and x, y of the site in metres"
        yield '# regions = { "L1" = [0, 0, 900, 600] }    # storeys beside each other in one drawing: level = x0, y0, x1, y1 drawn'
        if facts.layers:
            yield (
                "layers = {"[:-1]
                + "{ "
                + ", ".join(f"{_key(n)} = {_text(r)}" for n, r in sorted(facts.layers.items()))
                + " }"
            )
    if facts.headings:
        yield "columns = { " + ", ".join(f"{_key(n)} = {_text(r)}" for n, r in facts.headings.items()) + " }"
    if facts.kind == "list":
        yield '# hidden = "keep"    # "skip": hidden rows are left out'
