import { useId } from 'preact/hooks';
import { boxOf, pathOf, torn, type Polygon } from './outline';
import type { ScreenColour } from './types';

// Paper as it lies: a loss filled in its own torn outline, and strips with a torn end.

function Hatch({ id }: { id: string }) {
  return (
    <pattern id={id} width="10" height="10" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
      <line x1="0" y1="0" x2="0" y2="10" stroke="#000" stroke-width="2.4" stroke-opacity="0.55" />
      <line x1="4" y1="0" x2="4" y2="10" stroke="#fff" stroke-width="2" stroke-opacity="0.6" />
    </pattern>
  );
}

const plain: Polygon[] = [
  [
    [12, 18],
    [45, 8],
    [88, 14],
    [132, 10],
    [150, 34],
    [144, 62],
    [152, 84],
    [118, 96],
    [78, 90],
    [40, 98],
    [16, 80],
    [22, 48],
  ],
];

/// The fill set into the outline of the loss, on the sheet's own ground. No line between: the eye
/// judges where the two colours meet.
export function FilledLoss(props: {
  polygons: Polygon[];
  ground?: ScreenColour;
  fill?: ScreenColour;
  edge: boolean;
  words: string;
}) {
  const id = useId();
  const shapes = props.polygons.length ? props.polygons : plain;
  const box = boxOf(shapes);
  const size = Math.max(box.width, box.height, 1);
  const width = Math.max(box.width * 1.5, size * 1.1);
  const height = Math.max(box.height * 1.5, size * 0.75);
  const x = box.x + box.width / 2 - width / 2;
  const y = box.y + box.height / 2 - height / 2;
  const path = pathOf(shapes.map((one) => torn(one, size / 90, size / 420)));
  return (
    <svg
      class="filled-loss"
      viewBox={`${x} ${y} ${width} ${height}`}
      preserveAspectRatio="xMidYMid meet"
      role="img"
      aria-label={props.words}
    >
      <defs>
        <Hatch id={`${id}h`} />
      </defs>
      <rect x={x - width} y={y - height} width={3 * width} height={3 * height} fill={props.ground?.css ?? '#a6a6a6'} />
      {props.ground?.outside && (
        <rect x={x - width} y={y - height} width={3 * width} height={3 * height} fill={`url(#${id}h)`} />
      )}
      <path d={path} fill={props.fill?.css ?? '#a6a6a6'} fill-rule="evenodd" />
      {props.fill?.outside && <path d={path} fill={`url(#${id}h)`} fill-rule="evenodd" />}
      {props.edge && (
        <path d={path} fill="none" stroke="#1a1a1a" stroke-dasharray="6 5" stroke-width="1.5" vector-effect="non-scaling-stroke" />
      )}
    </svg>
  );
}

const slipPath = pathOf([
  [
    ...torn(
      [
        [62, 0],
        [60, 56],
      ],
      3.1,
      2.2,
    ).slice(0, 18),
    [60, 56],
    [200, 56],
    [200, 0],
  ],
]);

/// A strip of the fill laid over the sheet's ground with its torn end.
export function Slip(props: { ground?: ScreenColour; fill?: ScreenColour }) {
  const id = useId();
  return (
    <svg class="strip-paper" viewBox="0 0 200 56" preserveAspectRatio="none" aria-hidden="true">
      {(props.ground?.outside || props.fill?.outside) && (
        <defs>
          <Hatch id={id} />
        </defs>
      )}
      <rect width="200" height="56" fill={props.ground?.css ?? '#a6a6a6'} />
      <path d={slipPath} fill={props.fill?.css ?? '#a6a6a6'} />
      {props.ground?.outside && <rect width="60" height="56" fill={`url(#${id})`} />}
      {props.fill?.outside && <path d={slipPath} fill={`url(#${id})`} />}
    </svg>
  );
}
