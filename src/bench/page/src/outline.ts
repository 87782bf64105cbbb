import { api } from './api';

// Outlines as shapes: as the record holds them, or as the program finds them in a mask.

export type Point = [number, number];
export type Polygon = Point[];

/// An outline as the record gives it, a list of polygons, or as a person writes it.
export const polygonsOf = (cell: unknown): Polygon[] =>
  Array.isArray(cell) ? (cell as Polygon[]).filter((one) => one.length > 2) : typeof cell === 'string' ? polygonsIn(cell) : [];

const polygonsIn = (text: string): Polygon[] =>
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

const asked = new Map<number, Promise<Polygon[]>>();

/// The edge of a mask's white, as the program finds it; asked once.
export function maskOutline(id: number): Promise<Polygon[]> {
  const known = asked.get(id);
  if (known) return known;
  const edge = api.photograph(id).then((info) => polygonsOf(info.outline));
  asked.set(id, edge);
  edge.catch(() => asked.delete(id));
  return edge;
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
