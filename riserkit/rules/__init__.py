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
from riserkit.rules.egress_conditions import EgressConditions
from riserkit.rules.egress_role_unstated import EgressRoleUnstated
from riserkit.rules.estimated_length import EstimatedLength
from riserkit.rules.free_egress_mechanical import FreeEgressMechanical
from riserkit.rules.hold_open_fault import HoldOpenFault
from riserkit.rules.jacket_fit import JacketFit
from riserkit.rules.label_overruled import LabelOverruled
from riserkit.rules.label_unique import LabelUnique
from riserkit.rules.lock_voltage import LockVoltage
from riserkit.rules.manual_release_placing import ManualReleasePlacing
from riserkit.rules.missing_data import MissingData
from riserkit.rules.no_arrangement import NoArrangement
from riserkit.rules.no_silent_fault import NoSilentFault
from riserkit.rules.obeys_command import ObeysCommand
from riserkit.rules.output_limit import OutputLimit
from riserkit.rules.release_by_hand import ReleaseByHand
from riserkit.rules.release_on_fire_alarm import ReleaseOnFireAlarm
from riserkit.rules.release_on_power_loss import ReleaseOnPowerLoss
from riserkit.rules.release_on_sensor_loss import ReleaseOnSensorLoss
from riserkit.rules.request_in_reach import RequestInReach
from riserkit.rules.stays_locked_on_power_loss import StaysLockedOnPowerLoss
from riserkit.rules.supply_class_2 import SupplyClass2
from riserkit.rules.supply_load import SupplyLoad
from riserkit.rules.switch_class_budget import SwitchClassBudget
from riserkit.rules.switch_ports import SwitchPorts
from riserkit.rules.switch_power_budget import SwitchPowerBudget
from riserkit.rules.tamper import Tamper
from riserkit.rules.unreachable import Unreachable
from riserkit.rules.ups_behind_fail_safe import UpsBehindFailSafe

SHIPPED_RULES: Final[tuple[Rule, ...]] = (
    AuxiliaryLimit(),
    ChannelLength(),
    ClassPower(),
    ConduitFill(),
    EgressConditions(),
    EgressRoleUnstated(),
    EstimatedLength(),
    FreeEgressMechanical(),
    HoldOpenFault(),
    JacketFit(),
    LabelOverruled(),
    LabelUnique(),
    LockVoltage(),
    ManualReleasePlacing(),
    MissingData(),
    NoArrangement(),
    NoSilentFault(),
    ObeysCommand(),
    OutputLimit(),
    ReleaseByHand(),
    ReleaseOnFireAlarm(),
    ReleaseOnPowerLoss(),
    ReleaseOnSensorLoss(),
    RequestInReach(),
    StaysLockedOnPowerLoss(),
    SupplyClass2(),
    SupplyLoad(),
    SwitchClassBudget(),
    SwitchPorts(),
    SwitchPowerBudget(),
    Tamper(),
    Unreachable(),
    UpsBehindFailSafe(),
)
"""Every rule that ships, in order of name."""
