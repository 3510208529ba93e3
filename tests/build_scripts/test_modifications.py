"""The modifications, uses and forms of platforms: complete, in the bands of common practice, and never a removal."""

from __future__ import annotations

import re

import pytest

from build_scripts import catalogue
from build_scripts.building import ROOT
from build_scripts.models.modification import Effect, Modification, Option
from calc.provenance import Grade

DATA = catalogue.load(ROOT)
OPTIONS = {
    f"{name}.{key}": (item, one) for name, item in DATA.modifications.items() for key, one in item.options.items()
}
KINDS = {
    "calibration", "intake", "charge-cooler", "exhaust", "turbocharger", "injectors", "high-pressure-pump", "lift-pump",
    "transmission", "converter", "driveline", "fasteners", "cooling", "gauges",
}  # fmt: skip


def effects(option: Option) -> list[Effect]:
    return [*option.changes, *option.raises]


def test_there_is_a_modification_for_every_part() -> None:
    assert len(DATA.modifications) >= 16
    assert {item.kind for item in DATA.modifications.values()} == KINDS
    assert {"daily-driving", "towing", "mixed-work", "competition"} <= set(DATA.uses)


@pytest.mark.parametrize("part", OPTIONS)
def test_every_part_but_a_gauge_does_something(part: str) -> None:
    item, option = OPTIONS[part]
    assert bool(effects(option)) == (item.kind != "gauges")
    for effect in effects(option):
        assert effect.figure.grade in (Grade.INVENTED, Grade.MEMORY, Grade.PRACTICE)
        if effect.how == "scale":
            assert effect.figure.likely != 1


@pytest.mark.parametrize("platform", DATA.platforms)
def test_every_platform_can_be_recalibrated_mildly_and_fully(platform: str) -> None:
    fitting = [
        item for item in DATA.modifications.values()
        if item.kind == "calibration" and (not item.fits.platforms or platform in item.fits.platforms)
    ]  # fmt: skip
    assert {"plug-in-module"} < {item.id for item in fitting}
    for item in fitting:
        assert item.emission_status == "exemption-needed"
        assert "gauges" in item.needs


def test_gains_stand_in_the_bands_of_common_practice() -> None:
    """Orders of magnitude that the trade tells, for a large pickup; no source."""

    def gains(part: str) -> tuple[float, float]:
        return next(gain.figure.ends for gain in OPTIONS[part][1].observed_gain if gain.figure.unit == "hp")

    assert 60 <= gains("plug-in-module.fuel-only")[0] <= 100 <= gains("plug-in-module.fuel-only")[1] <= 140
    assert gains("full-calibration.power") == gains("bench-calibration.power") == (200, 250)
    assert 5 <= sum(gains("intake-filter.box-and-duct")) / 2 <= 12
    assert gains("exhaust-behind-hardware.one-size") == (5, 10)
    assert OPTIONS["downpipe.wider"][1].labour.ends_in("h") == (4, 6)


@pytest.mark.parametrize(
    ("part", "low", "high"), [("plug-in-module.fuel-only", 60, 120), ("full-calibration.power", 190, 260)]
)
def test_a_calibration_gives_a_large_pickup_what_is_said_of_it(part: str, low: float, high: float) -> None:
    standard = DATA.platforms["hollin-six"].ratings.wheel_power.likely_in("hp")
    (effect,) = OPTIONS[part][1].raises
    assert all(low <= standard * (end - 1) <= high for end in effect.figure.ends)


def test_a_larger_grade_costs_more_and_does_more() -> None:
    for name in ("turbocharger", "injectors", "high-pressure-pump", "lift-pump", "converter", "driveshaft"):
        small, large = DATA.modifications[name].options.values()
        assert small.parts_cost.ends < large.parts_cost.ends, name
        assert effects(small)[0].figure.likely < effects(large)[0].figure.likely, name


def words(item: Modification) -> str:
    return " ".join(str(value) for value in item.model_dump(exclude={"options"}).values())


def test_no_words_offer_to_take_emission_controls_off() -> None:
    for item in DATA.modifications.values():
        assert not re.search(r"(?i)\b(delete|deleted|defeat|straight pipe|bypass the)\b", words(item)), item.id
    for name in ("downpipe", "full-calibration", "bench-calibration"):
        assert "no plan contains one" in words(DATA.modifications[name])
    assert "emission duties" in DATA.uses["competition"].why


def test_towing_keeps_more_in_hand_than_anything_else() -> None:
    towing, uses = DATA.uses["towing"], DATA.uses.values()
    for limit in ("default", "transmission", "smoke", "coolant"):
        kept = [(use.margins.get(limit) or use.margins["default"]).keep.likely for use in uses]
        assert (towing.margins.get(limit) or towing.margins["default"]).keep.likely == min(kept), limit
    assert towing.exhaust_temperature == "sustained"
    assert towing.load is not None
    assert towing.load.mass_share.likely < 1


def test_a_form_says_only_what_differs() -> None:
    assert sum(bool(platform.variants) for platform in DATA.platforms.values()) >= 2
    for platform in DATA.platforms.values():
        for name, variant in platform.variants.items():
            varied = platform.varied(name)
            figures = [figure for figure in DATA.figures_of(platform) if figure.path.startswith(f"variants.{name}.")]
            assert figures
            assert varied.id == platform.id
            for figure in figures:
                value: object = varied
                for step in figure.steps[3:]:
                    value = value[step] if isinstance(value, dict) else getattr(value, str(step))  # type: ignore[index]
                assert value == figure.figure
            for section in type(variant.differs).model_fields:
                if getattr(variant.differs, section) is None:
                    assert getattr(varied, section) == getattr(platform, section)
