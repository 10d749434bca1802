"""Constants of nature and of definition that the families share. SI unless the name says otherwise.

Source: standard atmosphere (ISO 2533, Doc 7488) for the air, IEC 60028 by way of the copper wire tables for copper,
definitions for the units.
"""

from __future__ import annotations

GRAVITY = 9.80665  # m/s2, standard
SEA_LEVEL_KPA = 101.325
SEA_LEVEL_KELVIN = 288.15  # 15 C
LAPSE = 0.0065  # K lost per metre of height
AIR_GAS_CONSTANT = 287.05287  # J/(kg K), dry air
ZERO_C = 273.15  # K
SEA_LEVEL_DENSITY = 1000 * SEA_LEVEL_KPA / (AIR_GAS_CONSTANT * SEA_LEVEL_KELVIN)  # 1.2250 kg/m3

COPPER_OHM_MM2_PER_M = 0.017241  # at 20 C
COPPER_PER_KELVIN = 0.00393  # at 20 C

KPA_PER_PSI = 6.894757293168361  # pound of force per square inch, from the exact pound and inch
KPA_PER_BAR = 100.0
KPA_PER_KGF_CM2 = 98.0665

PETROL_DENSITY = 0.745  # kg per litre, ordinary road petrol at 15 C
ETHANOL_DENSITY = 0.789
