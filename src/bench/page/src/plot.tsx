import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { useEffect, useRef } from 'preact/hooks';
import type { ComponentChildren } from 'preact';
import { Fold, Table } from './ui';

// A plot in ink and pencil: lines are told apart by their dashes and by their names, never by colour.

export interface Line {
  label: string;
  values: (number | null)[];
  low?: (number | null)[];
  high?: (number | null)[];
}

const dashes = [[], [9, 5], [2, 4], [12, 4, 2, 4], [5, 3], [16, 6]];
const ink = '#1a1a1a';

function bars(lines: Line[]): uPlot.Plugin {
  return {
    hooks: {
      draw: (plot) => {
        const { ctx } = plot;
        ctx.save();
        ctx.strokeStyle = ink;
        ctx.lineWidth = 1.5 * devicePixelRatio;
        for (const line of lines)
          plot.data[0].forEach((x, i) => {
            const low = line.low?.[i];
            const high = line.high?.[i];
            if (low === null || low === undefined || high === null || high === undefined) return;
            const at = plot.valToPos(x, 'x', true);
            const from = plot.valToPos(low, 'y', true);
            const to = plot.valToPos(high, 'y', true);
            const half = 6 * devicePixelRatio;
            ctx.beginPath();
            ctx.moveTo(at, from);
            ctx.lineTo(at, to);
            ctx.moveTo(at - half, from);
            ctx.lineTo(at + half, from);
            ctx.moveTo(at - half, to);
            ctx.lineTo(at + half, to);
            ctx.stroke();
          });
        ctx.restore();
      },
    },
  };
}

function level(value: number): uPlot.Plugin {
  return {
    hooks: {
      draw: (plot) => {
        const { ctx } = plot;
        const y = plot.valToPos(value, 'y', true);
        ctx.save();
        ctx.strokeStyle = ink;
        ctx.setLineDash([3, 5]);
        ctx.beginPath();
        ctx.moveTo(plot.bbox.left, y);
        ctx.lineTo(plot.bbox.left + plot.bbox.width, y);
        ctx.stroke();
        ctx.restore();
      },
    },
  };
}

export function Plot(props: {
  title: string;
  x: { label: string; values: number[]; names?: string[] };
  y: string;
  lines: Line[];
  points?: boolean;
  /// Things beside each other are not joined by a line; what follows one another is.
  apart?: boolean;
  tolerance?: number;
  words: string;
  digits?: number;
  children?: ComponentChildren;
}) {
  const box = useRef<HTMLDivElement>(null);
  const key = JSON.stringify([props.x, props.lines, props.tolerance]);
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const names = props.x.names;
    const highest = Math.max(
      props.tolerance ?? 0,
      ...props.lines.flatMap((line) => [...(line.high ?? []), ...line.values].map((v) => v ?? 0)),
    );
    const axis = { stroke: ink, font: '14px system-ui, sans-serif', labelFont: '14px system-ui, sans-serif', labelSize: 26 };
    const plot = new uPlot(
      {
        width: Math.max(260, element.clientWidth),
        height: 280,
        legend: { show: false },
        cursor: { show: false },
        scales: {
          x: { time: false, range: names ? [-0.5, names.length - 0.5] : undefined },
          y: { range: (_u, low) => [Math.min(0, low), highest * 1.1 || 1] },
        },
        axes: [
          {
            ...axis,
            label: props.x.label,
            grid: { show: false },
            ...(names ? { splits: () => names.map((_, i) => i), values: () => names } : {}),
          },
          { ...axis, label: props.y, size: 56, grid: { stroke: '#c8c8c8', width: 1 } },
        ],
        series: [
          {},
          ...props.lines.map((line, i) => ({
            label: line.label,
            stroke: ink,
            width: 2,
            dash: dashes[i % dashes.length],
            ...(props.apart ? { paths: () => null } : {}),
            points: { show: !!props.points, size: 9, fill: '#fff', stroke: ink },
          })),
        ],
        plugins: [
          ...(props.lines.some((line) => line.low) ? [bars(props.lines)] : []),
          ...(props.tolerance !== undefined ? [level(props.tolerance)] : []),
        ],
      },
      [props.x.values, ...props.lines.map((line) => line.values)] as uPlot.AlignedData,
      element,
    );
    const watch = new ResizeObserver(() => plot.setSize({ width: Math.max(260, element.clientWidth), height: 280 }));
    watch.observe(element);
    return () => {
      watch.disconnect();
      plot.destroy();
    };
  }, [key]);

  const digits = props.digits ?? 2;
  const figure = (v: number | null | undefined) => (v === null || v === undefined ? '' : v.toFixed(digits));
  return (
    <figure class="plot">
      <figcaption>{props.title}</figcaption>
      <div ref={box} role="img" aria-label={props.words} />
      {props.lines.length > 1 && (
        <ul class="plot-legend">
          {props.lines.map((line, i) => (
            <li>
              <svg width="44" height="10" aria-hidden="true">
                <line x1="0" y1="5" x2="44" y2="5" stroke={ink} stroke-width="2" stroke-dasharray={dashes[i % dashes.length].join(' ') || undefined} />
              </svg>
              {line.label}
            </li>
          ))}
        </ul>
      )}
      {props.children}
      <Fold title="Its numbers as a table">
        <Table
          caption={props.title}
          hideCaption
          head={[
            props.x.label,
            ...props.lines.flatMap((line) => (line.low ? [line.label, 'from', 'to'] : [line.label])),
          ]}
          rows={props.x.values.map((x, i) => [
            props.x.names?.[i] ?? x,
            ...props.lines.flatMap((line) =>
              line.low ? [figure(line.values[i]), figure(line.low[i]), figure(line.high?.[i])] : [figure(line.values[i])],
            ),
          ])}
        />
      </Fold>
    </figure>
  );
}
