"""Citations, and that every value set cites something."""

from __future__ import annotations

import ast
import importlib
import pkgutil
from pathlib import Path

import pytest

import riserkit.standards
from riserkit.standards.source import COMMON_PRACTICE, Limit, Source

MODULES = sorted(module.name for module in pkgutil.iter_modules(riserkit.standards.__path__))


@pytest.mark.parametrize(
    ("source", "text"),
    [
        (Source("IEEE 802.3", "2022", "clause 145"), "IEEE 802.3-2022 clause 145 (from memory)"),
        (Source("IEC 60757", "2021", "letter codes", "verified"), "IEC 60757:2021 letter codes (verified)"),
        (Source("ISO/IEC 11801-1", "2017"), "ISO/IEC 11801-1:2017 (from memory)"),
        (Source("IBC", "2024", "1010.2.11", "verified"), "IBC 2024 1010.2.11 (verified)"),
        (Source("NEC", "", "chapter 9 table 1", "verified"), "NEC chapter 9 table 1 (verified)"),
        (Source("TIA-568.2", "D", "x", "consistent"), "TIA-568.2-D x (consistent)"),
        (COMMON_PRACTICE, "common practice, no source"),
    ],
)
def test_a_citation_names_standard_edition_clause_and_confidence(source: Source, text: str) -> None:
    assert source.cite() == text


@pytest.mark.parametrize("name", MODULES)
def test_every_module_states_where_its_values_come_from(name: str) -> None:
    module = importlib.import_module(f"riserkit.standards.{name}")
    values = vars(module).values()
    sources = [
        value if isinstance(value, Source) else value.source for value in values if isinstance(value, Source | Limit)
    ]
    assert sources
    assert all(source.standard or source.confidence == "common practice" for source in sources)


@pytest.mark.parametrize("name", MODULES)
def test_standards_import_nothing_else_of_riserkit(name: str) -> None:
    tree = ast.parse((Path(riserkit.standards.__path__[0]) / f"{name}.py").read_text(encoding="utf-8"))
    imported = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    imported += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    outside = [path for path in imported if path.startswith("riserkit") and not path.startswith("riserkit.standards.")]
    assert outside == []
