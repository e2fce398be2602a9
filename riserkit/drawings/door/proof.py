"""A door's proof on paper: the truth table, and the proof line with its caution."""

from __future__ import annotations

from riserkit.design import DoorDesign
from riserkit.drawings.setting.table import Table, TableColumn
from riserkit.proofs.book import Unproven
from riserkit.proofs.sentences import CAUTION, proof_line


def proof_paragraphs(door: DoorDesign) -> tuple[str, ...]:
    """The proof line, or why nothing is proven, and the caution."""
    return proof_line(door.proof), CAUTION


def truth_table_text(door: DoorDesign) -> Table | None:
    """State against lock in the sound circuit; None where nothing is proven."""
    proof = door.proof
    if isinstance(proof, Unproven) or not proof.topology.table:
        return None
    rows = tuple((", ".join(row.state), row.lock_state) for row in proof.topology.table)
    columns = (TableColumn("State", max_width_mm=110), TableColumn("Lock"))
    return Table("Lock in each state", columns, rows)
