// One record with measured tests, made once for each build of the program; every file of tests gets a copy of its own, so that
// none measures again what another has measured and none sees what another does to it.
//   heel raises left and hops of both legs from clips, the rest typed in, one caution answered yes; read and kept
//   three kept visits, typed in
import {cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, renameSync, rmSync, statSync} from 'node:fs';
import {basename, join} from 'node:path';
import {tmpdir} from 'node:os';
import {pathToFileURL} from 'node:url';
import {clip, pictures, program, serve} from './helpers.mjs';

const place = () => join(pictures, `measured-${Math.round(statSync(program).mtimeMs)}`);

// The server's API without a browser.
const asker = url => async (method, path, body, raw) => {
  const answer = await fetch(url + path, {method, headers: {'X-Risetrace': 'page', 'Content-Type': raw ? 'application/octet-stream' : 'application/json'},
                                          body: raw ?? (body ? JSON.stringify(body) : undefined)});
  if (!answer.ok) throw new Error(`${method} ${path}: ${answer.status} ${await answer.text()}`);
  return answer.status === 204 ? null : answer.json();
};

async function until(ask, id, is) {
  for (let n = 0; n < 2400; ++n) {
    const visit = await ask('GET', `/api/visits/${id}`);
    if (is(visit)) return visit;
    await new Promise(resolve => setTimeout(resolve, 100));
  }
  throw new Error('it takes too long');
}

async function send(ask, id, slot, file, name = basename(file)) {
  const bytes = readFileSync(file);
  const {upload} = await ask('POST', `/api/visits/${id}/tests/${slot}/upload`, {name, size: bytes.length});
  await ask('PUT', `/api/uploads/${upload}?offset=0`, null, bytes);
}

async function keep(ask, id) {
  await ask('POST', `/api/visits/${id}/screen`, {language: 'en'});
  await until(ask, id, visit => visit.screen.state === 'ready');
  await ask('POST', `/api/visits/${id}/keep`, {});
  const {screen} = await until(ask, id, visit => visit.screen.state !== 'running');
  if (screen.state !== 'ready') throw new Error(JSON.stringify(screen));
}

async function fill(ask) {
  const {questions} = await ask('GET', '/api/cautions');
  const no = Object.fromEntries(questions.map(one => [one.key, 'no']));
  const whole = await ask('POST', '/api/visits', {code: 'R-017', date: '2026-03-02'});
  await ask('PATCH', `/api/visits/${whole.id}`, {revision: whole.revision, session: {
    person: {code: 'R-017', birth_year: 1988, sex: 'female', mass_kg: 61.5, height_cm: 168, affected_side: 'right'},
    cautions: Object.fromEntries(questions.map((one, n) => [one.key, n === 9 ? 'yes' : 'no'])),
    tests: [{test: 'lunge', side: 'left', by_hand: {knee_to_wall_cm: 11.5}}, {test: 'lunge', side: 'right', by_hand: {knee_to_wall_cm: 9}},
            {test: 'heel-raise', side: 'left', knee: 'bent', by_hand: {reps: 12}, pain: {worst: 6}}, {test: 'heel-raise', side: 'right', knee: 'bent', by_hand: {reps: 9}}]}});
  await send(ask, whole.id, 'heel-raise-left-straight', clip('left-straight.mp4'));
  await send(ask, whole.id, 'hop-both', clip('hops.mp4'));
  const over = state => state === 'measured' || state === 'failed';
  await until(ask, whole.id, ({tests}) => over(tests['heel-raise-left-straight'].state) && over(tests['hop-both'].state));
  await keep(ask, whole.id);
  for (const [date, left, right, wall] of [['2026-01-12', 22, 6, 7], ['2026-02-09', 23, 15, 8.5], ['2026-03-09', 24, 22, 9.5]]) {
    const visit = await ask('POST', '/api/visits', {code: 'R-090', date});
    await ask('PATCH', `/api/visits/${visit.id}`, {revision: visit.revision, session: {cautions: no, tests: [
      {test: 'heel-raise', side: 'left', knee: 'straight', by_hand: {reps: left}}, {test: 'heel-raise', side: 'right', knee: 'straight', by_hand: {reps: right}},
      {test: 'lunge', side: 'left', by_hand: {knee_to_wall_cm: 11}}, {test: 'lunge', side: 'right', by_hand: {knee_to_wall_cm: wall}}]}});
    await keep(ask, visit.id);
    await ask('DELETE', `/api/visits/${visit.id}`);
  }
}

async function make() {
  if (existsSync(place())) return;
  mkdirSync(pictures, {recursive: true});
  for (const old of readdirSync(pictures)) if (old.startsWith('measured-')) rmSync(join(pictures, old), {recursive: true, force: true});
  const folder = mkdtempSync(join(pictures, 'making-'));
  const server = await serve({folder});
  try {
    await fill(asker(server.url));
  } finally {
    await server.stop();
  }
  try {
    renameSync(folder, place());
  } catch {  // another was quicker
    rmSync(folder, {recursive: true, force: true});
  }
}

// A server of the caller's own, with all of that in it; `id`: of the open visit of R-017.
export async function serveMeasured(options = {}) {
  await make();
  const folder = mkdtempSync(join(tmpdir(), 'risetrace-page-'));
  cpSync(place(), folder, {recursive: true});
  const server = await serve({...options, folder});
  const visits = await asker(server.url)('GET', '/api/visits');
  return {...server, id: visits.find(one => one.code === 'R-017').id};
}

// `node measured.mjs`: made before the tests that want it run side by side.
if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) await make();
