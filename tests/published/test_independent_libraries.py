"""The same physics by independent libraries of the registry: atmosphere, gas, pipe flow, units."""

import math

import pytest

from assistant.trade import air, compression, constants, fuel, units


@pytest.mark.parametrize("metres", [-400, 0, 750, 1500, 2600, 4500, 5800])
def test_standard_atmosphere_by_ambiance(metres: float) -> None:
    """Pressure and density of ISO 2533 at the same geopotential height."""
    from ambiance import Atmosphere

    geometric = 6356766 * metres / (6356766 - metres)
    there = Atmosphere(geometric)
    assert there.pressure[0] / 1000 == pytest.approx(air.pressure(metres).value, rel=1e-4)
    assert there.density[0] == pytest.approx(air.density(metres).value, rel=1e-4)


@pytest.mark.parametrize("metres", [0, 1500, 3000])
def test_standard_atmosphere_by_fluids(metres: float) -> None:
    """The 1976 atmosphere in another library, geometric height, agrees within 0.05 percent."""
    from fluids.atmosphere import ATMOSPHERE_1976

    assert ATMOSPHERE_1976(metres).P / 1000 == pytest.approx(air.pressure(metres).value, rel=5e-4)


@pytest.mark.parametrize("bore, length, head", [(4, 0.2, 100), (5, 0.6, 300), (6, 0.5, 200), (8, 1.0, 400)])
def test_hose_flow_by_fluids(bore: float, length: float, head: float) -> None:
    """With the flow we found, a pipe-flow library uses up the same head of fuel."""
    from fluids.friction import friction_factor

    flow = fuel.hose_flow(bore, length, head, 0.6).value / 6e7
    d = bore / 1000
    speed = flow / (math.pi / 4 * d**2)
    reynolds = speed * d / 0.6e-6
    used = (1.5 + friction_factor(reynolds, eD=0) * length / d) * speed**2 / (2 * constants.GRAVITY)
    assert head / 1000 == pytest.approx(used, rel=0.06)


@pytest.mark.parametrize("ratio, metres", [(8, 0), (9.5, 0), (11, 0), (9.5, 1500), (12, 3000)])
def test_compression_ceiling_by_coolprop(ratio: float, metres: float) -> None:
    """Real air squeezed without loss stays under our ceiling, and inside its stated error."""
    from CoolProp.CoolProp import PropsSI

    p1 = 1000 * air.standard_pressure_kpa(metres)
    rho, entropy = PropsSI("D", "P", p1, "T", 293.15, "Air"), PropsSI("S", "P", p1, "T", 293.15, "Air")
    p2 = PropsSI("P", "D", rho * ratio, "S", entropy, "Air")
    psi = (p2 - p1) / 1000 / constants.KPA_PER_PSI
    ours = compression.most_cranking_psi(ratio, metres)
    assert ours.low <= psi <= ours.high


@pytest.mark.parametrize("celsius", [-20, 0, 20, 40])
def test_air_density_by_coolprop(celsius: float) -> None:
    """Real air is as dense as the gas law says, within 0.1 percent."""
    from CoolProp.CoolProp import PropsSI

    assert PropsSI("D", "P", 101325, "T", 273.15 + celsius, "Air") == pytest.approx(air.density(0, celsius).value, rel=0.001)


def test_own_pressure_factors_are_the_library_s() -> None:
    """The few factors written out in this package are those of the unit library."""
    for unit, kpa in units.PRESSURES.items():
        assert units.convert(1, unit, "kPa") == pytest.approx(kpa, rel=1e-12)


def test_constants_are_scipy_s() -> None:
    """Gravity, the atmosphere and zero Celsius as in a constants library."""
    from scipy import constants as known

    assert known.g == constants.GRAVITY
    assert known.atm / 1000 == constants.SEA_LEVEL_KPA
    assert known.zero_Celsius == constants.ZERO_C
    assert known.psi / 1000 == pytest.approx(constants.KPA_PER_PSI, rel=1e-12)
