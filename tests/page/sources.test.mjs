// What is committed is what the sources make; both languages say the same things.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, readdirSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, dirname} from 'node:path';
import {fileURLToPath} from 'node:url';

const web = join(dirname(fileURLToPath(import.meta.url)), '../../src/web');
const files = folder => Object.fromEntries(readdirSync(folder).sort().map(name => [name, readFileSync(join(folder, name), 'utf8')]));
const same = (made, kept, what) => {
  assert.deepEqual(Object.keys(made), Object.keys(kept), what);
  for (const name of Object.keys(made)) assert.ok(made[name] === kept[name], `${name} is not as its sources make it: ${what}`);
};

test('built/ is a fresh build', () => {
  const out = mkdtempSync(join(tmpdir(), 'risetrace-built-'));
  execFileSync(process.execPath, [join(web, 'build.mjs'), '--out', out]);
  same(files(out), files(join(web, 'built')), 'run `npm run build` in src/web and commit it');
});

test('types/ is as the schemas are', () => {
  const out = mkdtempSync(join(tmpdir(), 'risetrace-types-'));
  execFileSync(process.execPath, [join(web, 'types.mjs'), '--out', out]);
  same(files(out), files(join(web, 'src/types')), 'run `npm run types` in src/web and commit it');
});

test('the types hold', () => {
  execFileSync(process.execPath, [join(web, 'node_modules/typescript/bin/tsc'), '--noEmit', '-p', web], {stdio: 'inherit'});
});

test('both languages have the same words, with the same places to fill', () => {
  const [en, de] = ['en', 'de'].map(name => JSON.parse(readFileSync(join(web, `src/words/${name}.json`), 'utf8')));
  assert.deepEqual(Object.keys(en), Object.keys(de));
  const places = text => (text.match(/\{[a-z_]+\}/g) ?? []).sort();
  for (const key of Object.keys(en)) assert.deepEqual(places(en[key]), places(de[key]), key);
});

// The short German names of notes go by the codes in the sources: none is missing, none is of a code that is no more.
// What `risetrace check` finds (find_limits.cpp) is not shown on the page.
test('every note of a result has a German name', () => {
  const names = JSON.parse(readFileSync(join(web, 'src/words/notes-de.json'), 'utf8'));
  const sources = ['clip', 'beat', 'scale', 'sticker', 'raise', 'hop', 'ankle', 'camera', 'measure', 'review', 'visit'].flatMap(room =>
    Object.entries(files(join(web, '..', room))).filter(([name]) => name.endsWith('.cpp') && name !== 'find_limits.cpp').map(([, text]) => text)).join('\n');
  for (const code of Object.keys(names)) assert.ok(sources.includes(`"${code}"`), `${code} is no note any more`);
  const live = new Set(['frames-left-out', 'caught-up']);
  for (const [, code] of sources.matchAll(/(?:notes\.push_back\(\{|Note\{|\bnote\(\{?)\s*"([a-z-]+)"/g)) assert.ok(code in names || live.has(code), code);
});

test('nothing is inline, nothing is fetched from elsewhere', () => {
  const built = files(join(web, 'built'));
  assert.ok(!/<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=/.test(built['index.html']));
  for (const [name, text] of Object.entries(built)) {
    if (name.endsWith('.txt')) continue;
    const addresses = (text.match(/https?:\/\/[^\s"'`)]+/g) ?? []).filter(one => !one.startsWith('http://www.w3.org/'));
    assert.deepEqual(addresses, [], name);
  }
});
