"""A door's proof on paper: the truth table, the proof line with its caution, and which failing is drawn."""

from __future__ import annotations

from typing import Final

from riserkit.design import DoorDesign
from riserkit.drawings.door.tables import TableText
from riserkit.drawings.setting.table import TableColumn
from riserkit.proofs.book import Unproven
from riserkit.proofs.telling import CAUTION, proof_line
from riserkit.proofs.values import FAIL_SECURE_ON_POWER_LOSS, LOCK_FOLLOWS_CONTROLLER, RELEASES, TAMPER, Property

_GRAVEST: Final = (*RELEASES, LOCK_FOLLOWS_CONTROLLER, FAIL_SECURE_ON_POWER_LOSS)


def proof_paragraphs(door: DoorDesign) -> tuple[str, ...]:
    """The proof line, or why nothing is proven, and the caution."""
    return proof_line(door.proof), CAUTION


def truth_table_text(door: DoorDesign) -> TableText | None:
    """State against lock in the sound circuit; None where nothing is proven."""
    proof = door.proof
    if isinstance(proof, Unproven) or not proof.topology.table:
        return None
    rows = tuple((", ".join(row.state), row.stands) for row in proof.topology.table)
    columns = (TableColumn("State", max_width_mm=110), TableColumn("Lock"))
    return TableText("Lock in each state", columns, rows)


def drawn_failing(door: DoorDesign) -> Property | None:
    """The gravest property asked of the door that fails and can be drawn: the way out first, what is lacking before it.

    Tamper counts only where the opening asks for its lock wiring to be secured.
    """
    proof = door.proof
    if isinstance(proof, Unproven):
        return None
    names = (*_GRAVEST, *((TAMPER,) if door.opening.lock_wiring_secured else ()))
    failed = {one.name: one for one in (*proof.lacking, *proof.failed) if one.counterexample is not None}
    return next((failed[name] for name in names if name in failed), None)
