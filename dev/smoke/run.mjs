// Prints the report that a wasm build of this crate makes. Usage: node run.mjs MODULE.wasm
import { readFileSync } from "node:fs";

const module = new WebAssembly.Module(readFileSync(process.argv[2]));
const asked = WebAssembly.Module.imports(module).map(({ module, name }) => `${module}.${name}`);
if (asked.length > 0) {
  console.error(`the core must need nothing of its host, but this build imports ${asked.join(", ")}`);
  process.exit(1);
}
const { exports } = new WebAssembly.Instance(module);
// The address first: making the report may grow the memory, which replaces its buffer.
const start = exports.report_start() >>> 0;
process.stdout.write(new Uint8Array(exports.memory.buffer, start, exports.report_length()));
