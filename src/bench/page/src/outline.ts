import { api } from './api';

// Outlines as shapes: read from the record's text, or traced from a mask picture.

export type Point = [number, number];
export type Polygon = Point[];

export const polygonsIn = (text: string): Polygon[] =>
  text
    .split(';')
    .map((one) =>
      one
        .trim()
        .split(/\s+/)
        .map((pair) => pair.split(',').map(Number) as Point)
        .filter((p) => p.length === 2 && p.every(Number.isFinite)),
    )
    .filter((polygon) => polygon.length > 2);

export const outlineText = (polygon: Polygon): string =>
  polygon.map(([x, y]) => `${Math.round(x * 10) / 10},${Math.round(y * 10) / 10}`).join(' ');

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}
export function boxOf(polygons: Polygon[]): Box {
  const xs = polygons.flat().map((p) => p[0]);
  const ys = polygons.flat().map((p) => p[1]);
  const x = Math.min(...xs);
  const y = Math.min(...ys);
  return { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y };
}

export const circle = (x: number, y: number, radius: number): Polygon =>
  Array.from({ length: 16 }, (_, i): Point => {
    const turn = (i * Math.PI) / 8;
    return [x + radius * Math.cos(turn), y + radius * Math.sin(turn)];
  });

const distanceToLine = (p: Point, a: Point, b: Point): number => {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const length = Math.hypot(dx, dy);
  return length ? Math.abs(dy * (p[0] - a[0]) - dx * (p[1] - a[1])) / length : Math.hypot(p[0] - a[0], p[1] - a[1]);
};

/// Fewer corners, none further than `by` from the line.
function simplified(line: Polygon, by: number): Polygon {
  if (line.length < 3) return line;
  let furthest = 0;
  let at = 0;
  for (let i = 1; i < line.length - 1; ++i) {
    const d = distanceToLine(line[i], line[0], line[line.length - 1]);
    if (d > furthest) [furthest, at] = [d, i];
  }
  if (furthest <= by) return [line[0], line[line.length - 1]];
  return [...simplified(line.slice(0, at + 1), by).slice(0, -1), ...simplified(line.slice(at), by)];
}

/// The edges between white and black pixels, walked round with the white on the right.
export function traced(white: (x: number, y: number) => boolean, width: number, height: number): Polygon[] {
  const next = new Map<string, Point[]>();
  const edge = (x0: number, y0: number, x1: number, y1: number) => {
    const key = `${x0},${y0}`;
    const list = next.get(key);
    if (list) list.push([x1, y1]);
    else next.set(key, [[x1, y1]]);
  };
  for (let y = 0; y < height; ++y)
    for (let x = 0; x < width; ++x) {
      if (!white(x, y)) continue;
      if (y === 0 || !white(x, y - 1)) edge(x, y, x + 1, y);
      if (x === width - 1 || !white(x + 1, y)) edge(x + 1, y, x + 1, y + 1);
      if (y === height - 1 || !white(x, y + 1)) edge(x + 1, y + 1, x, y + 1);
      if (x === 0 || !white(x - 1, y)) edge(x, y + 1, x, y);
    }
  const loops: Polygon[] = [];
  for (const key of next.keys()) {
    while (next.get(key)?.length) {
      const loop: Polygon = [key.split(',').map(Number) as Point];
      let at = key;
      for (;;) {
        const to = next.get(at)?.pop();
        if (!to) break;
        loop.push(to);
        at = `${to[0]},${to[1]}`;
        if (at === key) break;
      }
      if (loop.length > 12) loops.push(simplified(loop, 0.8));
    }
  }
  return loops.filter((loop) => loop.length > 3);
}

const tracedMasks = new Map<number, Promise<Polygon[]>>();

const picture = (address: string) =>
  new Promise<HTMLImageElement>((resolve, reject) => {
    const image = new Image();
    image.onload = () => resolve(image);
    image.onerror = () => reject(new Error('a part of the mask did not come'));
    image.src = address;
  });

async function traceMask(id: number): Promise<Polygon[]> {
  const info = await api.photograph(id);
  let level = 0;
  while (level < info.levels - 1 && Math.max(info.width, info.height) / 2 ** level > 1200) ++level;
  const width = Math.ceil(info.width / 2 ** level);
  const height = Math.ceil(info.height / 2 ** level);
  const canvas = document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const brush = canvas.getContext('2d', { willReadFrequently: true })!;
  const tiles: Promise<void>[] = [];
  for (let y = 0; y * info.tile < height; ++y)
    for (let x = 0; x * info.tile < width; ++x)
      tiles.push(
        picture(api.tile(id, level, x, y)).then((image) => brush.drawImage(image, x * info.tile, y * info.tile)),
      );
  await Promise.all(tiles);
  const pixels = brush.getImageData(0, 0, width, height).data;
  const scale = info.width / width;
  return traced((x, y) => pixels[4 * (y * width + x)] > 127, width, height)
    .sort((a, b) => b.length - a.length)
    .slice(0, 12)
    .map((loop) => loop.map(([x, y]): Point => [x * scale, y * scale]));
}

export function maskOutline(id: number): Promise<Polygon[]> {
  const known = tracedMasks.get(id);
  if (known) return known;
  const asked = traceMask(id);
  tracedMasks.set(id, asked);
  asked.catch(() => tracedMasks.delete(id));
  return asked;
}

/// A torn edge: the line broken into short steps that stray a little, the same way every time.
export function torn(polygon: Polygon, step: number, by: number): Polygon {
  let seed = 1894;
  const stray = () => {
    seed = (seed * 1103515245 + 12345) & 0x7fffffff;
    return (seed / 0x7fffffff - 0.5) * 2 * by;
  };
  const out: Polygon = [];
  polygon.forEach((a, i) => {
    const b = polygon[(i + 1) % polygon.length];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const parts = Math.max(1, Math.round(length / step));
    for (let k = 0; k < parts; ++k) {
      const t = k / parts;
      out.push([a[0] + t * (b[0] - a[0]) + stray(), a[1] + t * (b[1] - a[1]) + stray()]);
    }
  });
  return out;
}

export const pathOf = (polygons: Polygon[]): string =>
  polygons.map((polygon) => `M${polygon.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join('L')}Z`).join('');
