import { useEffect, useState } from 'preact/hooks';
import { maskOutline, polygonsOf, type Polygon } from './outline';
import type { Mark } from './photo';
import { standingOf } from './standing';
import { complain, nameOf, sheetThings, textOf } from './state';
import type { Thing } from './types';

/// A loss's shape: its drawn outline, else the edge of its mask, else nothing.
export function useOutline(loss: Thing | undefined): { polygons: Polygon[]; busy: boolean } {
  const text = loss ? textOf(loss, 'outline') : '';
  const mask = loss ? Number(loss.columns.mask ?? 0) : 0;
  const [polygons, setPolygons] = useState<Polygon[]>([]);
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    if (text) return setPolygons(polygonsOf(loss?.columns.outline));
    setPolygons([]);
    if (!mask) return;
    let gone = false;
    setBusy(true);
    maskOutline(mask)
      .then((found) => !gone && setPolygons(found))
      .catch(complain)
      .finally(() => !gone && setBusy(false));
    return () => {
      gone = true;
    };
  }, [text, mask]);
  return { polygons, busy };
}

/// Every spot, loss and tear of a sheet that lies on this photograph.
export function useMarks(sheet: string, photograph: number, chosen = ''): Mark[] {
  const [masks, setMasks] = useState<Record<number, Polygon[]>>({});
  const losses = sheetThings(sheet, 'loss');
  const wanted = losses.map((loss) => Number(loss.columns.mask ?? 0)).filter((id) => id > 0);
  const key = wanted.join(',');
  useEffect(() => {
    for (const id of wanted)
      maskOutline(id)
        .then((found) => setMasks((old) => ({ ...old, [id]: found })))
        .catch(complain);
  }, [key]);
  const lies = (thing: Thing) => {
    const on = Number(thing.columns.photograph ?? 0);
    return !on || on === photograph;
  };
  const spots = sheetThings(sheet, 'spot')
    .filter((spot) => textOf(spot, 'outline') && lies(spot))
    .map((spot): Mark => ({
      name: nameOf(spot),
      kind: 'spot',
      polygons: polygonsOf(spot.columns.outline),
      chosen: nameOf(spot) === chosen,
    }));
  const torn = losses.filter(lies).map((loss): Mark => ({
    name: nameOf(loss),
    kind: textOf(loss, 'nature') === 'tear' ? 'tear' : 'loss',
    words: standingOf(sheet, loss),
    polygons: loss.columns.outline ? polygonsOf(loss.columns.outline) : (masks[Number(loss.columns.mask ?? 0)] ?? []),
    chosen: nameOf(loss) === chosen,
  }));
  return [...spots, ...torn].filter((mark) => mark.polygons.length);
}

export const realPhotographs = (sheet: string) =>
  sheetThings(sheet, 'photograph').filter((photograph) => textOf(photograph, 'stage') !== 'mask');
