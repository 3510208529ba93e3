// @ts-check
// The planner inside the worker: loaded by calc-worker.js with the first question, so that calculators do not wait for it.

const catalogue = new URL("../data/catalogue.json", self.location.href);
const BREATH = 0.04; // seconds between two looks at the messages that came meanwhile

/** Tickets of questions that a newer one has replaced. @type {Set<number>} */
const cancelled = new Set();

/** @type {Promise<any> | undefined} */
let starting;

/** @param {number} ticket */
export function cancel(ticket) {
  cancelled.add(ticket);
}

/**
 * The answer to a question as JSON.
 * @param {any} python the runtime @param {number} ticket @param {object} question
 * @returns {Promise<string>}
 */
export async function plan(python, ticket, question) {
  starting ??= start(python);
  starting.catch(() => (starting = undefined));
  const ask = await starting;
  const say = (/** @type {number} */ share, /** @type {string} */ words) =>
    self.postMessage({ ticket, progress: share, words });
  const isCancelled = () => cancelled.has(ticket);
  try {
    // Where the browser lets Python wait, messages are heard during a question, and a newer one ends it at once.
    const call = "Suspending" in WebAssembly ? ask.callPromising.bind(ask) : ask;
    return await call(JSON.stringify(question), say, isCancelled);
  } finally {
    cancelled.delete(ticket);
  }
}

/** @param {any} python */
async function start(python) {
  const response = await fetch(catalogue, { cache: "no-cache" });
  if (!response.ok) throw new Error(`catalogue.json: ${response.status}`);
  const make = python.runPython(`
import json
from time import perf_counter
from calc.plan.page import respond
from pyodide.ffi import can_run_sync, run_sync

def make(catalogue, pause, breath):
    def ask(question, say, is_cancelled):
        last = perf_counter()

        def cancelled():
            nonlocal last
            if perf_counter() - last > breath and can_run_sync():
                run_sync(pause())
                last = perf_counter()
            return bool(is_cancelled())

        return json.dumps(respond(catalogue, json.loads(question), say, cancelled))

    return ask

make
`);
  const pause = () =>
    new Promise((resolve) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => {
        port1.close();
        resolve(undefined);
      };
      port2.postMessage(null);
    });
  return make(await response.text(), pause, BREATH);
}
