import type { JSX } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { api } from './api';
import type { Point, Polygon } from './outline';
import { useLoaded } from './state';
import type { PhotoInfo } from './types';

// A photograph in tiles: panned by a finger, zoomed by two, by the wheel, by keys and buttons.

export interface Mark {
  name: string;
  kind: 'spot' | 'loss' | 'tear';
  polygons: Polygon[];
  chosen?: boolean;
  /// Where it stands.
  words?: string;
}

interface Props {
  id: number;
  marks: Mark[];
  /// Points being drawn; a tap adds one.
  drawn?: Polygon;
  onDraw?: (points: Polygon) => void;
  /// One point is asked for.
  onPoint?: (point: Point) => void;
  label: string;
}

interface Frame {
  scale: number;
  x: number;
  y: number;
}

const step = 1.5;

function wholePicture(info: PhotoInfo, width: number, height: number): Frame {
  const scale = Math.min(width / info.width, height / info.height);
  return { scale, x: (width - info.width * scale) / 2, y: (height - info.height * scale) / 2 };
}

function tilesOf(info: PhotoInfo, level: number, frame: Frame, width: number, height: number) {
  const size = info.tile * 2 ** level * frame.scale;
  const across = Math.ceil(info.width / (info.tile * 2 ** level));
  const down = Math.ceil(info.height / (info.tile * 2 ** level));
  const list: { key: string; src: string; x: number; y: number; w: number; h: number }[] = [];
  const from = (offset: number) => Math.max(0, Math.floor(-offset / size));
  const to = (offset: number, length: number, most: number) => Math.min(most - 1, Math.floor((length - offset) / size));
  for (let y = from(frame.y); y <= to(frame.y, height, down); ++y)
    for (let x = from(frame.x); x <= to(frame.x, width, across); ++x) {
      const unit = 2 ** level;
      list.push({
        key: `${level}-${x}-${y}`,
        src: api.tile(info.id, level, x, y),
        x: frame.x + x * size,
        y: frame.y + y * size,
        w: Math.min(info.tile * unit, Math.ceil((info.width - x * info.tile * unit) / unit) * unit) * frame.scale,
        h: Math.min(info.tile * unit, Math.ceil((info.height - y * info.tile * unit) / unit) * unit) * frame.scale,
      });
    }
  return list;
}

const centreOf = (polygon: Polygon): Point => [
  polygon.reduce((sum, p) => sum + p[0], 0) / polygon.length,
  polygon.reduce((sum, p) => sum + p[1], 0) / polygon.length,
];

function Outlines({ marks, frame, drawn, drawing }: { marks: Mark[]; frame: Frame; drawn?: Polygon; drawing: boolean }) {
  const place = ([x, y]: Point): Point => [frame.x + x * frame.scale, frame.y + y * frame.scale];
  const points = (polygon: Polygon) => polygon.map((p) => place(p).map((v) => v.toFixed(1)).join(',')).join(' ');
  return (
    <svg class="outlines" aria-hidden="true">
      {marks.map((mark) => (
        <g class={`mark ${mark.kind}${mark.chosen ? ' chosen' : ''}`}>
          {mark.polygons.map((polygon) => (
            <>
              <polygon class="under" points={points(polygon)} />
              <polygon class="over" points={points(polygon)} />
            </>
          ))}
        </g>
      ))}
      {/* Names lie above all outlines. */}
      {marks.map((mark) => {
        const [cx] = place(centreOf(mark.polygons[0]));
        const top = Math.min(...mark.polygons.flat().map((p) => place(p)[1]));
        return (
          <text x={cx} y={Math.max(18, top - 8)} text-anchor="middle">
            {mark.name}
            {mark.words && <tspan class="stands">, {mark.words}</tspan>}
          </text>
        );
      })}
      {drawing && drawn && drawn.length > 0 && (
        <g class="drawing">
          <polyline class="under" points={points(drawn)} />
          <polyline class="over" points={points(drawn)} />
          {drawn.map((p, i) => {
            const [x, y] = place(p);
            return <circle cx={x} cy={y} r={i === 0 ? 9 : 6} />;
          })}
        </g>
      )}
    </svg>
  );
}

export function Photo(props: Props) {
  const info = useLoaded(`photograph ${props.id}`, () => api.photograph(props.id));
  const box = useRef<HTMLDivElement>(null);
  const [size, setSize] = useState<[number, number]>([0, 0]);
  const [frame, setFrame] = useState<Frame | null>(null);
  const [aim, setAim] = useState<Point | null>(null);
  const fingers = useRef(new Map<number, Point>());
  const moved = useRef(0);
  const touched = useRef(false);
  const picture = info.value;
  const drawing = !!props.onDraw || !!props.onPoint;

  useLayoutEffect(() => {
    const measure = () => box.current && setSize([box.current.clientWidth, box.current.clientHeight]);
    measure();
    const watch = new ResizeObserver(measure);
    if (box.current) watch.observe(box.current);
    return () => watch.disconnect();
  }, []);
  useEffect(() => {
    // Until she moves it, the whole picture is shown, whatever the size of the view.
    if (picture && size[0] && !touched.current) setFrame(wholePicture(picture, size[0], size[1]));
  }, [picture, size]);
  useEffect(() => {
    touched.current = false;
    setFrame(null);
  }, [props.id]);

  const zoomAt = (factor: number, x: number, y: number) => {
    touched.current = true;
    setFrame((old) => {
      if (!old || !picture) return old;
      const least = Math.min(size[0] / picture.width, size[1] / picture.height) * 0.7;
      const scale = Math.max(least, Math.min(16, old.scale * factor));
      const by = scale / old.scale;
      return { scale, x: x - (x - old.x) * by, y: y - (y - old.y) * by };
    });
  };
  const zoom = (factor: number) => zoomAt(factor, size[0] / 2, size[1] / 2);
  const pan = (dx: number, dy: number) => {
    touched.current = true;
    setFrame((old) => old && { ...old, x: old.x + dx, y: old.y + dy });
  };
  const whole = () => {
    touched.current = false;
    if (picture) setFrame(wholePicture(picture, size[0], size[1]));
  };
  const pointAt = (x: number, y: number): Point | null =>
    frame && picture
      ? [
          Math.max(0, Math.min(picture.width, (x - frame.x) / frame.scale)),
          Math.max(0, Math.min(picture.height, (y - frame.y) / frame.scale)),
        ]
      : null;
  const put = (x: number, y: number) => {
    const point = pointAt(x, y);
    if (!point) return;
    if (props.onPoint) props.onPoint(point);
    else props.onDraw?.([...(props.drawn ?? []), point]);
  };

  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const wheel = (e: WheelEvent) => {
      e.preventDefault();
      const at = element.getBoundingClientRect();
      zoomAt(e.deltaY < 0 ? 1.2 : 1 / 1.2, e.clientX - at.left, e.clientY - at.top);
    };
    element.addEventListener('wheel', wheel, { passive: false });
    return () => element.removeEventListener('wheel', wheel);
  });

  const here = (e: PointerEvent): Point => {
    const at = box.current!.getBoundingClientRect();
    return [e.clientX - at.left, e.clientY - at.top];
  };
  const down = (e: JSX.TargetedPointerEvent<HTMLDivElement>) => {
    fingers.current.set(e.pointerId, here(e));
    if (fingers.current.size === 1) moved.current = 0;
    try {
      e.currentTarget.setPointerCapture(e.pointerId);
    } catch {
      // A finger that is already gone cannot be held.
    }
  };
  const move = (e: PointerEvent) => {
    const old = fingers.current.get(e.pointerId);
    if (!old) return;
    const now = here(e);
    const others = [...fingers.current].filter(([id]) => id !== e.pointerId).map(([, p]) => p);
    fingers.current.set(e.pointerId, now);
    moved.current += Math.hypot(now[0] - old[0], now[1] - old[1]);
    if (!others.length) {
      if (moved.current > 6) pan(now[0] - old[0], now[1] - old[1]);
      return;
    }
    const other = others[0];
    const before = Math.hypot(old[0] - other[0], old[1] - other[1]);
    const after = Math.hypot(now[0] - other[0], now[1] - other[1]);
    moved.current += 10;
    if (before > 0) zoomAt(after / before, (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
  };
  const up = (e: PointerEvent) => {
    const was = fingers.current.delete(e.pointerId);
    if (was && e.type === 'pointerup' && moved.current <= 6 && drawing) put(...here(e));
  };

  const key = (e: KeyboardEvent) => {
    const far = e.shiftKey ? 80 : 24;
    const moves: Record<string, Point> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const towards = moves[e.key];
    if (towards && drawing && !e.ctrlKey) {
      const fine = e.shiftKey ? 40 : 8;
      setAim((old) => {
        const [x, y] = old ?? [size[0] / 2, size[1] / 2];
        return [Math.max(0, Math.min(size[0], x + towards[0] * fine)), Math.max(0, Math.min(size[1], y + towards[1] * fine))];
      });
    } else if (towards) pan(-towards[0] * far, -towards[1] * far);
    else if (e.key === '+' || e.key === '=') zoom(step);
    else if (e.key === '-') zoom(1 / step);
    else if (e.key === '0') whole();
    else if (e.key === 'Enter' && drawing) put(...(aim ?? [size[0] / 2, size[1] / 2]));
    else if (e.key === 'Backspace' && props.onDraw) props.onDraw((props.drawn ?? []).slice(0, -1));
    else return;
    e.preventDefault();
  };

  // One level sharper than the screen needs is never fetched; one coarser lies beneath meanwhile.
  const level =
    picture && frame
      ? Math.max(0, Math.min(picture.levels - 1, Math.floor(Math.log2(1 / (frame.scale * (window.devicePixelRatio || 1))) + 0.01)))
      : 0;
  const coarse = picture ? picture.levels - 1 : 0;
  const tiles =
    picture && frame && size[0]
      ? [
          ...(coarse !== level ? tilesOf(picture, coarse, frame, size[0], size[1]) : []),
          ...tilesOf(picture, level, frame, size[0], size[1]),
        ]
      : [];

  return (
    <div class="photo">
      {picture?.mark && <p class="note-line">! {picture.mark}</p>}
      <div
        class={`photo-box${drawing ? ' drawing' : ''}`}
        ref={box}
        style={picture ? { aspectRatio: `${picture.width} / ${picture.height}` } : undefined}
        tabIndex={0}
        role="application"
        aria-label={`${props.label}. Arrow keys move ${drawing ? 'the cross, Enter sets a corner, Backspace takes one back' : 'the picture'}, plus and minus zoom, 0 shows all.`}
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
        onKeyDown={key}
      >
        {tiles.map((tile) => (
          <img
            key={tile.key}
            src={tile.src}
            alt=""
            draggable={false}
            style={{ left: `${tile.x}px`, top: `${tile.y}px`, width: `${tile.w + 0.5}px`, height: `${tile.h + 0.5}px` }}
          />
        ))}
        {frame && <Outlines marks={props.marks} frame={frame} drawn={props.drawn} drawing={drawing} />}
        {drawing && aim && <span class="cross" style={{ left: `${aim[0]}px`, top: `${aim[1]}px` }} />}
        {info.trouble && <p class="photo-trouble">{info.trouble}</p>}
        {!picture && !info.trouble && <p class="photo-trouble">The photograph is being fetched …</p>}
      </div>
      <div class="photo-tools" role="group" aria-label="The picture">
        <button type="button" class="act quiet" onClick={() => zoom(step)}>
          Nearer
        </button>
        <button type="button" class="act quiet" onClick={() => zoom(1 / step)}>
          Further
        </button>
        <button type="button" class="act quiet" onClick={whole}>
          All of it
        </button>
        {frame && picture && (
          <span class="quietly">
            {picture.width} × {picture.height} pixels, shown at {Math.round(frame.scale * 100)} %
            {picture.mm_per_px ? `; ${(1 / picture.mm_per_px).toFixed(1)} pixels a mm` : ''}
          </span>
        )}
      </div>
    </div>
  );
}
