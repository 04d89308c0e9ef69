// A stand-in for `risetrace serve`, for work on the page alone: it measures nothing. Results come from a screened visit:
//   build/release/risetrace screen sample-clips/visit.json --out build/sample-visit
//   node src/web/dev/mock.mjs [FOLDER] [PORT]
import {createServer} from 'node:http';
import {readFileSync, existsSync} from 'node:fs';
import {fileURLToPath} from 'node:url';
import {join, dirname, extname} from 'node:path';

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, '../../..');
const sample = process.argv[2] ?? join(root, 'build/sample-visit');
const port = Number(process.argv[3] ?? 8123);
const json = file => JSON.parse(readFileSync(file, 'utf8'));
const model = name => json(join(root, 'models', `${name}.json`));

const values = name => Object.fromEntries(Object.entries(model(name)).filter(([, one]) => typeof one === 'object').map(([key, one]) => [key, one.value]));

const slots = ['lunge-left', 'lunge-right', 'heel-raise-left-straight', 'heel-raise-right-straight', 'heel-raise-left-bent',
               'heel-raise-right-bent', 'hop-both', 'hop-left', 'hop-right'];
const visits = new Map();
const uploads = new Map();
const listeners = new Set();
let count = 0;
const tell = happening => listeners.forEach(answer => answer.write(`data: ${JSON.stringify(happening)}\n\n`));
const id = () => (++count).toString(16).padStart(32, '0');

const newVisit = body => {
  const visit = {id: id(), revision: 1, quick: body.quick === true, made_at: new Date().toISOString(), screen: {state: 'none'},
    session: {schema: 'risetrace/session/1', date: body.date ?? '2026-03-02', person: {code: body.code ?? 'quick'}, tests: []},
    tests: Object.fromEntries(slots.map(slot => [slot, {state: 'empty', options: {}, corrections: 0}]))};
  visits.set(visit.id, visit);
  return visit;
};

const measure = (visit, slot) => {
  let share = 0;
  const timer = setInterval(() => {
    if (visit.tests[slot].state === 'cancelled') return clearInterval(timer);
    share += 0.1;
    if (share < 1) {
      Object.assign(visit.tests[slot], {state: 'measuring', stage: 'measuring', share});
      tell({visit: visit.id, slot, what: 'job', state: 'measuring', stage: 'measuring', share});
      return;
    }
    clearInterval(timer);
    Object.assign(visit.tests[slot], {state: 'measured', measured_at: new Date().toISOString()});
    tell({visit: visit.id, slot, what: 'changed'});
  }, 300);
};

const sampleOf = slot => {
  const exact = join(sample, 'tests', slot);
  return existsSync(exact) ? exact : join(sample, 'tests', slot.startsWith('hop') ? 'hop-both' : slot.includes('right') ? 'heel-raise-right-straight' : 'heel-raise-left-straight');
};

const fail = (answer, status, code, what) => send(answer, status, {error: {code, what, why: 'this is a stand-in', do: 'use risetrace serve'}});
const send = (answer, status, body) => {
  answer.writeHead(status, {'Content-Type': 'application/json'});
  answer.end(JSON.stringify(body));
};
const file = (answer, path, type) => {
  if (!existsSync(path)) return fail(answer, 404, 'no-such-file', 'there is no such file');
  answer.writeHead(200, {'Content-Type': type,
    'Content-Security-Policy': "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"});
  answer.end(readFileSync(path));
};

const types = {'.js': 'text/javascript', '.css': 'text/css', '.html': 'text/html', '.txt': 'text/plain', '.json': 'application/json', '.csv': 'text/csv', '.pdf': 'application/pdf', '.mp4': 'video/mp4'};

const routes = [
  ['GET', /^\/api\/about$/, (_m, _b, a) => send(a, 200, {version: '0.0.0', lan: false, phone: false, languages: ['en', 'de'], quantities: model('quantities').quantities,
    protocol: {heel_raise: values('heel-raise'), hop: values('hop')}, protocols: {ladders: model('ladders')}})],
  ['GET', /^\/api\/words\/(en|de)$/, (m, _b, a) => send(a, 200, {language: m[1], clinician: json(join(root, `models/words/clinician-${m[1]}.json`)).words,
    runner: json(join(root, `models/words/runner-${m[1]}.json`)).words})],
  ['GET', /^\/api\/cautions$/, (_m, _b, a) => send(a, 200, {pain_stop: model('cautions').pain_stop.value, questions: model('cautions').questions})],
  ['GET', /^\/api\/events$/, (_m, _b, a) => {
    a.writeHead(200, {'Content-Type': 'text/event-stream'});
    a.write(': here\n\n');
    listeners.add(a);
    a.on('close', () => listeners.delete(a));
  }],
  ['GET', /^\/api\/visits$/, (_m, _b, a) => send(a, 200, [...visits.values()].map(v => ({id: v.id, code: v.session.person.code, date: v.session.date, quick: v.quick, made_at: v.made_at})))],
  ['POST', /^\/api\/visits$/, (_m, b, a) => send(a, 201, newVisit(JSON.parse(b)))],
  ['GET', /^\/api\/visits\/(\w+)$/, (m, _b, a) => (visits.has(m[1]) ? send(a, 200, visits.get(m[1])) : fail(a, 404, 'no-such-visit', 'there is no such visit'))],
  ['DELETE', /^\/api\/visits\/(\w+)$/, (m, _b, a) => (visits.delete(m[1]), send(a, 200, {}))],
  ['PATCH', /^\/api\/visits\/(\w+)$/, (m, b, a) => {
    const visit = visits.get(m[1]);
    const body = JSON.parse(b);
    if (body.revision !== visit.revision) return send(a, 409, {...visit, error: {code: 'stale-revision', what: 'changed elsewhere', why: '', do: ''}});
    Object.assign(visit.session, body.session);
    visit.revision++;
    tell({visit: visit.id, what: 'changed'});
    send(a, 200, visit);
  }],
  ['POST', /^\/api\/visits\/(\w+)\/tests\/([\w-]+)\/upload$/, (m, b, a) => {
    const token = id();
    const body = JSON.parse(b);
    uploads.set(token, {visit: visits.get(m[1]), slot: m[2], offset: 0, ...body});
    Object.assign(visits.get(m[1]).tests[m[2]], {state: 'uploading', clip_name: body.name, has_clip: true, size: body.size, uploaded: 0});
    send(a, 200, {upload: token, offset: 0});
  }],
  ['PUT', /^\/api\/uploads\/(\w+)$/, (m, b, a) => {
    const one = uploads.get(m[1]);
    one.offset += b.length;
    if (one.offset >= one.size) measure(one.visit, one.slot);
    send(a, 200, {offset: one.offset});
  }],
  ['POST', /^\/api\/visits\/(\w+)\/tests\/([\w-]+)\/cancel$/, (m, _b, a) => ((visits.get(m[1]).tests[m[2]].state = 'cancelled'), tell({visit: m[1], what: 'changed'}), send(a, 200, {}))],
  ['POST', /^\/api\/visits\/(\w+)\/tests\/([\w-]+)\/measure$/, (m, _b, a) => (measure(visits.get(m[1]), m[2]), send(a, 200, {}))],
  ['DELETE', /^\/api\/visits\/(\w+)\/tests\/([\w-]+)$/, (m, _b, a) => ((visits.get(m[1]).tests[m[2]] = {state: 'empty', options: {}}), send(a, 200, {}))],
  ['GET', /^\/api\/visits\/\w+\/tests\/([\w-]+)\/files\/([\w.-]+)$/, (m, _b, a) => file(a, join(sampleOf(m[1]), m[2]), types[extname(m[2])] ?? 'application/octet-stream')],
  ['POST', /^\/api\/visits\/(\w+)\/screen$/, (m, _b, a) => {
    const visit = visits.get(m[1]);
    visit.screen = {state: 'running'};
    setTimeout(() => {
      visit.screen = {state: 'ready', made_at: new Date().toISOString()};
      tell({visit: m[1], what: 'changed'});
    }, 1200);
    send(a, 202, visit.screen);
  }],
  ['GET', /^\/api\/visits\/\w+\/screen\/([\w.-]+)$/, (m, _b, a) => file(a, join(sample, m[1]), types[extname(m[1])])],
  ['POST', /^\/api\/visits\/(\w+)\/keep$/, (m, _b, a) => send(a, 200, {})],
  ['GET', /^\/api\/people$/, (_m, _b, a) => send(a, 200, [{code: 'R-017', visits: 2, first_date: '2026-01-05', last_date: '2026-03-02'}])],
  ['GET', /^\/api\/people\/([\w.-]+)$/, (m, _b, a) => send(a, 200, {code: m[1], visits: [{date: '2026-03-02', revisions: [], documents: []}]})],
  ['GET', /^\/api\/people\/[\w.-]+\/visits\/[\d-]+\/([\w.-]+)$/, (m, _b, a) => file(a, join(sample, m[1]), types[extname(m[1])])]];

createServer((request, answer) => {
  const path = new URL(request.url, 'http://x').pathname;
  const parts = [];
  request.on('data', part => parts.push(part));
  request.on('end', () => {
    for (const [method, form, handle] of routes) {
      const match = method === request.method && form.exec(path);
      if (match) return handle(match, Buffer.concat(parts), answer);
    }
    if (path.startsWith('/api/')) return fail(answer, 404, 'no-such-address', 'there is nothing here');
    const name = ['/', '/phone', '/enter'].includes(path) ? '/index.html' : path;
    file(answer, join(here, '../built', name), types[extname(name)]);
  });
}).listen(port, '127.0.0.1', () => console.log(`http://127.0.0.1:${port}`));
