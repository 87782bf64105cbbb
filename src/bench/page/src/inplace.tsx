import { useEffect, useState } from 'preact/hooks';
import { api, type Picture } from './api';
import { outlineText, type Polygon } from './outline';
import { useLoaded } from './state';
import type { Lab } from './types';
import { Warnings } from './ui';

// The fill in its place on the photograph, with a divider that a finger or the keys move.

function usePicture(key: string, load: (signal: AbortSignal) => Promise<Picture>) {
  const loaded = useLoaded(key, load);
  const [address, setAddress] = useState('');
  useEffect(() => {
    if (!loaded.value) return;
    const made = URL.createObjectURL(loaded.value.png);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [loaded.value]);
  return { address, warnings: loaded.value?.warnings ?? [], trouble: loaded.trouble, busy: loaded.busy };
}

export function InPlace(props: {
  photograph: number;
  mask: number;
  polygons: Polygon[];
  lab: Lab;
  sheetLab: Lab;
  light: string;
  name: string;
}) {
  const [at, setAt] = useState(50);
  const mask = props.mask || props.polygons.map(outlineText).join('; ');
  const body = {
    photograph: props.photograph,
    mask,
    lab: props.lab,
    sheet_lab: props.sheetLab,
    light: props.light,
    max_px: 1200,
  };
  const where = JSON.stringify([props.photograph, mask]);
  const before = usePicture(`before ${where}`, (signal) => api.fillPicture(body, true, signal));
  const after = usePicture(`after ${JSON.stringify(body)}`, (signal) => api.fillPicture(body, false, signal));
  const trouble = after.trouble || before.trouble;
  return (
    <div class="in-place">
      {trouble && (
        <div class="trouble">
          <p>
            <strong>Not shown.</strong> {trouble}
          </p>
        </div>
      )}
      <div class="divided" style={{ '--at': `${at}%` }}>
        {after.address && <img src={after.address} alt={`${props.name} in its place on the photograph`} />}
        {before.address && <img class="before" src={before.address} alt="The same place without the fill" />}
        {!after.address && !trouble && <p class="photo-trouble">The fill is being laid in …</p>}
        {after.address && (
          <>
            <span class="divider" aria-hidden="true" />
            <input
              type="range"
              min={0}
              max={100}
              value={at}
              aria-label="Divider: without the fill on its left, with the fill on its right"
              aria-valuetext={`${at} % without the fill`}
              onInput={(e) => setAt(Number(e.currentTarget.value))}
            />
            <span class="side left">without</span>
            <span class="side right">with {props.name}</span>
          </>
        )}
      </div>
      <Warnings items={after.warnings} />
      <p class="help">
        Drag across the picture, or move the divider with the arrow keys. The fill is painted as its predicted difference
        from the sheet, so that the camera’s own error falls out; it is a picture, not a match.
      </p>
    </div>
  );
}
