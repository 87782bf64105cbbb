// The page's server as a child process, and ways to speak to it.
import { spawn } from 'node:child_process';
import fs from 'node:fs';
import http from 'node:http';
import net from 'node:net';
import path from 'node:path';

/// Until a request takes more, or is closed.
function roomIn(request) {
  return new Promise((told) => {
    const go = () => {
      request.off('drain', go).off('close', go);
      told();
    };
    request.on('drain', go).on('close', go);
  });
}

export class Server {
  constructor(program, record) {
    this.program = program;
    this.record = record;
  }
  async start() {
    this.errorFile = path.join(path.dirname(this.record), 'errors');
    const errors = fs.openSync(this.errorFile, 'w');
    this.child = spawn(this.program, ['bench', '--record', this.record, '--new', '--no-browser'], { stdio: ['ignore', 'pipe', errors] });
    this.ended = new Promise((told) => this.child.on('exit', (code, signal) => told((this.gone = code ?? signal))));
    let text = '';
    const address = await new Promise((found, refused) => {
      this.child.stdout.on('data', (piece) => {
        text += piece;
        const line = /http:\/\/127\.0\.0\.1:(\d+)\/([^/\s]+)\//.exec(text);
        if (line) found(line);
      });
      this.ended.then((code) => refused(new Error(`the server did not start: ${code} ${this.errors()}`)));
    });
    this.port = Number(address[1]);
    this.secret = address[2];
  }
  runs() {
    return this.gone === undefined;
  }
  errors() {
    return fs.readFileSync(this.errorFile, 'utf8');
  }
  /// The most that it ever held, and what it holds now.
  memoryMb() {
    try {
      const status = fs.readFileSync(`/proc/${this.child.pid}/status`, 'utf8');
      const mb = (name) => Math.round(Number(new RegExp(`${name}:\\s+(\\d+)`).exec(status)[1]) / 1024);
      return { peak: mb('VmHWM'), now: mb('VmRSS') };
    } catch {
      return { peak: 0, now: 0 };
    }
  }
  /// One request as the page makes it. `body` may be text, bytes or a list of pieces with `length`.
  /// What does not answer has the status 0.
  ask(method, call, { query = {}, body, seconds = 60, headers = {} } = {}) {
    const words = new URLSearchParams(query).toString();
    const pieces = body === undefined ? [] : Array.isArray(body) ? body : [body];
    const length = pieces.reduce((sum, piece) => sum + Buffer.byteLength(piece), 0);
    return new Promise((told) => {
      const request = http.request(
        {
          host: '127.0.0.1',
          port: this.port,
          method,
          path: `/${this.secret}/${call}${words ? `?${words}` : ''}`,
          agent: false,
          timeout: seconds * 1000,
          headers: { 'X-Mendtone': '1', ...(body === undefined ? {} : { 'Content-Length': length }), ...headers },
        },
        (reply) => {
          let text = '';
          reply.setEncoding('latin1');
          reply.on('data', (piece) => (text += text.length < 1e6 ? piece : ''));
          reply.on('end', () => told({ status: reply.statusCode, text, headers: reply.headers }));
          reply.on('error', () => told({ status: 0, text }));
        },
      );
      request.on('timeout', () => request.destroy());
      request.on('error', (fault) => told({ status: 0, text: String(fault) }));
      (async () => {
        for (const piece of pieces) if (!request.write(piece)) await roomIn(request);
        request.end();
      })();
    });
  }
  json(method, call, value, query = {}) {
    return this.ask(method, call, { query, body: typeof value === 'string' ? value : JSON.stringify(value) });
  }
  /// Bytes as they are on a connection of their own; what comes back within `seconds`.
  raw(bytes, seconds = 3, halfClose = true) {
    return new Promise((told) => {
      let text = '';
      const socket = net.connect(this.port, '127.0.0.1', () => {
        socket.write(bytes);
        if (halfClose) socket.end();
      });
      socket.setTimeout(seconds * 1000, () => socket.destroy());
      socket.on('data', (piece) => (text += piece.toString('latin1')));
      socket.on('error', () => {});
      socket.on('close', () => told(text));
    });
  }
  /// Its head for a request of ours, to be spoilt.
  head(first, more = '') {
    return `${first} HTTP/1.1\r\nHost: 127.0.0.1:${this.port}\r\nX-Mendtone: 1\r\n${more}\r\n`;
  }
  async stop() {
    this.child.kill('SIGINT');
    return this.ended;
  }
  kill() {
    if (this.child && this.runs()) this.child.kill('SIGKILL');
  }
}

/// Fails where a reply is none, or says that the program is at fault.
export function answered(reply, allowed, what, fail) {
  if (!allowed.includes(reply.status)) fail(`${what}: status ${reply.status} ${reply.text.slice(0, 200)}`);
  if (reply.text.includes('a fault of the program')) fail(`${what}: ${reply.text.slice(0, 200)}`);
}

/// Numbers from a seed, the same on every machine (Numerical Recipes' linear congruence, from memory).
export function chance(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 4294967296) * below);
  };
}
