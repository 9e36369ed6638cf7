// Bundles the module; run by `npm run build`, outside the browser and outside the type check.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";

const target = process.argv[2] ?? "../src/thumbwright/web/static/film.js";
const hash = createHash("sha256");
for (const name of readdirSync("film").filter((file) => file.endsWith(".ts")).sort()) {
  hash.update(name + "\n");
  hash.update(readFileSync(`film/${name}`));
}
const result = await build({
  entryPoints: ["film/main.ts"],
  bundle: true,
  charset: "utf8",
  format: "esm",
  legalComments: "none",
  minify: true,
  target: "es2022",
  write: false,
});
const head = "// generated from web/film by esbuild; do not edit\n";
const sources = `// sources sha256 ${hash.digest("hex")}\n`;
writeFileSync(target, head + sources + result.outputFiles[0].text);
