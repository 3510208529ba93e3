"""Puts what draws charts in the page beside a built site: the library Vega, and the specifications to draw by.

The library lands in `assets/charts/` under a name that carries a hash of its content; `manifest.json`, which holds the
specifications too, has a fixed name. Expressions of the specifications are run by Vega's interpreter, so that a content
security policy needs no `unsafe-eval`.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from build_scripts.pages.line_chart import WIDTHS, chart_spec

FOLDER = Path("assets") / "charts"
# The interpreter takes these from a package of which Vega holds a copy.
_IMPORT = "import { ascending, isString, DisallowedObjectProperties } from 'vega-util';"


class ChartsError(Exception):
    """The files for the page could not be made; the message says what to do."""


def write(root: Path, site: Path) -> None:
    """Write `assets/charts/` into the built `site` for the checkout at `root`.

    Raises ChartsError when Vega is not installed, or is not the version that this was written for.
    """
    content = library(root / "node_modules").encode()
    name = f"vega-{hashlib.sha256(content).hexdigest()[:12]}.js"
    folder = site / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(content)
    manifest = {"library": name, "specs": {width: chart_spec(width) for width in WIDTHS}}
    (folder / "manifest.json").write_text(json.dumps(manifest) + "\n", encoding="utf-8")


def library(modules: Path) -> str:
    """One module that exports `View`, `parse` and `expressionInterpreter`."""
    try:
        vega = (modules / "vega" / "build" / "vega.min.js").read_text(encoding="utf-8")
        interpreter = (modules / "vega-interpreter" / "build" / "vega-interpreter.js").read_text(encoding="utf-8")
        license_text = (modules / "vega" / "LICENSE").read_text(encoding="utf-8")
    except FileNotFoundError as missing:
        raise ChartsError("Vega is missing: run `python3 -m build_scripts build`, which installs it.") from missing
    if interpreter.count("import ") != 1 or _IMPORT not in interpreter:
        raise ChartsError("The interpreter of this version of Vega imports other names: adapt build_scripts/charts.py.")
    taken = _IMPORT.replace("import", "const", 1).replace("from 'vega-util'", "= globalThis.vega")
    body = interpreter.replace(_IMPORT, taken).partition("//# sourceMappingURL")[0]
    return f"/*!\n{license_text}*/\n{vega}\n{body}export const {{ View, parse }} = globalThis.vega;\n"
