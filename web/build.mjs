// Puts fonts and the bundled islands into dist/, from where the Go program
// embeds them. Nothing in dist/ is committed.
import { cpSync, mkdirSync, readdirSync, rmSync, writeFileSync, existsSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";

const dist = new URL("./dist/", import.meta.url).pathname;
for (const name of existsSync(dist) ? readdirSync(dist) : []) {
  if (name !== ".keep") rmSync(join(dist, name), { recursive: true });
}
mkdirSync(join(dist, "fonts"), { recursive: true });

const fonts = {
  "sans.woff2": "@fontsource-variable/source-sans-3/files/source-sans-3-latin-wght-normal.woff2",
  "sans-ext.woff2": "@fontsource-variable/source-sans-3/files/source-sans-3-latin-ext-wght-normal.woff2",
  "serif.woff2": "@fontsource-variable/source-serif-4/files/source-serif-4-latin-wght-normal.woff2",
  "serif-ext.woff2": "@fontsource-variable/source-serif-4/files/source-serif-4-latin-ext-wght-normal.woff2",
};
for (const [name, from] of Object.entries(fonts)) {
  cpSync(new URL(`./node_modules/${from}`, import.meta.url).pathname, join(dist, "fonts", name));
}

// Each file at the top of islands/ becomes one bundle; folders hold what they share.
const islands = new URL("./islands/", import.meta.url).pathname;
await build({
  entryPoints: readdirSync(islands).filter((n) => n.endsWith(".ts") && !n.endsWith(".test.ts")).map((n) => join(islands, n)),
  bundle: true, minify: true, format: "esm", target: "es2022", outdir: dist, logLevel: "warning",
});
writeFileSync(join(dist, "built.txt"), "made by web/build.mjs\n");
