// Times on wasm what `examples/speed.rs` times natively, and prints both with the ratio. Usage: node speed.mjs MODULE.wasm NATIVE.txt
import { readFileSync } from "node:fs";

const { exports } = new WebAssembly.Instance(new WebAssembly.Module(readFileSync(process.argv[2])));
const lines = readFileSync(process.argv[3], "utf8").trim().split("\n");
console.log("microseconds an item, the best turn of each");
lines.forEach((line, task) => {
  const [name, items, native, expected] = line.split("\t");
  const sum = exports.work(task, 1);
  if (sum !== Number(expected)) {
    console.error(`${name}: ${sum} on wasm, ${expected} natively`);
    process.exit(1);
  }
  let best = Infinity;
  const clock = performance.now();
  for (let turns = 0; turns < 5 || (performance.now() - clock < 500 && turns < 1000); turns += 1) {
    const turn = performance.now();
    exports.work(task, 1);
    best = Math.min(best, ((performance.now() - turn) * 1e6) / Number(items));
  }
  const micro = (ns) => (Number(ns) / 1000).toFixed(3).padStart(12);
  console.log(`${name.padEnd(26)}${micro(native)} native${micro(best)} wasm ${(best / Number(native)).toFixed(2).padStart(6)} times`);
});
