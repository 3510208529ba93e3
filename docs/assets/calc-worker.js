// @ts-check
// Runs Python for the page: one module worker per visit, started by headroom.js at the first interest in a calculator.
//
// In:  {start: {full: boolean}} once, then {ticket, calculator, inputs, system} for an answer and
//      {chart, calculator, inputs, system} for the charts of a calculator; {ticket, plan} for the planner and {cancel} for
//      the ticket of a plan that nobody waits for any more (see plan-worker.js).
// Out: {ready: true}, {ticket, answer: "JSON"}, {failed: "why", ticket} or {failed: "why"};
//      {ticket, progress, words} while a plan is worked out;
//      {chart, curves: "JSON"}, {chart, curves: ""} when a newer request came first, or {failed: "why", chart}.
//
// Charts are computed a few milliseconds at a time, so that no answer waits for them.

const home = new URL("python/", self.location.href);
const plainFetch = self.fetch.bind(self);

/**
 * @typedef {object} Calc what the page asks of Python
 * @property {(calculator: string, inputs: string, system: string) => string} answer
 * @property {(calculator: string, inputs: string, system: string) => void} beginCharts
 * @property {(calculator: string) => string} goOnWithCharts their JSON, or "" while there is more to do
 */
/** @type {Calc | undefined} */
let calc;
/** @type {any} */
let interpreter;

/** The charts that are being computed: number of the request, by calculator. @type {Map<string, number>} */
const charts = new Map();
const turns = new MessageChannel();
turns.port1.onmessage = goOn;

self.onmessage = async ({ data }) => {
  try {
    if (data.start) {
      calc = await startPython(data.start.full);
      self.postMessage({ ready: true });
    } else if ("cancel" in data) {
      (await import("./plan-worker.js")).cancel(data.cancel);
    } else if (calc && "plan" in data) {
      const { plan } = await import("./plan-worker.js");
      self.postMessage({ ticket: data.ticket, answer: await plan(interpreter, data.ticket, data.plan) });
    } else if (calc && "chart" in data) {
      const older = charts.get(data.calculator);
      if (older) self.postMessage({ chart: older, curves: "" });
      else turns.port2.postMessage(null);
      charts.set(data.calculator, data.chart);
      calc.beginCharts(data.calculator, JSON.stringify(data.inputs), data.system);
    } else if (calc) {
      self.postMessage({ ticket: data.ticket, answer: calc.answer(data.calculator, JSON.stringify(data.inputs), data.system) });
    }
  } catch (error) {
    charts.delete(data.calculator);
    fail(error, "chart" in data ? { chart: data.chart } : { ticket: data.ticket });
  }
};

/** One turn at the charts that wait longest; messages that came meanwhile are served before the next. */
function goOn() {
  for (const [calculator, chart] of charts) {
    try {
      const curves = calc?.goOnWithCharts(calculator);
      if (curves) {
        charts.delete(calculator);
        self.postMessage({ chart, curves });
      } else turns.port2.postMessage(null);
    } catch (error) {
      charts.delete(calculator);
      fail(error, { chart });
    }
    return;
  }
}

/** @param {unknown} error @param {object} request */
function fail(error, request) {
  const lines = String(error instanceof Error ? error.message : error).trim().split("\n");
  const why = lines[lines.length - 1];
  // Without its request Python itself is lost; with it, one calculation failed and the next may succeed.
  const lost = !calc || why.startsWith("ModuleNotFoundError");
  self.postMessage({ failed: why, ...(lost ? {} : request) });
}

/** @param {boolean} full whether to load the whole standard library instead of the part that calculators use */
async function startPython(full) {
  const response = await plainFetch(new URL("manifest.json", home), { cache: "no-cache" });
  if (!response.ok) throw new Error(`manifest.json: ${response.status}`);
  const manifest = await response.json();
  const runtime = new URL(manifest.runtime, home);
  const failed = checkedFetch(manifest.integrity);
  // The runtime imports its larger half only once it runs: asking for it now saves one trip to the host.
  import(new URL("pyodide.asm.mjs", runtime).href).catch(() => {});
  const { loadPyodide } = await import(new URL("pyodide.mjs", runtime).href);
  const starting = loadPyodide({
    indexURL: runtime.href,
    stdLibURL: new URL(full ? manifest.full : manifest.lean, home).href,
    lockFileContents: self.fetch(new URL(manifest.lock, home)).then((lock) => lock.text()),
    packageBaseUrl: home.href,
    packages: manifest.packages,
    stdout: () => {},
    stderr: () => {},
  });
  const python = await Promise.race([starting, failed]);
  // A package that fails its check is only logged by the runtime, so ask for each by name.
  for (const name of manifest.packages) {
    if (!(name in python.loadedPackages)) throw new Error(`${name} was refused`);
  }
  interpreter = python;
  python.runPython(`
import json
from time import perf_counter
from calc.curves import curve_steps
from calc.present import page_answer

TURN = 0.002
under_way = {}

def answer(calculator, inputs, system):
    return json.dumps(page_answer(calculator, json.loads(inputs), system))

def begin_charts(calculator, inputs, system):
    under_way[calculator] = curve_steps(calculator, json.loads(inputs), system)

def go_on_with_charts(calculator):
    until = perf_counter() + TURN
    try:
        while perf_counter() < until:
            next(under_way[calculator])
    except StopIteration as done:
        del under_way[calculator]
        return json.dumps(done.value)
    return ""
`);
  const [answer, beginCharts, goOnWithCharts] = ["answer", "begin_charts", "go_on_with_charts"].map((name) => python.globals.get(name));
  return { answer, beginCharts, goOnWithCharts };
}

/**
 * Makes fetch refuse a file that is not the one the build wrote. The runtime waits for ever when a file does not come,
 * so the returned promise rejects in its place.
 * @param {Record<string, string>} integrity
 */
function checkedFetch(integrity) {
  return new Promise((_, reject) => {
    self.fetch = async (target, options) => {
      const address = String(target instanceof Request ? target.url : target);
      const name = address.startsWith(home.href) ? address.slice(home.href.length) : "";
      try {
        const response = await plainFetch(target, name in integrity ? { ...options, integrity: integrity[name] } : options);
        if (!response.ok) throw new Error(`${response.status}`);
        return response;
      } catch (error) {
        reject(new Error(`${name || address} did not arrive whole (${error instanceof Error ? error.message : error})`));
        throw error;
      }
    };
  });
}
