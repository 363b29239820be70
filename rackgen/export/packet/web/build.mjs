// Builds the live view into ../shipped: one script without modules, so that it runs from a file with no network, and
// the licence of what is bundled into it. Run by `npm ci && npm run build` in this folder; the same source and lock
// give the same bytes.
import { readFileSync, writeFileSync, mkdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const shipped = process.argv[2] ?? join(here, "..", "shipped");
mkdirSync(shipped, { recursive: true });

await build({
  absWorkingDir: here,
  entryPoints: ["src/main.js"],
  outfile: join(shipped, "view.js"),
  bundle: true,
  minify: true,
  format: "iife",
  target: ["es2020"],
  charset: "ascii",
  legalComments: "none",
  logLevel: "warning",
  banner: { js: "/* rackgen, MIT. Holds three.js, MIT: see three-LICENSE.txt beside this file, which packet.html repeats. */" },
});
writeFileSync(join(shipped, "page.css"), readFileSync(join(here, "src", "page.css")));
writeFileSync(join(shipped, "three-LICENSE.txt"), readFileSync(join(here, "node_modules", "three", "LICENSE")));
