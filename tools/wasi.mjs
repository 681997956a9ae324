// Runs a program for wasm32-wasip1, with this machine's files: node tools/wasi.mjs PROGRAM [WORD...]
import { readdirSync, readFileSync } from "node:fs";
import { WASI } from "node:wasi";

const words = process.argv.slice(2);
// Folder by folder: Node finds nothing below "/" itself.
const folders = readdirSync("/", { withFileTypes: true }).filter((entry) => entry.isDirectory());
const preopens = Object.fromEntries(folders.map(({ name }) => [`/${name}`, `/${name}`]));
const wasi = new WASI({ version: "preview1", args: words, env: process.env, preopens });
const module = await WebAssembly.compile(readFileSync(words[0]));
const instance = await WebAssembly.instantiate(module, wasi.getImportObject());
process.exitCode = wasi.start(instance);
