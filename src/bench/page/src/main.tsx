import { render } from 'preact';
import { api, onEntered } from './api';
import { App } from './app';
import { complain, loadRecord, reload, routeOf, watchJobs } from './state';
import './bench.css';

const root = document.getElementById('bench')!;
root.textContent = '';
render(<App />, root);
loadRecord().catch(complain);
watchJobs();
// What was entered in another tab is seen here, with whatever is being typed left as it is.
onEntered(() => {
  reload(routeOf(location.hash).sheet || undefined).catch(complain);
});
addEventListener('pagehide', () => api.closing());
