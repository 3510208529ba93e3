"""What a modification costs, what each horsepower costs, and whether saved fuel ever pays it back; ranges
throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from calc.contract import Choice, Curve, Formula, Impossible, Output, Quantity, Symbol, calculator
from calc.provenance import Grade
from calc.references import INTERVAL_ANALYSIS
from calc.units import GALLON_US, HORSEPOWER, MILE


def _money(name: str, meaning: str, group: str = "", part_of: str = "") -> Output:
    return Output(unit="money", name=name, meaning=meaning, group=group, part_of=part_of)


def _per_year(name: str, meaning: str) -> Output:
    return Output(unit="money/yr", name=name, meaning=meaning, group="Fuel")


def _consumption(name: str, meaning: str) -> Output:
    return Output(unit="m3/m", us="gal/100mi", si="L/100km", name=name, meaning=meaning, group="Fuel")


@dataclass(frozen=True)
class RunningCost:
    """Costs in money units. `payback` and `cost_per_power` are None where the quotient has no upper end."""

    total: Annotated[float, _money("Cost of the work", "Parts and labour with tax, or the price quoted.")]
    parts_cost: Annotated[float, _money("Parts", "Of both jobs, with their tax.", part_of="computed_total")]
    labour_cost: Annotated[
        float, _money("Labour", "Of both jobs, shared hours counted once, with their tax.", part_of="computed_total")
    ]
    computed_total: Annotated[float, _money("Parts and labour", "Before any price quoted.")]
    saved_by_sharing: Annotated[
        float, _money("Saved by doing both at once", "The shared hours would be paid twice otherwise.")
    ]
    cost_per_power: Annotated[
        float | None,
        Output(
            unit="money/W",
            us="money/hp",
            si="money/kW",
            name="Cost of each unit of wheel power",
            meaning="Cost over the gain at the wheels.",
            unbounded="no gain at all",
        ),
    ]
    power_gain: Annotated[
        float, Output(unit="W", us="hp", si="kW", name="Gain at the wheels", meaning="After less before.")
    ]
    consumption_before: Annotated[
        float,
        _consumption("Consumption before", "Fuel over distance: this may be averaged, distance over fuel may not."),
    ]
    consumption_after: Annotated[float, _consumption("Consumption after", "Fuel over distance.")]
    fuel_saved_per_year: Annotated[float, _per_year("Fuel saved each year", "Negative when more is burnt than before.")]
    saving_per_year: Annotated[
        float, _per_year("Saving each year", "Fuel saved less what the modification costs in upkeep.")
    ]
    payback: Annotated[
        float | None,
        Output(
            unit="yr",
            name="Pays itself back in",
            meaning="Cost over saving. Where the saving may be nothing or a loss, it may never happen.",
            unbounded="never",
            group="Fuel",
        ),
    ]
    net_after: Annotated[
        float,
        _money(
            "Left at the end", "Savings over the years kept, less the cost; negative: it costs money.", group="Fuel"
        ),
    ]
    verdict: Annotated[
        str,
        Output(
            unit="text", name="Saved fuel pays for it", meaning="Every outcome that the ranges allow.", group="Fuel"
        ),
    ]
    warnings: tuple[str, ...] = ()


@calculator(
    title="Cost and payback",
    question="What does the work cost, what does each horsepower cost, and does saved fuel ever pay it back?",
    formulas=(
        Formula(
            r"K = \left(\textstyle\sum M + r\,(\sum h - h_{\mathrm{shared}})\right)(1 + t)",
            "Parts and labour. Hours that two jobs share, such as taking the same things off, are paid once.",
            (
                Symbol("K", "cost of the work", "money"),
                Symbol("M", "parts of each job", "money"),
                Symbol("h", "hours of each job done alone", "h"),
                Symbol(r"h_{\mathrm{shared}}", "hours that both need", "h"),
                Symbol("r", "labour rate", "money/h"),
                Symbol("t", "tax, on all or on parts alone", "1"),
            ),
            INTERVAL_ANALYSIS,
        ),
        Formula(
            r"k = \frac{K}{P_{\mathrm{to}} - P_{\mathrm{from}}}",
            "Cost of each unit of wheel power. Where the gain may be nothing, there is no upper end.",
            (Symbol(r"P_{\mathrm{from}}, P_{\mathrm{to}}", "wheel power before and after", "W"),),
            INTERVAL_ANALYSIS,
        ),
        Formula(
            r"S = d\,p\left(\frac{1}{e_{\mathrm{before}}} - \frac{1}{e_{\mathrm{after}}}\right) - u,\qquad "
            r"n = \frac{K}{S}",
            "Saving each year from the change of consumption, less upkeep, and years to pay back. When the range "
            "of the "
            "saving holds zero, the quotient is unbounded: it may never pay back.",
            (
                Symbol("S", "saving each year", "money/yr"),
                Symbol("d", "distance each year", "m"),
                Symbol("p", "price of fuel", "money/m³"),
                Symbol("e", "distance on a volume of fuel", "m/m³"),
                Symbol("u", "extra upkeep each year", "money/yr"),
                Symbol("n", "years to pay back", "years"),
            ),
            INTERVAL_ANALYSIS,
        ),
    ),
    valid="Prices of today for the whole time: no interest, no price changes, no change of how much is driven. "
    "No downtime, "
    "no resale value, no failure. A range encloses every outcome when all its inputs may lie anywhere in theirs, "
    "so it is "
    "wider than what usually happens.",
    cautions=("warranty-and-insurance", "emission-hardware"),
    related=("dyno-gain", "wheel-power"),
    curves=(
        Curve(
            title="Left at the end against years kept, for three consumptions after",
            vary="years_kept",
            outputs=("net_after",),
            span=(0.0, 12.0),
            compare="economy_after",
            values=(14 * MILE / GALLON_US, 16 * MILE / GALLON_US),
        ),
    ),
)
def running_cost(
    parts: Annotated[
        float,
        Quantity(
            unit="money",
            low=0.0,
            high=1e6,
            name="Parts",
            symbol="M",
            meaning="Before tax; give a range when quotes differ.",
            grade=Grade.INVENTED,
            typical=(1200.0, 1500.0),
        ),
    ] = 1350.0,
    hours: Annotated[
        float,
        Quantity(
            unit="h",
            low=0.0,
            high=1000.0,
            name="Labour",
            symbol="h",
            meaning="Hours of this job done alone.",
            grade=Grade.INVENTED,
            typical=(4.0, 6.0),
        ),
    ] = 5.0,
    rate: Annotated[
        float,
        Quantity(
            unit="money/h",
            low=0.0,
            high=2000.0,
            name="Labour rate",
            symbol="r",
            meaning="Before tax.",
            grade=Grade.INVENTED,
            typical=(120.0, 160.0),
        ),
    ] = 140.0,
    tax: Annotated[
        float,
        Quantity(
            unit="1",
            us="%",
            si="%",
            low=0.0,
            high=1.0,
            name="Tax",
            symbol="t",
            meaning="Sales tax or value-added tax.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    taxed: Annotated[
        str,
        Choice(
            name="Tax on",
            meaning="Local rules decide.",
            options={"parts-and-labour": "parts and labour", "parts": "parts alone"},
        ),
    ] = "parts-and-labour",
    second_parts: Annotated[
        float,
        Quantity(
            unit="money",
            low=0.0,
            high=1e6,
            name="Parts of a second job",
            meaning="Done at the same time.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    second_hours: Annotated[
        float,
        Quantity(
            unit="h",
            low=0.0,
            high=1000.0,
            name="Labour of a second job",
            meaning="Hours of that job done alone.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    shared_hours: Annotated[
        float,
        Quantity(
            unit="h",
            low=0.0,
            high=1000.0,
            name="Hours that both jobs share",
            symbol=r"h_{\mathrm{shared}}",
            meaning="Taking off and putting back the same things.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    cost: Annotated[
        float | None,
        Quantity(
            unit="money",
            low=0.0,
            high=5e6,
            name="Price quoted, when known",
            symbol="K",
            meaning="All in; used in place of parts and labour.",
        ),
    ] = None,
    wheel_power_from: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=2e6,
            name="Wheel power before",
            meaning="On the same dynamometer as after.",
            grade=Grade.INVENTED,
        ),
    ] = 400 * HORSEPOWER,
    wheel_power_to: Annotated[
        float,
        Quantity(
            unit="W",
            us="hp",
            si="kW",
            low=1e3,
            high=2e6,
            name="Wheel power after",
            meaning="Give the range that the measured gain deserves.",
            grade=Grade.INVENTED,
            typical=(420 * HORSEPOWER, 440 * HORSEPOWER),
        ),
    ] = 430 * HORSEPOWER,
    distance_per_year: Annotated[
        float,
        Quantity(
            unit="m/yr",
            us="mi/yr",
            si="km/yr",
            low=0.0,
            high=1e9,
            name="Distance each year",
            symbol="d",
            meaning="That is really driven.",
            grade=Grade.INVENTED,
        ),
    ] = 15e3 * MILE,
    economy_before: Annotated[
        float,
        Quantity(
            unit="m/m3",
            us="mi/gal",
            si="km/L",
            low=0.5 * MILE / GALLON_US,
            high=100 * MILE / GALLON_US,
            name="Fuel economy before",
            symbol=r"e_{\mathrm{before}}",
            meaning="All distance over all fuel, over many fills.",
            grade=Grade.INVENTED,
        ),
    ] = 14 * MILE / GALLON_US,
    economy_after: Annotated[
        float,
        Quantity(
            unit="m/m3",
            us="mi/gal",
            si="km/L",
            low=0.5 * MILE / GALLON_US,
            high=100 * MILE / GALLON_US,
            name="Fuel economy after",
            symbol=r"e_{\mathrm{after}}",
            meaning="The same way, in the same season and use: one fill proves nothing.",
            grade=Grade.INVENTED,
            typical=(13.7 * MILE / GALLON_US, 15.2 * MILE / GALLON_US),
        ),
    ] = 14.45 * MILE / GALLON_US,
    fuel_price: Annotated[
        float,
        Quantity(
            unit="money/m3",
            us="money/gal",
            si="money/L",
            low=0.0,
            high=50 / GALLON_US,
            name="Price of fuel",
            symbol="p",
            meaning="At the pump.",
            grade=Grade.INVENTED,
            typical=(3.5 / GALLON_US, 4.3 / GALLON_US),
        ),
    ] = 3.9 / GALLON_US,
    upkeep_per_year: Annotated[
        float,
        Quantity(
            unit="money/yr",
            low=-1e5,
            high=1e5,
            name="Extra upkeep each year",
            symbol="u",
            meaning="Fluids, filters and wear that the modification adds.",
            grade=Grade.INVENTED,
        ),
    ] = 0.0,
    years_kept: Annotated[
        float,
        Quantity(
            unit="yr",
            low=0.0,
            high=50.0,
            name="Years kept",
            meaning="Until the vehicle is sold.",
            grade=Grade.INVENTED,
        ),
    ] = 6.0,
) -> RunningCost:
    """Cost of one or two jobs (money), cost per power (money/W), saving (money/yr) and payback (years).

    Inputs in coherent units: W, m a year, m per m3, money per m3; years as years. Every output is monotone in every
    input,
    so the corners of given ranges enclose the results. Raises Impossible when the shared hours exceed one of the jobs.
    """
    if shared_hours > min(hours, second_hours):
        raise Impossible(
            "Two jobs cannot share more hours than the shorter one takes.", ("shared_hours", "second_hours")
        )
    on_labour = 1.0 + tax if taxed == "parts-and-labour" else 1.0
    parts_cost = (parts + second_parts) * (1.0 + tax)
    labour_cost = (hours + second_hours - shared_hours) * rate * on_labour
    computed = parts_cost + labour_cost
    total = computed if cost is None else cost
    gain = wheel_power_to - wheel_power_from
    fuel_saved = distance_per_year * fuel_price * (1.0 / economy_before - 1.0 / economy_after)
    saving = fuel_saved - upkeep_per_year
    payback = None if saving <= 0.0 else total / saving
    return RunningCost(
        total=total,
        parts_cost=parts_cost,
        labour_cost=labour_cost,
        computed_total=computed,
        saved_by_sharing=shared_hours * rate * on_labour,
        cost_per_power=None if gain <= 0.0 else total / gain,
        power_gain=gain,
        consumption_before=1.0 / economy_before,
        consumption_after=1.0 / economy_after,
        fuel_saved_per_year=fuel_saved,
        saving_per_year=saving,
        payback=payback,
        net_after=saving * years_kept - total,
        verdict=_verdict(payback, years_kept),
        warnings=("The gain at the wheels is nothing or a loss: no cost per power exists.",) if gain <= 0.0 else (),
    )


def _verdict(payback: float | None, kept: float) -> str:
    if payback is None:
        return "never"
    return "within the years kept" if payback <= kept else "later than the years kept"
