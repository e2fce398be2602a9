"""One file a rule: its name, source, why it matters, what it measures, the remedy.

A plugin adds rules through the hook `more_rules`; `riserkit.rules.evaluate.check` runs them all.
"""

from __future__ import annotations

from typing import Final

from riserkit.rules.auxiliary_limit import AuxiliaryLimit
from riserkit.rules.base import Rule
from riserkit.rules.channel_length import ChannelLength
from riserkit.rules.class_power import ClassPower
from riserkit.rules.conduit_fill import ConduitFill
from riserkit.rules.egress_role_unstated import EgressRoleUnstated
from riserkit.rules.estimated_length import EstimatedLength
from riserkit.rules.jacket_fit import JacketFit
from riserkit.rules.label_unique import LabelUnique
from riserkit.rules.lock_voltage import LockVoltage
from riserkit.rules.missing_data import MissingData
from riserkit.rules.no_arrangement import NoArrangement
from riserkit.rules.output_limit import OutputLimit
from riserkit.rules.supply_class_2 import SupplyClass2
from riserkit.rules.supply_load import SupplyLoad
from riserkit.rules.switch_class_budget import SwitchClassBudget
from riserkit.rules.switch_ports import SwitchPorts
from riserkit.rules.switch_power_budget import SwitchPowerBudget
from riserkit.rules.unreachable import Unreachable
from riserkit.rules.ups_behind_fail_safe import UpsBehindFailSafe

SHIPPED_RULES: Final[tuple[Rule, ...]] = (
    AuxiliaryLimit(),
    ChannelLength(),
    ClassPower(),
    ConduitFill(),
    EgressRoleUnstated(),
    EstimatedLength(),
    JacketFit(),
    LabelUnique(),
    LockVoltage(),
    MissingData(),
    NoArrangement(),
    OutputLimit(),
    SupplyClass2(),
    SupplyLoad(),
    SwitchClassBudget(),
    SwitchPorts(),
    SwitchPowerBudget(),
    Unreachable(),
    UpsBehindFailSafe(),
)
"""Every rule that ships, in order of name."""
