"""How surely each value is known, as the reference notes state it: the words printed beside a limit must not drift."""

from __future__ import annotations

import pytest

from riserkit.standards import (
    bundles,
    cabling,
    class2,
    colours,
    conduit,
    copper,
    egress,
    jackets,
    labels,
    poe,
    sheets,
)
from riserkit.standards.source import Limit, Source

CITATIONS = [
    (poe.CLASS_POWERS, "IEEE 802.3-2022 clauses 33 and 145, class powers (verified)"),
    (poe.CHANNEL_RESISTANCE, "IEEE 802.3-2022 clauses 33 and 145, channel resistance (consistent)"),
    (poe.POE_CLASSES[8].pd_voltage_source, "IEEE 802.3-2022 clauses 33 and 145, PD input voltage (verified)"),
    (poe.POE_CLASSES[5].pd_voltage_source, "IEEE 802.3-2022 clause 145, PD input voltage (from memory)"),
    (poe.POE_CLASSES[7].pd_voltage_source, "IEEE 802.3-2022 clause 145, PD input voltage (from memory)"),
    (copper.IACS, "NBS Handbook 100 standard annealed copper (verified)"),
    (copper.AWG, "NBS Handbook 100 section 2.1, American wire gage (verified)"),
    (copper.NEC_TABLE_8, "NEC chapter 9 table 8, uncoated stranded (verified)"),
    (copper.NEC_TABLE_8_MEMORY, "NEC chapter 9 table 8, uncoated stranded (from memory)"),
    (copper.IEC_CLASS_5, "IEC 60228 table 3, class 5 plain copper (verified)"),
    (cabling.LENGTHS, "TIA-568.2-D permanent link and channel length (verified)"),
    (cabling.CORD_FACTORS, "TIA-568.2-D cord insertion loss factor, 24 and 26 AWG (verified)"),
    (cabling.CORD_FACTOR_28, "TIA-568.2-D-1 cord insertion loss factor, 28 AWG (from memory)"),
    (cabling.CORD_FORMULA, "TIA-568.2-D cord length formula (from memory)"),
    (cabling.DERATING, "TIA-568.2-D length at temperature (from memory)"),
    (cabling.DERATING_40C, "TIA-568.2-D length at 40 °C, unscreened (verified)"),
    (cabling.CATEGORY_RESISTANCE, "TIA-568.2-D conductor resistance at 20 °C (verified)"),
    (cabling.LOOP_RESISTANCE, "ISO/IEC 11801-1:2017 loop resistance (from memory)"),
    (labels.GRAMMAR, "TIA-606-D identifier format (from memory)"),
    (jackets.LOCATIONS, "NEC 2023 800.113 and Table 722.135(B) (verified)"),
    (jackets.OUTDOOR_MARKS, "common practice, no source"),
    (conduit.TABLE_1, "NEC chapter 9 table 1 (verified)"),
    (conduit.TABLE_4, "NEC chapter 9 table 4 (verified)"),
    (conduit.NIPPLE, "NEC chapter 9 note 4 (verified)"),
    (conduit.ROUNDING, "NEC chapter 9 note 7 (verified)"),
    (conduit.MULTICONDUCTOR, "NEC chapter 9 note 9 (from memory)"),
    (bundles.AMPACITY, "NEC 2023 Table 725.144 (verified)"),
    (bundles.AMBIENT_CORRECTION, "NEC 2023 725.144(A) and equation 310.15(B) (verified)"),
    (class2.TABLE_11B, "NEC chapter 9 table 11(B) (verified)"),
    (class2.TABLE_11B_MEMORY, "NEC chapter 9 table 11(B) (from memory)"),
    (colours.LETTER_CODES, "IEC 60757:2021 letter codes (verified)"),
    (colours.CONDUCTOR_ORDER, "common practice, no source"),
    (sheets.ISO_SIZES, "ISO 216 A series (verified)"),
    (sheets.ANSI_SIZES, "ASME Y14.1 sheet sizes (verified)"),
    (sheets.MARGINS, "ISO 5457:1999 margins and frame (from memory)"),
    (sheets.TITLE_BLOCK, "ISO 7200:2004 title block width and fields (from memory)"),
    (sheets.LETTERING, "ISO 3098-1:2015 nominal sizes (from memory)"),
    (sheets.NCS_TEXT, "NCS v5 least text height 3/32 in (from memory)"),
    (egress.MANUAL_RELEASE_HEIGHT_MIN_M, "IBC 2021 1010.2.12 (verified)"),
    (egress.DELAY_MAX_S, "IBC 2021 1010.2.13 (verified)"),
    (egress.DELAY_FORCE_MAX_N, "NFPA 101 5-2.1.6, an older edition (verified)"),
    (egress.PANIC_UNLATCH_FORCE_MAX_N, "IBC 2021 1010.2.9.3 (verified)"),
    (egress.REACH_MAX_M, "ADA 2010 308.2.1 (verified)"),
    (egress.DOOR_HARDWARE_HEIGHT_MAX_M, "ADA 2010 404.2.7 (verified)"),
    (egress.OPERABLE_FORCE_MAX_N, "ADA 2010 309.4 (from memory)"),
]


@pytest.mark.parametrize(("value", "text"), CITATIONS, ids=lambda value: value if isinstance(value, str) else "")
def test_citation(value: Source | Limit, text: str) -> None:
    source = value.source if isinstance(value, Limit) else value
    assert source.cite() == text
