"""All kinds of fault."""

from __future__ import annotations

from tests.setups.fault import Fault
from tests.setups.faults_craft import BATTERY, LOOP, SENSORS
from tests.setups.faults_handling import ARMING, SWITCHES
from tests.setups.faults_held import HELD
from tests.setups.faults_home import FENCE, HOME
from tests.setups.faults_link import LINK
from tests.setups.faults_wing import WING_FAULTS

FAULTS: tuple[Fault, ...] = LINK + ARMING + SWITCHES + HOME + FENCE + HELD + WING_FAULTS + BATTERY + SENSORS + LOOP
