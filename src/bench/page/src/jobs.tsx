import { useState } from 'preact/hooks';
import { api } from './api';
import { complain, isOver, useBench, watchJobs } from './state';
import type { Job } from './types';

const verbs: Record<string, string> = {
  wash: 'Planning a wash',
  tissue: 'Ranking the drawer',
  colorant: 'Calibrating colorants',
  correct: 'Working out the correction',
  difference: 'Comparing readings',
  series: 'Comparing stage by stage',
  report: 'Making the report',
  recheck: 'Checking the record',
  'image-change': 'Comparing photographs',
  'image-tone': 'Reading a photograph',
  'image-check': 'Checking a photograph',
  'image-preview': 'Painting a fill',
};
const stateWords: Record<Job['state'], string> = {
  waiting: 'waits its turn',
  running: 'at work',
  done: 'done',
  failed: 'failed',
  cancelled: 'stopped',
};

function OneJob({ job }: { job: Job }) {
  const name = verbs[job.verb] ?? job.verb;
  const share = job.progress === null ? '' : `, ${Math.round(100 * job.progress)} %`;
  return (
    <li>
      <p>
        <strong>{name}</strong>: {stateWords[job.state]}
        {!isOver(job) && share}
        {job.message && `, ${job.message}`}
        {job.state === 'failed' && job.error?.message && `: ${job.error.message}`}
        <span class="quietly"> ({Math.round(job.seconds)} s)</span>
      </p>
      {!isOver(job) && (
        <>
          <progress aria-label={name} max={1} value={job.progress ?? undefined} />
          <button
            type="button"
            class="act quiet"
            onClick={() => api.cancelJob(job.job).then(watchJobs).catch(complain)}
          >
            Stop it
          </button>
        </>
      )}
    </li>
  );
}

/// What runs in the background: at the foot of the page while it runs, in the head when it is over.
export function JobsTray() {
  const { jobs } = useBench();
  const [open, setOpen] = useState(false);
  const active = jobs.filter((job) => !isOver(job)).length;
  if (!jobs.length) return null;
  const words = active ? `${active === 1 ? 'One job' : `${active} jobs`} at work` : 'Jobs';
  return (
    <section class={`tray${open ? ' open' : ''}${active ? '' : ' idle'}`} aria-label="Work in the background">
      <button type="button" class="tray-lid" aria-expanded={open} onClick={() => setOpen(!open)}>
        {active > 0 && <span class="turning" aria-hidden="true" />}
        {words}
        {!active && <span class="unseen"> in the background: none at work</span>}
      </button>
      {open && (
        <ul>
          {[...jobs].reverse().slice(0, 12).map((job) => (
            <OneJob key={String(job.job)} job={job} />
          ))}
        </ul>
      )}
    </section>
  );
}
