// node compile.mjs RUNTIME SOURCE PREFIX [STDLIB]
// Writes bytecode beside every .py file under SOURCE, as the runtime's own CPython compiles it: docstrings and
// assertions dropped, unchecked hashes instead of time stamps. PREFIX is the folder shown in tracebacks.
import { mount, startRuntime } from "./runtime.mjs";

const [runtime, source, prefix, stdlib] = process.argv.slice(2);
const python = await startRuntime(runtime, { stdlib });
mount(python, "/source", source);
python.globals.set("prefix", prefix);
const compiled = python.runPython(`
import compileall, py_compile
compileall.compile_dir(
    "/source", maxlevels=20, quiet=1, force=True, legacy=True, optimize=2, stripdir="/source", prependdir=prefix,
    invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH,
)
`);
process.exit(compiled ? 0 : 1);
