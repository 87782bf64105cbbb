// node run.mjs PROGRAM [MOST_MB [PART…]]: starts the page's server on an empty record and gives it everything
// that should not come: nothing may end it, its memory stays below MOST_MB (0: not looked at, as under
// the sanitizers), and the page answers all the while. Files and requests are made here, none is kept.
import { spawn } from 'node:child_process';
import fs from 'node:fs';
import http from 'node:http';
import os from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { Server } from './server.mjs';
import { deepJson, entries, jsonBombs } from './json.mjs';
import { largeReadings, readings } from './readings.mjs';
import { pictures } from './pictures.mjs';
import { connections, corpus, requests } from './requests.mjs';

const here = path.dirname(fileURLToPath(import.meta.url));
const program = process.argv[2];
const mostMb = Number(process.argv[3] ?? 1000);
const only = process.argv.slice(4);
const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'mendtone-hostile-'));
const server = new Server(program, path.join(folder, 'lab.record'));

/// Asks for the page and for the record again and again, until told to stop.
class Watch {
  constructor() {
    this.answered = 0;
    this.slowest = 0;
    this.faults = [];
    this.ended = false;
    this.done = this.run();
  }
  async run() {
    while (!this.ended) {
      for (const call of ['', 'api/record']) {
        const began = Date.now();
        const reply = await server.ask('GET', call, { seconds: 60 });
        this.slowest = Math.max(this.slowest, Date.now() - began);
        if (reply.status === 200) ++this.answered;
        else this.faults.push(`the ${call || 'page'} answered ${reply.status} ${reply.text.slice(0, 200)}`);
      }
      await new Promise((go) => setTimeout(go, 100));
    }
  }
  async end() {
    this.ended = true;
    await this.done;
  }
}

let failed = 0;
function fail(what) {
  ++failed;
  console.error(`FAILED: ${what}`);
}

/// One part of the attack; what it finds wrong is named.
async function part(name, work) {
  const began = Date.now();
  let count = 0;
  try {
    count = await work(server, fail);
  } catch (fault) {
    fail(`${name}: ${fault.stack}`);
  }
  const memory = server.memoryMb();
  console.log(`${name}: ${count} tried, ${((Date.now() - began) / 1000).toFixed(1)} s, peak ${memory.peak} MB`);
  if (!server.runs()) throw new Error(`${name} ended the server: ${server.errors().slice(-2000)}`);
}

const parts = [
  ['requests that are none', requests],
  ['the corpus of requests, whole, cut and spoilt', (s, f) => corpus(s, f, path.join(here, '../bench/corpus'))],
  ['connections that dribble, wait or vanish', connections],
  ['JSON of 100,000 levels to every call', deepJson],
  ['JSON that is large, double or broken', jsonBombs],
  ['entries that no reader could read again', entries],
  ['readings that are none', readings],
  ['pictures that are none', pictures],
  ['64 MB of readings, and bombs of that size', largeReadings],
];

async function all() {
  await server.start();
  const watch = new Watch();
  for (const [name, work] of parts)
    if (!only.length || only.some((word) => name.includes(word))) await part(name, work);
  await watch.end();
  for (const fault of watch.faults.slice(0, 5)) fail(fault);
  if (watch.answered < 10) fail(`the page answered only ${watch.answered} times`);
  const memory = server.memoryMb();
  console.log(`the page answered ${watch.answered} times, the slowest after ${watch.slowest} ms; peak ${memory.peak} MB`);
  if (mostMb > 0 && !(memory.peak > 0 && memory.peak < mostMb)) fail(`peak memory ${memory.peak} MB, at most ${mostMb}`);
  const code = await server.stop();
  if (code !== 0) fail(`the server ended with ${code}: ${server.errors().slice(-2000)}`);
  // Nothing that was sent lies about, and the record is whole.
  const strays = fs.readdirSync(folder).filter((name) => !name.startsWith('lab.record') && name !== 'errors');
  if (strays.length) fail(`left behind: ${strays.join(', ')}`);
  const shown = spawn(program, ['record', 'show', '--record', server.record]);
  const status = await new Promise((told) => shown.on('close', told));
  if (status !== 0) fail('the record can no longer be shown');
}

try {
  await all();
} catch (fault) {
  fail(fault.stack);
} finally {
  server.kill();
  fs.rmSync(folder, { recursive: true, force: true });
}
http.globalAgent.destroy();
process.exit(failed ? 1 : 0);
