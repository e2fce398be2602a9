"""Power over Ethernet: what each class gives at both ends of the channel, and the loop a cable makes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from riserkit.standards.copper import at_temperature
from riserkit.standards.source import Source

CLASS_POWERS: Final = Source("IEEE 802.3", "2022", "clauses 33 and 145, class powers", "verified")
CHANNEL_RESISTANCE: Final = Source("IEEE 802.3", "2022", "clauses 33 and 145, channel resistance", "consistent")
PD_VOLTAGE: Final = Source("IEEE 802.3", "2022", "clauses 33 and 145, PD input voltage", "verified")
PD_VOLTAGE_MEMORY: Final = Source("IEEE 802.3", "2022", "clause 145, PD input voltage", "from memory")


@dataclass(frozen=True, slots=True)
class PoeClass:
    """One power class, at the lowest type that carries it.

    Args:
        number: class, 0 to 8.
        type: lowest type, 1 to 4.
        pairs_powered: 2 or 4; two pairs make one pairset.
        p_pse_w: least power at the PSE's port.
        p_pd_w: most power that the PD may draw at its own end.
        v_pse_min_v: least voltage at the PSE.
        v_pd_min_v: least voltage at the PD, as published (truncated, not rounded).
        r_pairset_ohm: highest loop resistance of one pairset of the channel.
        i_pairset_a: current of one pairset at `p_pse_w` and `v_pse_min_v`, pairsets sharing evenly.
        pd_voltage_source: how surely `v_pd_min_v` is known.
    """

    number: int
    type: int
    pairs_powered: int
    p_pse_w: float
    p_pd_w: float
    v_pse_min_v: float
    v_pd_min_v: float
    r_pairset_ohm: float
    i_pairset_a: float
    pd_voltage_source: Source = PD_VOLTAGE

    @property
    def r_loop_max_ohm(self) -> float:
        """Highest loop resistance of the whole channel: that of the pairsets side by side."""
        return self.r_pairset_ohm * 2 / self.pairs_powered

    @property
    def i_total_a(self) -> float:
        """Current of all pairsets together."""
        return self.i_pairset_a * self.pairs_powered / 2

    @property
    def i_conductor_a(self) -> float:
        """Current of one conductor: each leg of a pairset is a pair, its two conductors side by side."""
        return self.i_pairset_a / 2


POE_CLASSES: Final[Mapping[int, PoeClass]] = MappingProxyType(
    {
        row.number: row
        for row in (
            PoeClass(0, 1, 2, 15.4, 12.95, 44.0, 37.0, 20.0, 0.350),
            PoeClass(1, 1, 2, 4.0, 3.84, 44.0, 37.0, 20.0, 4.0 / 44),
            PoeClass(2, 1, 2, 7.0, 6.49, 44.0, 37.0, 20.0, 7.0 / 44),
            PoeClass(3, 1, 2, 15.4, 12.95, 44.0, 37.0, 20.0, 0.350),
            PoeClass(4, 2, 2, 30.0, 25.5, 50.0, 42.5, 12.5, 0.600),
            PoeClass(5, 3, 4, 45.0, 40.0, 50.0, 44.3, 12.5, 0.450, PD_VOLTAGE_MEMORY),
            PoeClass(6, 3, 4, 60.0, 51.0, 50.0, 42.5, 12.5, 0.600),
            PoeClass(7, 4, 4, 75.0, 62.0, 52.0, 42.9, 12.5, 75.0 / 52 / 2, PD_VOLTAGE_MEMORY),
            PoeClass(8, 4, 4, 90.0, 71.3, 52.0, 41.1, 12.5, 90.0 / 52 / 2),
        )
    }
)


def loop_resistance_ohm(length_m: float, r20_ohm_per_m: float, temp_c: float, pairs_powered: int) -> float:
    """Loop resistance from the PSE to the PD and back over a cable.

    Each way goes over both conductors of a pair in parallel, so one pairset has twice half a conductor's resistance;
    four powered pairs are two pairsets in parallel.

    Args:
        length_m: length of the channel.
        r20_ohm_per_m: resistance of one conductor at 20 °C.
        temp_c: conductor temperature.
        pairs_powered: 2 or 4.

    Raises:
        ValueError: negative or non-finite length or resistance, or another number of pairs.

    Examples:
        >>> round(loop_resistance_ohm(100, 0.0938, 20, 2), 3), round(loop_resistance_ohm(100, 0.0938, 20, 4), 3)
        (9.38, 4.69)
    """
    if pairs_powered not in (2, 4):
        raise ValueError(f"{pairs_powered} powered pairs; expected 2 or 4")
    r20_ohm = r20_ohm_per_m * length_m
    if length_m < 0 or r20_ohm_per_m < 0 or not math.isfinite(r20_ohm):
        raise ValueError(f"{length_m} m at {r20_ohm_per_m} ohm/m; expected finite values, not below 0")
    return at_temperature(r20_ohm, temp_c) * 2 / pairs_powered
