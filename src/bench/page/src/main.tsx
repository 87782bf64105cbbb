import { render } from 'preact';
import { api } from './api';
import { App } from './app';
import { complain, loadRecord, watchJobs } from './state';
import './bench.css';

const root = document.getElementById('bench')!;
root.textContent = '';
render(<App />, root);
loadRecord().catch(complain);
watchJobs();
addEventListener('pagehide', () => api.closing());
