import { api } from './api';
import { labThings, nameOf, sheetThings, state, textOf, useColours, useLoaded } from './state';
import { Slip } from './torn';
import type { Lab, Thing, Tone } from './types';

// Paper wherever it is named: a torn slip in its colour on the ground of the sheet.

export function PaperChip(props: { lab: Lab; ground?: Lab; light?: string; words?: string }) {
  const [fill, ground] = useColours(props.ground ? [props.lab, props.ground] : [props.lab], props.light);
  return (
    <span class="paper-chip" role={props.words ? 'img' : undefined} aria-label={props.words}>
      <Slip fill={fill} ground={ground} />
      {fill?.outside && <span class="unseen">this screen cannot show its colour</span>}
    </span>
  );
}

interface Tones {
  tones: Tone[];
}

async function toneOf(files: string[], signal?: AbortSignal): Promise<Tone[]> {
  if (signal?.aborted) return [];
  const { result } = await api.compute<Tones>('tone', { sources: { files, scale: null } });
  return result.tones;
}

/// The tones of places of a sheet that were read, by name, as the engine means their readings.
function useTonesOf(sheet: string, kind: 'loss' | 'spot'): Record<string, Tone> {
  const read = (thing: Thing) => sheetThings(sheet, 'reading').filter((r) => r.links[kind] === nameOf(thing) || r.links[kind] === `${sheet}/${nameOf(thing)}`);
  const places = sheetThings(sheet, kind).filter((thing) => read(thing).length);
  const rows = places.map((thing) => `${nameOf(thing)}:${read(thing).map((r) => r.row).join('.')}`).join(';');
  const { value } = useLoaded(`tones ${kind} ${sheet} ${rows}`, async (signal) => {
    const found: Record<string, Tone> = {};
    for (const thing of places) {
      const name = nameOf(thing);
      const before = read(thing).some((r) => textOf(r, 'stage') === 'before');
      try {
        const tones = await toneOf([`${sheet}/${name}${before ? '@before' : ''}`], signal);
        if (tones[0]) found[name] = tones[0];
      } catch {
        // What cannot be shown in colour is still said in words.
      }
    }
    return found;
  });
  return value ?? {};
}
export const usePaperTones = (sheet: string) => useTonesOf(sheet, 'loss');
export const useSpotTones = (sheet: string) => useTonesOf(sheet, 'spot');

/// Every tissue of the drawer over the lightest backing that it was read over.
export function useDrawerTones(): Record<string, Tone> {
  const tissues = labThings('tissue');
  const key = tissues.map((t) => t.row).join();
  const readings = state.record?.counts.find((one) => one.kind === 'reading')?.count ?? 0;
  const { value } = useLoaded(`drawer ${key} ${readings}`, async (signal) => {
    const found: Record<string, Tone> = {};
    if (!tissues.length) return found;
    try {
      for (const tone of await toneOf(['drawer'], signal))
        if (!found[tone.name] || tone.lab[0] > found[tone.name].lab[0]) found[tone.name] = tone;
    } catch {
      // A drawer without readings has no colours yet.
    }
    return found;
  });
  return value ?? {};
}
