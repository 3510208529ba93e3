// Starts the Pyodide runtime under Node for the build steps and the tests that stand beside this file.
import { readFile } from "node:fs/promises";
import path from "node:path";
import { pathToFileURL } from "node:url";

/** For bytecode: a fixed hash seed keeps the order inside constants; lines for tracebacks are enough, columns are not kept. */
const environment = { PYTHONHASHSEED: "0", PYTHONNODEBUGRANGES: "1" };

/**
 * @param {string} folder the folder that holds pyodide.mjs and its parts
 * @param {{stdlib?: string, lock?: string}} [files] a standard library archive and a lock file other than the runtime's own
 */
export async function startRuntime(folder, { stdlib, lock } = {}) {
  const { loadPyodide } = await import(pathToFileURL(path.resolve(folder, "pyodide.mjs")).href);
  const options = { indexURL: path.resolve(folder), env: { ...environment } };
  if (stdlib) options.stdLibURL = path.resolve(stdlib);
  if (lock) {
    options.lockFileContents = await readFile(lock, "utf8");
    options.packageBaseUrl = path.dirname(path.resolve(lock));
    options.packages = Object.keys(JSON.parse(options.lockFileContents).packages);
  }
  const python = await loadPyodide(options);
  // A package that fails its check is only logged by the runtime: ask for each by name.
  for (const name of options.packages ?? []) {
    if (!(name in python.loadedPackages)) throw new Error(`package ${name} was refused by the runtime`);
  }
  return python;
}

/** A folder of this computer seen inside the runtime. */
export function mount(python, inside, outside) {
  python.FS.mkdirTree(inside);
  python.mountNodeFS(inside, path.resolve(outside));
}
