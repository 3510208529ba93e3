// node answer.mjs RUNTIME STDLIB LOCK < calls.json > answers.json
// Calls of calc in the runtime, for the comparison with native Python: [[calculator, {input: text}, system], ...].
import { text } from "node:stream/consumers";
import { startRuntime } from "./runtime.mjs";

const [runtime, stdlib, lock] = process.argv.slice(2);
const python = await startRuntime(runtime, { stdlib, lock });
python.globals.set("calls", await text(process.stdin));
const answers = python.runPython(`
import json
from calc.evaluate import answer
from calc.present import as_json, page_answer
from calc.reading import BadInput
from calc.registry import calculator

def full(name, inputs, system):
    try:
        return as_json(answer(calculator(name), inputs, system), system)
    except BadInput:
        return None

json.dumps([[page_answer(*call), full(*call)] for call in json.loads(calls)])
`);
process.stdout.write(answers, () => process.exit(0));
