// What the page's tests share: the program as it is run, a browser, and the checks made on every page.
import {spawn} from 'node:child_process';
import {mkdtempSync, mkdirSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, dirname} from 'node:path';
import {fileURLToPath} from 'node:url';
import {createRequire} from 'node:module';
import {before, after} from 'node:test';
import assert from 'node:assert/strict';
import {chromium} from 'playwright-core';

export const root = join(dirname(fileURLToPath(import.meta.url)), '../..');
export const program = process.env.RISETRACE_PROGRAM ?? join(root, 'build/release/risetrace');
export const pictures = process.env.RISETRACE_PICTURES ?? join(root, 'build/page');
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
mkdirSync(pictures, {recursive: true});

// The server on a port of its own, with an empty record. `words`: further options.
export async function serve({words = [], port = 0, folder = mkdtempSync(join(tmpdir(), 'risetrace-page-'))} = {}) {
  const child = spawn(program, ['serve', '--port', String(port), '--record', join(folder, 'record.sqlite'), ...words], {stdio: ['ignore', 'pipe', 'pipe'], env: {...process.env, TMPDIR: folder}});
  let text = '';
  const url = await new Promise((resolve, reject) => {
    const take = part => {
      text += part;
      const found = /https?:\/\/[^\s]+/.exec(text);
      if (found) resolve(found[0].replace(/\/$/, ''));
    };
    child.stdout.on('data', take);
    child.stderr.on('data', take);
    child.on('exit', status => reject(new Error(`the server ended with ${status}: ${text}`)));
  });
  const stop = () => new Promise(resolve => {
    if (child.exitCode !== null || child.signalCode) return resolve();
    child.on('exit', resolve);
    child.kill('SIGINT');
  });
  return {url, folder, said: () => text, stop, end: async () => {
    await stop();
    rmSync(folder, {recursive: true, force: true});
  }};
}

export const browser = (...more) => chromium.launch({executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
         '--disable-component-update', '--disable-sync', '--autoplay-policy=no-user-gesture-required', ...more]});

// What one file's tests stand beside, once they run: a server, begun as `begin` says, and a browser. Both end after them.
export let server, chrome;
export function standBeside(begin) {
  before(async () => {
    server = await begin();
    chrome = await browser();
  });
  after(async () => {
    await chrome?.close();
    await server?.end();
  });
}

// A page that fails the test on any script error or breach of the policy.
export async function open(browser, options = {}) {
  const context = await browser.newContext({viewport: {width: 1440, height: 900}, locale: 'en-GB', ignoreHTTPSErrors: true, ...options});
  const page = await context.newPage();
  const wrong = [];
  page.on('pageerror', error => wrong.push(error.message));
  page.on('console', message => {
    if (message.type() === 'error' && /Content Security Policy|Refused to/.test(message.text())) wrong.push(message.text());
  });
  return {page, context, wrong, sound: () => assert.deepEqual(wrong, [])};
}

// Nothing serious or critical, by WCAG 2.2 A and AA and axe's own best practice.
export async function accessible(page, where) {
  await page.evaluate(axe);
  const {violations} = await page.evaluate(() => axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}));
  const bad = violations.filter(one => one.impact === 'serious' || one.impact === 'critical')
    .map(one => `${where}: ${one.id}: ${one.nodes[0].html} ${one.nodes[0].failureSummary}`);
  assert.deepEqual(bad, []);
  return violations.map(one => `${one.impact} ${one.id}`);
}

export async function fits(page, where) {
  const over = await page.evaluate(() => {
    const wide = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= wide) return [];
    return [...document.querySelectorAll('body *')].filter(node => node.getBoundingClientRect().right > wide + 0.5 && !node.closest('.table-box'))
      .map(node => `${node.tagName}.${node.className} ends at ${node.getBoundingClientRect().right}: ${node.textContent.slice(0, 60)}`);
  });
  assert.deepEqual(over, [], `${where}: wider than the window`);
}

// All that was typed is with the server.
export const saved = page => page.waitForFunction(() => document.querySelector('.saving')?.textContent === 'Saved');

export const clip = name => join(root, 'sample-clips', name);
export const json = async (page, path) => page.evaluate(async where => (await fetch(where)).json(), path);
export const api = (page, method, path, body) => page.evaluate(async ([how, where, what]) => {
  const answer = await fetch(where, {method: how, headers: {'X-Risetrace': 'page', ...(what ? {'Content-Type': 'application/json'} : {})}, body: what ? JSON.stringify(what) : undefined});
  return {status: answer.status, body: await answer.json().catch(() => null)};
}, [method, path, body]);

export async function newVisit(page, url, code) {
  await page.goto(`${url}/`);
  await page.getByLabel('Person\'s code').fill(code);
  await page.getByRole('button', {name: 'Begin the visit'}).click();
  await page.waitForURL(/#\/visit\/[0-9a-f]{32}$/);
  await page.getByRole('heading', {level: 1, name: code}).waitFor();
  return page.url().split('/').pop();
}
