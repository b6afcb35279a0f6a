"""All kinds of fault."""

from __future__ import annotations

from tests.setups.fault import Fault
from tests.setups.faults_craft import BATTERY, LOOP, SENSORS
from tests.setups.faults_flight import FENCE, HELD, HOME, WING_FAULTS
from tests.setups.faults_radio import ARMING, LINK, SWITCHES

FAULTS: tuple[Fault, ...] = LINK + ARMING + SWITCHES + HOME + FENCE + HELD + WING_FAULTS + BATTERY + SENSORS + LOOP
