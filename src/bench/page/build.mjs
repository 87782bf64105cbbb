// npm run build -- OUTDIR: writes index.html, bench.js and bench.css there.
import { copyFile, mkdir } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import esbuild from 'esbuild';

const here = dirname(fileURLToPath(import.meta.url));
const out = process.argv[2];
if (!out) {
  console.error('usage: npm run build -- OUTDIR');
  process.exit(2);
}
await mkdir(out, { recursive: true });

await esbuild.build({
  absWorkingDir: here,
  entryPoints: { bench: 'src/main.tsx' },
  outdir: out,
  bundle: true,
  minify: true,
  format: 'iife',
  target: ['chrome100', 'firefox100'],
  jsx: 'automatic',
  jsxImportSource: 'preact',
  legalComments: 'none',
  charset: 'utf8',
  logLevel: 'warning',
});
await copyFile(join(here, 'index.html'), join(out, 'index.html'));
