// node trace.mjs RUNTIME STDLIB LOCK
// Prints, as JSON, the members of the standard library archive that a page can come to need: starts the runtime and
// loads the package as the page does, runs every calculator over good and bad inputs, and lists what was imported.
import { startRuntime } from "./runtime.mjs";

const [runtime, stdlib, lock] = process.argv.slice(2);
const python = await startRuntime(runtime, { stdlib, lock });
const members = python.runPython(`
import json, sys, traceback
from calc.curves import page_curves
from calc.present import page_answer
from calc.registry import calculators

texts = ("", "0", "-1", "1", "1e9", "2..3", "2 to 3", "1,350", "62 psi", "62 furlong", "x", "48 lb/min [measured]")
for name, calculator in calculators().items():
    page_answer(name, {}, "us")
    page_answer(name, {}, "si")
    page_curves(name, {}, "us")
    page_curves(name, {next(iter(calculator.inputs)): "x"}, "us")
    for text in texts:
        page_answer(name, dict.fromkeys(calculator.inputs, text), "us")
    for given in calculator.inputs:
        page_answer(name, {given: "x"}, "si")
    page_answer(name, {next(iter(calculator.inputs)): "2..3"}, "us")
try:
    page_answer("no-such-calculator", {}, "us")
except Exception:
    traceback.format_exc()

# The planner: its modules, and what a refusal takes.
from calc.plan.page import respond
respond('{"version": 1, "platforms": {}, "modifications": {}, "uses": {}, "practice": {}}', {"given": {"goal": "x"}})

archive = "/lib/python%d%d.zip/" % sys.version_info[:2]
origins = [getattr(getattr(module, "__spec__", None), "origin", None) or "" for module in list(sys.modules.values())]
json.dumps(sorted({origin.removeprefix(archive) for origin in origins if origin.startswith(archive)}))
`);
process.stdout.write(members, () => process.exit(0));
