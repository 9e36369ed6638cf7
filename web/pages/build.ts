// Bundles each small module of a page; run by `npm run build-pages`, outside the browser.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";

const folder = process.argv[2] ?? "../src/thumbwright/web/static";
const names = readdirSync("pages").filter((file) => file.endsWith(".ts") && file !== "build.ts");
for (const name of names.sort()) {
  const hash = createHash("sha256").update(readFileSync(`pages/${name}`)).digest("hex");
  const result = await build({
    entryPoints: [`pages/${name}`],
    bundle: true,
    charset: "utf8",
    format: "esm",
    legalComments: "none",
    minify: true,
    target: "es2022",
    write: false,
  });
  const head = `// generated from web/pages/${name} by esbuild; do not edit\n// source sha256 ${hash}\n`;
  writeFileSync(`${folder}/${name.replace(".ts", ".js")}`, head + result.outputFiles[0].text);
}
