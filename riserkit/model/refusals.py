"""What would be accepted, in words, for each way in which a value can be refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from riserkit.model.problems import offer
from riserkit.model.tables import RECORDS, fields_of

_PLAIN: Final[Mapping[str, str]] = {
    "missing": "expected a value here; this one is required",
    "int_parsing": "expected a whole number",
    "int_parsing_size": "expected a whole number of fewer digits",
    "int_type": "expected a whole number",
    "int_from_float": "expected a whole number",
    "float_parsing": "expected a number",
    "float_type": "expected a number",
    "finite_number": "expected a finite number",
    "bool_parsing": "expected yes or no",
    "bool_type": "expected yes or no",
    "string_type": "expected text",
    "list_type": "expected a list",
    "tuple_type": "expected a list",
    "dict_type": "expected names with their values",
    "model_type": "expected names with their values",
    "string_too_short": "expected some text",
    "too_short": "expected some text",
}
_BOUNDS: Final[Mapping[str, tuple[str, str]]] = {
    "greater_than": ("more than", "gt"),
    "greater_than_equal": ("at least", "ge"),
    "less_than": ("less than", "lt"),
    "less_than_equal": ("at most", "le"),
}
# Patterns of the models in words; a pattern that is not here is shown as it is.
_PATTERNS: Final[Mapping[str, str]] = {
    r"^[A-Za-z0-9][A-Za-z0-9_.\-]*$": "letters, digits, '.', '-' or '_', beginning with a letter or digit, such as L1",
    r"^(5e|6|6A|7|7A|8)?$": "5e, 6, 6A, 7, 7A or 8",
    r"^([A-Z][A-Z0-9]{0,3})?$": "a capital letter, then up to three capitals or digits, such as B1",
    r"^[A-Z]?$": "one capital letter",
    r"^[A-Z0-9]{1,3}$": "one to three capitals or digits",
}
_NO_VALUE: Final = frozenset(
    {"-", "--", "–", "—", "/", "?", "??", "n/a", "n.a.", "na", "tbd", "tba", "tbc", "none", "nil", "unknown"}
)
_PER_CENT_MOST: Final = 100
_A_DOOR_M: Final = 20.0
_LEAST_MM: Final = 100.0
"""No door, height or distance at a door is larger than the first; a smaller number of millimetres is no part of one."""
UNIT_SHOWN: Final[Mapping[str, str]] = {"m": "m", "v": "V", "a": "A", "w": "W", "ohm": "ohm", "h": "H", "s": "s",
                                         "ah": "Ah", "j": "J", "c": "°C"}  # fmt: skip


def accepted(item: Any, table: str, name: str) -> str:
    """What would be accepted in place of a refused value.

    Args:
        item: one entry of pydantic's `ValidationError.errors()`.
        table: the table that the record is of, a key of `tables.RECORDS`.
        name: the field, empty for the record as a whole.
    """
    kind = item["type"]
    if kind == "extra_forbidden":
        return _unknown(item, table, name)
    if kind.startswith("union_tag"):
        return f"expected one of {item['ctx'].get('expected_tags') or ', '.join(_part_kinds())}"
    wanted = _PLAIN.get(kind) or _from_context(item, _unit(table, name))
    return f"{wanted}{_left_empty(item, table, name)}"


def _left_empty(item: Any, table: str, name: str) -> str:
    """What to do with a word that stands for no value: nothing is read out of it, for none and not known are not the same."""
    value, facts = item.get("input"), fields_of(table).get(name) if table in RECORDS else None
    if not isinstance(value, str) or value.strip().lower() not in _NO_VALUE or facts is None or facts.required:
        return ""
    return "; leave it empty where there is none or it is not known yet"


def _from_context(item: Any, unit: str) -> str:
    kind, context = item["type"], item.get("ctx", {})
    if kind == "value_error":
        return str(context["error"])
    if kind in _BOUNDS:
        words, key = _BOUNDS[kind]
        meant = _in_millimetres(item["input"], context[key], unit) or _in_per_cent(item["input"], context[key], unit)
        return f"expected {words} {context[key]:g}{unit}{meant}"
    if kind in {"string_too_long", "too_long"} and isinstance(item["input"], str):
        return f"expected at most {context['max_length']} characters"
    if kind == "string_pattern_mismatch":
        pattern = context["pattern"]
        return f"expected {_PATTERNS.get(pattern, f'text as in the pattern {pattern}')}"
    if kind in {"literal_error", "enum"}:
        return f"expected {context['expected']}"
    return f"expected: {item['msg'][0].lower()}{item['msg'][1:]}"


def _in_millimetres(value: object, bound: float, unit: str) -> str:
    """A question where a length in metres was most likely written in millimetres: 915 for a door's width."""
    try:
        number = float(value) if isinstance(value, (int, float, str)) else 0.0
    except (ValueError, OverflowError):
        return ""
    if unit == " m" and bound <= _A_DOOR_M and _LEAST_MM <= number <= bound * 1000:
        return f"; in millimetres? Then write {number:g} mm, or name the column's unit in its header"
    return ""


def _in_per_cent(value: object, bound: float, unit: str) -> str:
    """A question where a fraction of one was most likely written in per cent: 15 for a tolerance."""
    try:
        number = float(value) if isinstance(value, (int, float, str)) else 0.0
    except (ValueError, OverflowError):
        return ""
    return (
        f"; in per cent? Then write {number:g} %" if bound == 1 and not unit and 1 <= number <= _PER_CENT_MOST else ""
    )


def _unit(table: str, name: str) -> str:
    facts = fields_of(table).get(name) if table in RECORDS else None
    return f" {UNIT_SHOWN[facts.suffix]}" if facts and facts.suffix else ""


def _unknown(item: Any, table: str, name: str) -> str:
    known = set(fields_of(table)) if table in RECORDS else set()
    kind = ""
    if table == "parts" and item["loc"]:
        kind = str(item["loc"][0])
        known = {n for m in RECORDS["parts"] if kind in _kinds_of(m) for n in m.model_fields}
    of = f"a part of kind {kind}" if kind else table.replace("_", " ")
    return f"not known for {of}; {offer(name, known)}"


def _kinds_of(model: Any) -> tuple[str, ...]:
    return tuple(model.model_fields["kind"].annotation.__args__)


def _part_kinds() -> list[str]:
    return [repr(kind) for model in RECORDS["parts"] for kind in _kinds_of(model)]
