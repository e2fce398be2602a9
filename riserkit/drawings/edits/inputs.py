"""What a sheet is drawn from, as a digest: while it stays, the sheet drawn earlier is the sheet that would be drawn.

Rather too much counts than too little: the whole site except other openings, the code that draws, blocks and font.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import file_digest, sha256
from pathlib import Path
from typing import Final

from riserkit.checked import Checked
from riserkit.code_digest import own_code
from riserkit.design import Design, DoorDesign
from riserkit.drawings.dxf.blocks import block_folder
from riserkit.drawings.dxf.canvas import DrawingInfo
from riserkit.findings import Finding
from riserkit.model.raw import is_outside

_OF_OTHERS: Final = {
    "openings",
    "runs",
    "issued_labels",
    "acceptances",
    "confirmations",
    "rooms",
    "walls",
    "issued_cables",
}
"""Tables of a site of which a door's sheet shows its own rows alone, and those are in its design and its findings."""


def _folder_digest(folders: Iterable[Path]) -> str:
    found = sha256()
    for folder in folders:
        found.update(b"folder\0")
        for path in sorted(folder.glob("*.dxf")):
            if path.is_file():
                found.update(path.name.encode() + b"\0" + sha256(path.read_bytes()).digest())
    return found.hexdigest()


def set_inputs(design: Design, info: DrawingInfo) -> str:
    """A digest of what every door's sheet of a set is drawn from."""
    site = design.site
    tables = [f"{name}={getattr(site, name)!r}" for name in type(site).model_fields if name not in _OF_OTHERS]
    labels = sorted(design.labels.closet.items()), sorted(design.labels.switch.items())
    words = [
        own_code(),
        _folder_digest([*info.block_folders, block_folder()]),
        info.dxf_version,
        info.digest,
        *tables,
        repr(labels),
        # a date that is stated is drawn, and none where it is not, though both be the same
        repr("issue_date" in site.info.model_fields_set),
    ]
    return sha256("\n".join(words).encode()).hexdigest()


def digest_of(words: Iterable[str]) -> str:
    """One digest of all these."""
    return sha256("\n".join(words).encode()).hexdigest()[:32]


def whole_inputs(checked: Checked, info: DrawingInfo, common: str) -> str:
    """A digest of what any sheet of a set may be drawn from: the whole site with its backgrounds, all labels and findings."""
    design = checked.design
    words = (
        common,
        design.site.model_dump_json(),
        repr(checked.findings),
        repr(design.labels),
        backgrounds_digest(design, info),
    )
    return digest_of(words)


def backgrounds_digest(design: Design, info: DrawingInfo) -> str:
    """A digest of the drawings that plans are drawn on; one that is not there or lies outside is told where it is drawn."""
    found = sha256()
    for level in design.site.levels:
        if level.background and info.background_folder is not None:
            path = info.background_folder / level.background
            if path.is_file() and not is_outside(path, info.background_folder):
                with path.open("rb") as stream:
                    found.update(level.id.encode() + b"\0" + file_digest(stream, "sha256").digest())
    return found.hexdigest()


def door_inputs(design: Design, door: DoorDesign, findings: Sequence[Finding], common: str) -> str:
    """A digest of what one door's sheet is drawn from."""
    port = design.labels.port_of(door.placement)
    mine = (
        door.opening, door.placement, door.cable, door.link, door.wiring, port, design.labels.opening.get(door.mark), door.proof,
        design.site.issued_cables_of.get(door.mark, ()),
    )  # fmt: skip
    return digest_of((common, repr(mine), repr(tuple(findings))))
