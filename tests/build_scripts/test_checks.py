"""Every rule finds what it is for, and finds nothing in the project's own data."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from build_scripts import catalogue, checks
from build_scripts.building import ROOT
from build_scripts.models.problem import Problem

HOLLIN = "docs/data/platforms/hollin-six.yaml"
DOWNPIPE = "docs/data/modifications/downpipe.yaml"
CONVERTER = "docs/data/modifications/converter.yaml"
TOWING = "docs/data/uses/towing.yaml"
LAW = "docs/data/law/united-states-california.yaml"
HOLLIN_ID = "platforms/hollin-six"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A copy of the real data and pages."""
    shutil.copytree(ROOT / "docs", tmp_path / "docs")
    return tmp_path


def change(root: Path, file: str, pattern: str, new: str) -> None:
    path = root / file
    text = path.read_text(encoding="utf-8")
    changed, count = re.subn(pattern, new, text)
    assert count
    path.write_text(changed, encoding="utf-8")


def write(root: Path, file: str, text: str) -> None:
    (root / file).parent.mkdir(parents=True, exist_ok=True)
    (root / file).write_text(text, encoding="utf-8")


def unseen(root: Path) -> None:
    change(root, "docs/data/sources/iso-13732-1.yaml", "copy_seen: secondary", "copy_seen: none")
    change(root, "docs/data/sources/iso-13732-1.yaml", "(?m)^seen: .*\n", "")


def copy_source(root: Path) -> None:
    shutil.copy(root / "docs/data/sources/iso-13732-1.yaml", root / "docs/data/sources/unused.yaml")


# What is done to the data, the rule that must find it, and a part of each problem, in order.
FAULTS: dict[str, tuple[Callable[[Path], object], str, list[str]]] = {
    "a source that nothing cites": (copy_source, "sources-are-used", ["docs/data/sources/unused.yaml:1: "]),
    "a standard that nobody has seen": (
        unseen,
        "standard-was-seen",
        [
            "docs/data/practice/burn-threshold-bare-metal.yaml:10: figure.grade: "
            "found the grade standard from `iso-13732-1`, of which no copy was seen"
        ],
    ),
    "a copy seen on no day": (
        lambda root: change(root, "docs/data/sources/hse-airbags.yaml", "(?m)^seen: .*\n", ""),
        "seen-has-a-day",
        ["docs/data/sources/hse-airbags.yaml:8: seen: found no day with `copy_seen: original`"],
    ),
    "a day for a copy that was not seen": (
        lambda root: change(root, "docs/data/sources/hse-airbags.yaml", "copy_seen: original", "copy_seen: none"),
        "seen-has-a-day",
        ["docs/data/sources/hse-airbags.yaml:9: seen: found the day 2026-11-24 with `copy_seen: none`"],
    ),
    "a limit that is a single level": (
        lambda root: change(root, HOLLIN, "low: 405, high: 455", "value: 430"),
        "limits-are-ranges",
        [": limits.transmission.wheel_power: found the single level 430 hp"],
    ),
    "a bore that does not agree": (
        lambda root: change(root, HOLLIN, "bore: {value: 104.0", "bore: {value: 107.0"),
        "displacement-agrees",
        [": engine.displacement: found 6.3 L, while bore, stroke and cylinders give 6.67 L"],
    ),
    "a caution that a page asks for": (
        lambda root: write(root, "docs/page.md", '# A page\n\n{{ caution("hot-exhast") }}\n'),
        "cautions-exist",
        ["docs/page.md:3: found the caution `hot-exhast`, which does not exist", "Did you mean hot-exhaust?"],
    ),
    "a caution that does not defer": (
        lambda root: change(root, "docs/data/cautions/lifting.yaml", r"Use lifts(.|\n)*?equipment\.", "Be quick."),
        "cautions-defer",
        ["docs/data/cautions/lifting.yaml:4: text: found the ending `be quick.`"],
    ),
    "a file with another ending": (
        lambda root: write(root, "docs/data/sources/Some Source.yml", "title: x\n"),
        "filename-is-id",
        ["docs/data/sources/Some Source.yml: found the name", "Did you mean some-source.yaml?"],
    ),
    "a folder that is no kind": (
        lambda root: write(root, "docs/data/platform/x.yaml", "title: x\n"),
        "filename-is-id",
        ["docs/data/platform: found the folder `platform`", "Did you mean platforms?"],
    ),
    "a file beside the folders": (
        lambda root: write(root, "docs/data/x.yaml", "title: x\n"),
        "filename-is-id",
        ["docs/data/x.yaml: found a file beside the folders"],
    ),
    "a figure that a page asks for": (
        lambda root: write(root, "docs/page.md", f'# A page\n\n{{{{ figure("{HOLLIN_ID}/engine.displacment") }}}}\n'),
        "prose-calls",
        ["docs/page.md:3: figure: found `platforms/hollin-six/engine.displacment`", "engine.displacement?"],
    ),
    "a result that a page asks for": (
        lambda root: write(root, "docs/page.md", '# A page\n\n{{ result("head-clamp", "gas_froce") }}\n'),
        "prose-calls",
        ["docs/page.md:3: result: found `gas_froce`", "an output of head-clamp", "Did you mean gas_force?"],
    ),
    "an input that a page misspells": (
        lambda root: write(root, "docs/page.md", '# A page\n\n{{ result("head-clamp", "gas_force", boer="4 in") }}\n'),
        "prose-calls",
        ["docs/page.md:3: result: found boer='4 in' (no such input, did you mean bore?)"],
    ),
    "a calculator that a page asks for": (
        lambda root: write(root, "docs/page.md", '# A page\n\n{{ calculator("head-clmp") }}\n'),
        "prose-calls",
        ["docs/page.md:3: calculator: found `head-clmp`", "Did you mean head-clamp?"],
    ),
    "a call without an end": (
        lambda root: write(root, "docs/page.md", '# A page\n\n{{ calculator("head-clamp")\n'),
        "prose-calls",
        ["docs/page.md:", "a call that does not end"],
    ),
    "a source that a page cites": (
        lambda root: write(root, "docs/page.md", '# A page\n\n{{ cite("iso-13732") }}\n'),
        "prose-calls",
        ["docs/page.md:3: cite: found `iso-13732`", "Did you mean iso-13732-1?"],
    ),
    "a part that needs what does not exist": (
        lambda root: change(
            root, "docs/data/modifications/injectors.yaml", r"(?m)^fitting:", "needs: [gages]\nfitting:"
        ),
        "parts-name-what-exists",
        [": needs.1: found `gages`", "Did you mean gauges?"],
    ),
    "an option that needs an option that does not exist": (
        lambda root: change(root, CONVERTER, r"(?m)^    raises:", "    excludes: [line-pressure.hard]\n    raises:"),
        "parts-name-what-exists",
        [": options.two-disc.excludes.1: found `line-pressure.hard`"],
    ),
    "a parameter that no platform has": (
        lambda root: change(root, DOWNPIPE, "exhaust.downpipe_bore", "exhaust.downpipe_boer"),
        "parts-name-what-exists",
        [": options.wider.changes.1.parameter: found `exhaust.downpipe_boer`", "Did you mean exhaust.downpipe_bore?"],
    ),
    "a parameter set in another unit": (
        lambda root: change(root, DOWNPIPE, r'(?s)scale: (\{low: 1.12, high: 1.18, unit: )"1"', r"set: \1psi"),
        "parts-name-what-exists",
        [": options.wider.changes.1.set.unit: found `psi`, a unit of pressure", "a unit of length"],
    ),
    "a parameter set to what cannot be": (
        lambda root: change(
            root, DOWNPIPE, r'(?s)scale: \{low: 1.12, high: 1.18, unit: "1"', "set: {value: 4, unit: m"
        ),
        "parts-name-what-exists",
        [": options.wider.changes.1.set: found 4.0 m", "plausible"],
    ),
    "a limit that no platform has": (
        lambda root: change(root, CONVERTER, "limit: converter", "limit: convertor"),
        "parts-name-what-exists",
        [": options.two-disc.raises.1.limit: found `convertor`", "Did you mean converter?"],
    ),
    "a variant that no platform has": (
        lambda root: change(
            root, "docs/data/modifications/full-calibration.yaml", "(?m)^fits:", "fits:\n  variants: [hollin-six/wide]"
        ),
        "parts-name-what-exists",
        [": fits.variants.1: found `hollin-six/wide`"],
    ),
    "a platform without a limit": (
        lambda root: change(root, HOLLIN, "(?m)^  coolant:$", "  cooling:"),
        "limits-are-complete",
        [": limits: found no coolant"],
    ),
    "a modification that takes a filter off": (
        lambda root: change(root, DOWNPIPE, "exhaust.downpipe_bends", "exhaust.filter_loss"),
        "emission-hardware-stays",
        [": options.wider.changes.2.parameter: found `exhaust.filter_loss`, a part that cleans the exhaust"],
    ),
    "a price that is a single figure": (
        lambda root: change(root, DOWNPIPE, "low: 300, high: 650", "value: 480"),
        "costs-are-ranges",
        [": options.wider.parts_cost: found the single figure 480 money"],
    ),
    "a margin for a limit that no platform has": (
        lambda root: change(root, TOWING, "(?m)^  coolant:", "  colant:"),
        "uses-name-limits",
        [": margins.colant: found the limit `colant`", "Did you mean coolant?"],
    ),
    "a law within a place that has no record": (
        lambda root: change(root, LAW, "within: united-states", "within: united-state"),
        "law-is-linked",
        [": within: found `united-state`", "Did you mean united-states?"],
    ),
    "a provision that claims more than was seen": (
        lambda root: change(root, "docs/data/law/european-union.yaml", "seen: secondary", "seen: original"),
        "law-is-linked",
        [".seen: found `original`, while of `directive-2014-45-eu` the copy seen is `secondary`"],
    ),
    "a figure in prose": (
        lambda root: write(root, "docs/page.md", "# A page\n\nIt holds 62 psi.\n"),
        "prose-numbers",
        ["docs/page.md:3: found `62 psi`"],
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_rule_finds_what_it_is_for(project: Path, fault: str) -> None:
    spoil, name, words = FAULTS[fault]
    before = set(found_by(name, project))
    spoil(project)
    found = sorted(set(found_by(name, project)) - before)
    assert found
    for word in words:
        assert word in str(found[0])
    assert len({(problem.file, problem.field) for problem in found}) == len(found)


def found_by(name: str, root: Path) -> list[Problem]:
    (rule,) = [rule for rule in checks.rules() if rule.name == name]
    return list(rule.check(catalogue.load(root), root))


def test_a_calculator_without_its_caution_is_found(project: Path) -> None:
    (project / "docs/data/cautions/hot-exhaust.yaml").unlink()
    for path in [*(project / "docs/data").glob("platforms/*"), *(project / "docs/data").glob("modifications/*")]:
        text = path.read_text(encoding="utf-8")
        path.write_text(re.sub(", hot-exhaust|hot-exhaust(, )?", "", text), encoding="utf-8")
    found = {problem.file for problem in found_by("cautions-exist", project)}
    assert "calc/calculators/exhaust_back_pressure.py" in found


def test_every_rule_is_found_described_and_tried() -> None:
    rules = checks.rules()
    assert {rule.name for rule in rules} == {name for _, name, _ in FAULTS.values()}
    folder = ROOT / "build_scripts" / "checks"
    files = {path.stem.replace("_", "-") for path in folder.glob("[!_]*.py")}
    assert {rule.name for rule in rules} == files
    for rule in rules:
        assert rule.scope in checks.SCOPES
        assert re.fullmatch(r"[A-Z][^.]*(\S\.\S[^.]*)*\.", rule.description), rule.description


def test_the_project_keeps_its_own_rules() -> None:
    assert [str(problem) for problem in checks.run(catalogue.load(ROOT), ROOT)] == []


def test_problems_are_sorted_and_single(project: Path) -> None:
    write(project, "docs/b.md", "62 psi\n\n62 psi\n")
    write(project, "docs/a.md", '{{ caution("x") }} 62 psi and 62 psi\n')
    found = checks.run(catalogue.load(project), project)
    assert [(problem.file, problem.line) for problem in found] == [
        *[("docs/a.md", 1)] * 2,
        ("docs/b.md", 1),
        ("docs/b.md", 3),
    ]


def test_broken_data_and_prose_are_told_together(project: Path) -> None:
    write(project, "docs/a.md", "62 psi\n")
    change(project, HOLLIN, "layout: inline", "layout: in-line")
    data, prose = sorted(checks.everything(project), key=lambda problem: problem.file, reverse=True)[-2:]
    assert str(data).startswith(f"{HOLLIN}:7: layout: found the text `in-line`")
    assert data.suggestion == "inline"
    assert str(prose).startswith("docs/a.md:1: found `62 psi`")
    assert len(checks.everything(project)) == 2
