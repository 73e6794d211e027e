// Builds the program (or takes MIDCASE_BIN), makes one small invented shop in a
// temporary folder, serves it, and walks the journeys against it.
//
//   node run.mjs [journeys/one.test.mjs …]
//   MIDCASE_SCREENS=1 node run.mjs      also writes docs/screens/*.png
import { spawn, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { serve } from "./support/server.mjs";

const here = new URL(".", import.meta.url).pathname;
const root = join(here, "..");
const dir = mkdtempSync(join(tmpdir(), "midcase-e2e-"));
const screens = process.env.MIDCASE_SCREENS === "1";

function fail(text) {
  console.error(text);
  rmSync(dir, { recursive: true, force: true });
  process.exit(1);
}

let bin = process.env.MIDCASE_BIN;
if (!bin) {
  bin = join(dir, "midcase");
  const built = spawnSync("go", ["build", "-o", bin, "./cmd/midcase"], { cwd: root, stdio: "inherit" });
  if (built.status !== 0) fail("midcase could not be built");
}
const chromium = process.env.CHROMIUM ?? ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
if (!chromium) fail("no Chromium found; install it, or name it in CHROMIUM");

const shop = join(dir, "shop");
const make = ["demo", "--dir", shop, "--only-make", "--watches", "8"];
if (!screens) make.push("--no-pictures");
const made = spawnSync(bin, make, { encoding: "utf8" });
if (made.status !== 0) fail(`the invented shop could not be made:\n${made.stderr}`);

const server = await serve(bin, shop);
const journeys = process.argv.length > 2 ? process.argv.slice(2) : readdirSync(join(here, "journeys")).filter((n) => n.endsWith(".test.mjs")).map((n) => join("journeys", n));
const tests = spawn(process.execPath, ["--test", "--test-concurrency=2", "--test-reporter=spec", ...journeys], {
  cwd: here, stdio: "inherit", env: { ...process.env, MIDCASE_BIN: bin, MIDCASE_URL: server.url, MIDCASE_SHOP: shop, CHROMIUM: chromium },
});
const code = await new Promise((done) => tests.on("exit", (c) => done(c ?? 1)));
await server.stop();
rmSync(dir, { recursive: true, force: true });
process.exit(code);
