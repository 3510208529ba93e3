"""Fuel, air, manifold density and boost that a power takes, at a height and in a weather."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.atmosphere import saturation_pressure, standard_air, vapour_pressure, water_in_air
from calc.constants import (
    AFR_STOICHIOMETRIC,
    EARTH_RADIUS,
    HYDROGEN_PER_CARBON,
    LAPSE_RATE,
    LHV_DIESEL,
    OXYGEN_IN_AIR,
    P_STANDARD,
    R_AIR,
    T_STANDARD,
)
from calc.contract import Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.gas import humid_air, stoichiometric_afr
from calc.provenance import Grade
from calc.references import ATOMIC_MASSES, COMBUSTION_ENGINES, ISO_2533, METEOROLOGICAL_GUIDE
from calc.units import HORSEPOWER, INCH_OF_WATER, POUND, PSI, to_si

_SMOKE_LAMBDA = 1.2
_ONE_STAGE = 4.5


def _pressure(name: str, meaning: str, symbol: str = "", *, us: str = "psi", group: str = "") -> Output:
    return Output(unit="Pa", us=us, si="kPa", name=name, meaning=meaning, symbol=symbol, group=group, digits=4)


@dataclass(frozen=True)
class AirDemand:
    """Flows in kg/s, pressures in Pa (absolute unless named gauge), densities in kg/m3."""

    boost: Annotated[
        float,
        _pressure(
            "Boost needed", "Manifold pressure above the air outside (gauge), where a boost gauge would read it."
        ),
    ]
    pressure: Annotated[
        float, _pressure("Manifold pressure", "Absolute: what the cylinders breathe.", r"p_{\mathrm{man}}")
    ]
    pressure_ratio: Annotated[
        float,
        Output(
            unit="1",
            name="Compressor pressure ratio",
            symbol=r"\Pi",
            meaning="Absolute, at the compressor's flanges: losses before and behind it are counted.",
        ),
    ]
    air_flow: Annotated[
        float,
        Output(
            unit="kg/s",
            us="lb/min",
            name="Air flow",
            symbol=r"\dot m_a",
            meaning="Dry air that burns the fuel at this lambda.",
        ),
    ]
    moist_air_flow: Annotated[
        float,
        Output(
            unit="kg/s",
            us="lb/min",
            name="Air flow with its vapour",
            meaning="What the compressor has to move; vapour burns nothing.",
        ),
    ]
    volume_flow: Annotated[
        float,
        Output(
            unit="m3/s",
            us="ft3/min",
            name="Volume flow outside",
            meaning="Of that air at the pressure and temperature outside, not at any standard state.",
        ),
    ]
    fuel_flow: Annotated[
        float,
        Output(unit="kg/s", us="lb/min", si="g/s", name="Fuel flow", symbol=r"\dot m_f", meaning="At this power."),
    ]
    fuel_flow_per_hour: Annotated[
        float, Output(unit="kg/s", us="lb/h", si="kg/h", name="Fuel flow per hour", meaning="The same for an hour.")
    ]
    thermal_efficiency: Annotated[
        float,
        Output(
            unit="1",
            us="%",
            si="%",
            name="Brake thermal efficiency",
            symbol=r"\eta_b",
            meaning="Brake work over the fuel's energy: the consumption said in another way.",
        ),
    ]
    afr_stoichiometric: Annotated[
        float,
        Output(
            unit="1",
            name="Stoichiometric air-fuel ratio",
            symbol=r"\mathrm{AFR}_{\mathrm{st}}",
            meaning="Mass of air that burns a mass of fuel with nothing left.",
            digits=4,
        ),
    ]
    afr: Annotated[float, Output(unit="1", name="Air-fuel ratio", meaning="By mass, at this lambda.")]
    density: Annotated[
        float,
        Output(
            unit="kg/m3",
            us="lb/ft3",
            name="Manifold density",
            symbol=r"\rho_{\mathrm{man}}",
            meaning="That the filling needs to be.",
        ),
    ]
    outside_pressure: Annotated[
        float,
        _pressure("Pressure outside", "Absolute, at this height or as given.", us="inHg", group="Outside"),
    ]
    outside_temperature: Annotated[
        float,
        Output(
            unit="K",
            us="degF",
            si="degC",
            name="Temperature outside",
            meaning="Standard for this height, or as given.",
            group="Outside",
        ),
    ]
    outside_density: Annotated[
        float,
        Output(unit="kg/m3", us="lb/ft3", name="Density outside", meaning="Of that air, moist.", group="Outside"),
    ]
    gauge_charge_pressure: Annotated[
        float | None,
        _pressure(
            "Absolute pressure of the gauge boost", "The boost you read, at this height.", group="A boost you read"
        ),
    ]
    gauge_pressure_ratio: Annotated[
        float | None,
        Output(
            unit="1",
            name="Pressure ratio of the gauge boost",
            meaning="Manifold over outside for the boost you read: higher up, the same gauge reading is a harder task.",
            group="A boost you read",
        ),
    ]
    gauge_air_flow: Annotated[
        float | None,
        Output(
            unit="kg/s",
            us="lb/min",
            name="Air flow at the gauge boost",
            meaning="Dry air that the engine swallows at the boost you read.",
            group="A boost you read",
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Air demand and boost",
    question="How much fuel and air does a power take, and what boost does the filling need at this height and "
    "weather?",
    formulas=(
        Formula(
            r"\dot m_f = P\,b_e,\qquad \eta_b = \frac{1}{b_e\,H_u}",
            "Fuel flow is power times specific consumption, which is the brake thermal efficiency in other words.",
            (
                Symbol(r"\dot m_f", "fuel flow", "kg/s"),
                Symbol("P", "brake power at the crank", "W"),
                Symbol("b_e", "brake specific fuel consumption", "kg/J"),
                Symbol("H_u", "lower heating value of the fuel", "J/kg"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\dot m_a = \lambda\,\mathrm{AFR}_{\mathrm{st}}\,\dot m_f",
            "Air flow is fuel flow times the air it needs, times lambda.",
            (
                Symbol(r"\dot m_a", "dry air flow", "kg/s"),
                Symbol(r"\lambda", "excess-air ratio", "1"),
                Symbol(r"\mathrm{AFR}_{\mathrm{st}}", "stoichiometric air-fuel ratio", "1"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"\mathrm{AFR}_{\mathrm{st}} = \frac{1 + y/4}{0.2095}\,\frac{M_{\mathrm{air}}}{12.011 + 1.008\,y}",
            "Oxygen balance of a fuel with y hydrogen atoms for each carbon atom.",
            (
                Symbol("y", "hydrogen atoms per carbon atom", "1"),
                Symbol(r"M_{\mathrm{air}}", "molar mass of dry air", "g/mol"),
            ),
            ATOMIC_MASSES,
        ),
        Formula(
            r"\dot m = \eta_v\,\rho_{\mathrm{man}}\,V_d\,\frac{n}{2},\qquad p_{\mathrm{man}} = \rho_{\mathrm{man}}\,R\,"
            r"T_{\mathrm{man}}",
            "A four-stroke cylinder fills every second turn. The filling sets the density, the density and the charge "
            "temperature set the pressure.",
            (
                Symbol(r"\eta_v", "volumetric efficiency, referred to the manifold's density", "1"),
                Symbol(r"\rho_{\mathrm{man}}", "density in the manifold", "kg/m³"),
                Symbol("V_d", "displacement", "m³"),
                Symbol("n", "engine speed", "1/s"),
                Symbol("R", "gas constant of the air", "J/(kg·K)"),
                Symbol(r"T_{\mathrm{man}}", "charge temperature in the manifold", "K"),
            ),
            COMBUSTION_ENGINES,
        ),
        Formula(
            r"p = 101\,325\left(1 - \frac{0.0065\,H}{288.15}\right)^{5.256},\quad H = \frac{r_0\,Z}{r_0 + Z}",
            "Standard air at a height. On a hot day the pressure stays near this; the density does not.",
            (
                Symbol("H", "geopotential height", "m"),
                Symbol("Z", "height above the sea", "m"),
                Symbol("r_0", "nominal radius of the earth", "m"),
            ),
            ISO_2533,
        ),
    ),
    references=(METEOROLOGICAL_GUIDE,),
    constants=(
        AFR_STOICHIOMETRIC,
        HYDROGEN_PER_CARBON,
        LHV_DIESEL,
        OXYGEN_IN_AIR,
        R_AIR,
        P_STANDARD,
        T_STANDARD,
        LAPSE_RATE,
        EARTH_RADIUS,
    ),
    valid="Steady running of a four-stroke engine without recirculated exhaust gas, complete combustion, heights "
    "of the "
    "troposphere. The charge temperature is an input here: the charge-air page computes it.",
    cautions=("turbocharger", "engine-overload"),
    related=("charge-air", "wheel-power", "intake-restriction", "exhaust-temperature"),
    curves=(
        Curve(
            title="Compressor pressure ratio against height, for three lambdas",
            vary="height",
            outputs=("pressure_ratio",),
            span=(0.0, 3500.0),
            compare="lam",
            values=(1.25, 1.7),
        ),
    ),
)
def air_demand(
    power: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=2e6,
            name="Brake power",
            symbol="P",
            meaning="At the crank, not at the wheels.",
            grade=Grade.INVENTED,
        ),
    ] = 500 * HORSEPOWER,
    bsfc: Annotated[
        float,
        Quantity(
            unit="kg/J",
            us="lb/(hp.h)",
            si="g/(kW.h)",
            low=150e-6 / 3600,
            high=600e-6 / 3600,
            name="Brake specific fuel consumption",
            symbol="b_e",
            meaning="Fuel for each unit of brake work.",
            grade=Grade.MEMORY,
            note="205 to 240 g/(kW·h) at full load, more for a rich tune.",
        ),
    ] = 0.36 * POUND / (HORSEPOWER * 3600),
    lam: Annotated[
        float,
        Quantity(
            unit="1",
            low=0.8,
            high=10.0,
            name="Lambda",
            symbol=r"\lambda",
            meaning="Air over the air that the fuel needs.",
            grade=Grade.MEMORY,
            note="Clean full load lies at 1.4 to 1.5 and above.",
        ),
    ] = 1.45,
    displacement: Annotated[
        float,
        Quantity(
            unit="m3",
            us="L",
            si="L",
            low=0.3e-3,
            high=30e-3,
            name="Displacement",
            symbol="V_d",
            meaning="Of all cylinders.",
            grade=Grade.INVENTED,
        ),
    ] = 6.3e-3,
    speed: Annotated[
        float,
        Quantity(
            unit="r/min",
            low=300.0,
            high=10e3,
            name="Engine speed",
            symbol="N",
            meaning="At that power.",
            grade=Grade.INVENTED,
        ),
    ] = 2800.0,
    volumetric_efficiency: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.3,
            high=1.3,
            name="Volumetric efficiency",
            symbol=r"\eta_v",
            meaning="Filling over what the displacement holds at the manifold's density.",
            note="0.88 to 0.96 for four valves at this speed.",
        ),
    ] = 0.92,
    manifold_temperature: Annotated[
        float,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=223.15,
            high=523.15,
            name="Charge temperature",
            symbol=r"T_{\mathrm{man}}",
            meaning="In the intake manifold, behind the charge cooler.",
            grade=Grade.INVENTED,
        ),
    ] = to_si(130.0, "degF"),
    height: Annotated[
        float,
        Quantity(
            unit="m",
            us="ft",
            low=-400.0,
            high=6000.0,
            name="Height above the sea",
            symbol="Z",
            meaning="Sets the pressure outside, and the temperature when none is given.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    air_temperature: Annotated[
        float | None,
        Quantity(
            unit="K",
            us="degF",
            si="degC",
            low=228.15,
            high=328.15,
            name="Temperature outside",
            meaning="Leave blank for the standard temperature of the height.",
        ),
    ] = None,
    barometer: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="inHg",
            si="kPa",
            low=45e3,
            high=110e3,
            name="Barometer",
            meaning="Absolute pressure at the site when it is known; used in place of the height's standard pressure.",
        ),
    ] = None,
    relative_humidity: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Relative humidity",
            symbol=r"\varphi",
            meaning="Of the air outside.",
            grade=Grade.MEMORY,
            note="The standard atmosphere is dry.",
        ),
    ] = 0.0,
    intake_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="inH2O",
            si="kPa",
            low=0.0,
            high=30e3,
            name="Loss before the compressor",
            meaning="Filter and duct, from the outside to the compressor's flange.",
            note="2.5 to 6 kPa from a clean to a dirty filter.",
        ),
    ] = 12 * INCH_OF_WATER,
    cooler_loss: Annotated[
        float,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=0.0,
            high=100e3,
            name="Loss behind the compressor",
            meaning="Charge cooler, tubes and horn, from the compressor's flange to the manifold.",
            grade=Grade.INVENTED,
        ),
    ] = 1.5 * PSI,
    hydrogen_per_carbon: Annotated[
        float,
        Quantity(
            unit="1",
            low=1.0,
            high=4.0,
            name="Hydrogen per carbon atom of the fuel",
            symbol="y",
            meaning="Sets the stoichiometric air. Diesel fuel lies at 1.8 to 1.95.",
            grade=Grade.MEMORY,
            note="C12H23, the usual stand-in.",
        ),
    ] = float(HYDROGEN_PER_CARBON),
    afr_stoichiometric: Annotated[
        float | None,
        Quantity(
            unit="1",
            low=10.0,
            high=20.0,
            name="Stoichiometric air-fuel ratio, when known",
            meaning="Used in place of the one computed from the fuel's hydrogen.",
        ),
    ] = None,
    fuel_flow: Annotated[
        float | None,
        Quantity(
            unit="kg/s",
            us="lb/h",
            si="g/s",
            low=0.05e-3,
            high=0.3,
            name="Fuel flow, when known",
            meaning="Used in place of the one computed from the specific consumption.",
        ),
    ] = None,
    air_flow: Annotated[
        float | None,
        Quantity(
            unit="kg/s",
            us="lb/min",
            low=0.001,
            high=5.0,
            name="Air flow, when known",
            meaning="Dry; used in place of the one computed from fuel flow and lambda, which then is not what "
            "you gave.",
        ),
    ] = None,
    boost_gauge: Annotated[
        float | None,
        Quantity(
            unit="Pa",
            us="psi",
            si="kPa",
            low=0.0,
            high=700e3,
            name="A boost you read",
            meaning="Gauge pressure in the manifold; the page then shows what it is worth at this height.",
            grade=Grade.INVENTED,
        ),
    ] = 30 * PSI,
) -> AirDemand:
    """Fuel and air flow (kg/s), manifold density (kg/m3) and pressure (Pa) for a brake power (W).

    Coherent SI inputs, engine speed in r/min. `fuel_flow`, `air_flow`, `afr_stoichiometric` and `barometer` replace
    what
    they are computed from. Raises Impossible when fuel and power give an efficiency above one, when losses take all
    of the pressure outside, or when the air cannot hold that much vapour.
    """
    outside = standard_air(height)
    p_out = outside.pressure if barometer is None else barometer
    t_out = outside.temperature if air_temperature is None else air_temperature
    afr_st = stoichiometric_afr(hydrogen_per_carbon) if afr_stoichiometric is None else afr_stoichiometric
    fuel = power * bsfc if fuel_flow is None else fuel_flow
    efficiency = power / (fuel * LHV_DIESEL)
    if efficiency >= 1.0:
        raise Impossible("The engine would give more work than the fuel holds energy.", ("fuel_flow", "power"))
    if intake_loss >= p_out:
        raise Impossible("The loss before the compressor takes all of the pressure outside.", ("intake_loss",))
    # The vapour's pressure must not exceed the barometer's, which only heat far above any weather could bring about.
    if relative_humidity and saturation_pressure(t_out) * relative_humidity >= p_out:
        raise Impossible("Air cannot hold more vapour than its own pressure.", ("relative_humidity",))
    vapour = water_in_air(p_out, t_out, relative_humidity)
    air = humid_air(vapour)
    dry = lam * afr_st * fuel if air_flow is None else air_flow
    lam_seen = dry / (afr_st * fuel)
    moist = dry * (1.0 + vapour)
    swallowed = volumetric_efficiency * displacement * speed / 120.0
    density = moist / swallowed
    manifold = density * air.R * manifold_temperature
    ratio = (manifold + cooler_loss) / (p_out - intake_loss)
    read = None if boost_gauge is None else p_out + boost_gauge
    outside_density = (p_out - vapour_pressure(t_out, relative_humidity)) / (humid_air(0.0).R * t_out) * (1.0 + vapour)
    return AirDemand(
        boost=manifold - p_out,
        pressure=manifold,
        pressure_ratio=ratio,
        air_flow=dry,
        moist_air_flow=moist,
        volume_flow=moist / outside_density,
        fuel_flow=fuel,
        fuel_flow_per_hour=fuel,
        thermal_efficiency=efficiency,
        afr_stoichiometric=afr_st,
        afr=dry / fuel,
        density=density,
        outside_pressure=p_out,
        outside_temperature=t_out,
        outside_density=outside_density,
        gauge_charge_pressure=read,
        gauge_pressure_ratio=None if read is None else read / p_out,
        gauge_air_flow=None if read is None else read / (air.R * manifold_temperature) * swallowed / (1.0 + vapour),
        warnings=_warnings(lam_seen, manifold, p_out, ratio),
    )


def _warnings(lam: float, manifold: float, outside: float, ratio: float) -> tuple[str, ...]:
    found = []
    if lam < 1.0:
        found.append("Less air than the fuel needs (lambda below one): fuel leaves unburnt, and nobody runs like this.")
    elif lam < _SMOKE_LAMBDA:
        found.append(f"Lambda {lam:.2f}: smoke and hot exhaust are to be expected below about 1.2 to 1.4 (practice).")
    if manifold < outside:
        found.append("The filling needs less than the pressure outside: no boost is needed at this point.")
    if ratio > _ONE_STAGE:
        found.append(f"A pressure ratio of {ratio:.1f} is more than one compressor stage usually gives (practice).")
    return tuple(found)
