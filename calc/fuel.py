"""Diesel fuel: density against temperature, and what its standards allow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc import references
from calc.contract import Impossible
from calc.provenance import Reference

_T15 = 288.15


@dataclass(frozen=True)
class FuelStandard:
    """Limits of a fuel standard: density (kg/m3) at 15 degC, None where not specified, viscosity (m2/s) at 40 degC."""

    title: str
    density_15: tuple[float, float] | None
    viscosity_40: tuple[float, float]
    reference: Reference


STANDARDS = {
    "EN 590": FuelStandard("EN 590, temperate grades", (820.0, 845.0), (2.0e-6, 4.5e-6), references.EN_590),
    "ASTM D975": FuelStandard("ASTM D975, No. 2-D", None, (1.9e-6, 4.1e-6), references.ASTM_D975),
}


def expansion(density_15: float) -> float:
    """Thermal expansion coefficient (1/K) at 15 degC of a fuel with `density_15` (kg/m3).

    K0/rho^2 + K1/rho per kelvin. Source: API MPMS 11.1 / ASTM D1250, generalised products, 1980 form. Diesel fuel lies
    on both sides of the 838.3 kg/m3 limit between its two sets. Raises Impossible outside 787.5 to 1075 kg/m3.
    """
    if not 787.5 <= density_15 <= 1075.0:
        raise Impossible("The density tables for fuel oils cover 787.5 to 1075 kg/m3 at 15 degC.", ("density_15",))
    if density_15 >= 838.3127:
        return 186.9696 / (density_15 * density_15) + 0.48618 / density_15
    return 594.5418 / (density_15 * density_15)


def density(density_15: float, temperature: float) -> float:
    """Density (kg/m3) at `temperature` (K) and low pressure of a fuel with `density_15` (kg/m3) at 15 degC.

    rho15 exp(-a dT (1 + 0.8 a dT)). At rail pressure fuel is about a tenth denser, which is not in here.
    """
    step = expansion(density_15) * (temperature - _T15)
    return density_15 * math.exp(-step * (1.0 + 0.8 * step))
