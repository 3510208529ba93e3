// @ts-check
// Runs Python for the page: one module worker per visit, started by headroom.js at the first interest in a calculator.
//
// In:  {start: {full: boolean}} once, then {ticket, calculator, inputs, system}.
// Out: {ready: true}, {ticket, answer: "JSON"}, {failed: "why", ticket} or {failed: "why"}.

const home = new URL("python/", self.location.href);
const plainFetch = self.fetch.bind(self);

/** @type {((calculator: string, inputs: string, system: string) => string) | undefined} */
let answer;

self.onmessage = async ({ data }) => {
  try {
    if (data.start) {
      answer = await startPython(data.start.full);
      self.postMessage({ ready: true });
    } else if (answer) {
      self.postMessage({ ticket: data.ticket, answer: answer(data.calculator, JSON.stringify(data.inputs), data.system) });
    }
  } catch (error) {
    const lines = String(error instanceof Error ? error.message : error).trim().split("\n");
    const why = lines[lines.length - 1];
    // Without `ticket` Python itself is lost; with it, one calculation failed and the next may succeed.
    const lost = !answer || why.startsWith("ModuleNotFoundError");
    self.postMessage({ failed: why, ...(lost ? {} : { ticket: data.ticket }) });
  }
};

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
  return python.runPython(`
import json
from calc.present import page_answer
lambda calculator, inputs, system: json.dumps(page_answer(calculator, json.loads(inputs), system))
`);
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
