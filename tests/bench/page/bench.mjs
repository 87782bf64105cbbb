// Starts the bench and a browser for it, and asks the command line for the figures to hold the page
// against.
import { spawn, execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, mkdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { chromium } from 'playwright-core';

const run = promisify(execFile);
const here = dirname(fileURLToPath(import.meta.url));
export const kestrelBay = resolve(here, '../../../examples/kestrel-bay');

export async function openBench(program, record) {
  const first = existsSync(record) ? [] : ['--new'];
  const child = spawn(program, ['bench', '--record', record, '--no-browser', ...first], { stdio: ['ignore', 'pipe', 'pipe'] });
  let errors = '';
  child.stderr.on('data', (text) => (errors += text));
  const address = await new Promise((found, failed) => {
    let text = '';
    child.stdout.on('data', (part) => {
      text += part;
      if (text.includes('\n')) found(text.split('\n')[0].trim());
    });
    child.on('exit', (code) => failed(new Error(`the bench ended with ${code}: ${errors}`)));
  });
  return {
    address,
    errors: () => errors,
    close: () =>
      new Promise((ended) => {
        child.removeAllListeners('exit');
        child.on('exit', (code) => ended(code));
        child.kill('SIGINT');
      }),
  };
}

export async function openBrowser(size, options = {}) {
  const folder = await mkdtemp(join(tmpdir(), 'bench-page-'));
  const context = await chromium.launchPersistentContext(folder, {
    executablePath: '/usr/bin/chromium',
    headless: true,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
    viewport: size,
    ...options,
  });
  context.setDefaultTimeout(20000);
  return {
    context,
    page: context.pages()[0] ?? (await context.newPage()),
    close: async () => {
      await context.close();
      await rm(folder, { recursive: true, force: true });
    },
  };
}

/// What the command line says, as JSON. 'No match within the tolerance' (5) is an answer.
export async function told(program, ...words) {
  try {
    return JSON.parse((await run(program, [...words, '--format', 'json'], { maxBuffer: 1 << 28 })).stdout);
  } catch (error) {
    if (error.code === 5) return JSON.parse(error.stdout);
    throw new Error(`${words.join(' ')}: ${error.stderr || error.message}`);
  }
}

export const runProgram = (program, ...words) => run(program, words, { maxBuffer: 1 << 28 });

export async function emptyFolder() {
  const folder = await mkdtemp(join(tmpdir(), 'bench-record-'));
  await mkdir(folder, { recursive: true });
  return folder;
}
