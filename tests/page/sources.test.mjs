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

test('nothing is inline, nothing is fetched from elsewhere', () => {
  const built = files(join(web, 'built'));
  assert.ok(!/<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=/.test(built['index.html']));
  for (const [name, text] of Object.entries(built)) {
    if (name.endsWith('.txt')) continue;
    const addresses = (text.match(/https?:\/\/[^\s"'`)]+/g) ?? []).filter(one => !one.startsWith('http://www.w3.org/'));
    assert.deepEqual(addresses, [], name);
  }
});
