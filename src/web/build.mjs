// Bundles the page into built/ (or --out FOLDER): the same sources give the same bytes.
import {build} from 'esbuild';
import {readFileSync, writeFileSync, mkdirSync, rmSync, existsSync, readdirSync} from 'node:fs';
import {fileURLToPath} from 'node:url';
import {basename, join, dirname} from 'node:path';

const here = dirname(fileURLToPath(import.meta.url));
const asked = process.argv.indexOf('--out');
const out = asked > 0 ? process.argv[asked + 1] : join(here, 'built');

// Every page that is loaded only when it is looked at is a file of its own.
const views = {app: 'app.tsx', plot: 'kit/plot.ts', visit: 'pages/visit.tsx', test: 'pages/test.tsx', people: 'pages/people.tsx',
               quick: 'pages/quick.tsx', phone: 'pages/phone.tsx', live: 'live/view.tsx', review: 'review/view.tsx'};

const result = await build({
  absWorkingDir: here,
  entryPoints: Object.fromEntries(Object.entries(views).map(([name, file]) => [name, `src/${file}`])),
  outdir: 'built', write: false, bundle: true, splitting: true, format: 'esm', minify: true, target: ['es2022'],
  entryNames: '[name]', chunkNames: 'shared-[hash]', jsx: 'automatic', jsxImportSource: 'preact', legalComments: 'none',
  metafile: true, charset: 'utf8'});

// Shared pieces get plain names: numbered in the order of what is in them.
const shared = Object.entries(result.metafile.outputs).filter(([name]) => basename(name).startsWith('shared-'))
  .map(([name, about]) => [basename(name), Object.keys(about.inputs).sort().join()])
  .sort((a, b) => (a[1] < b[1] ? -1 : 1));
const renamed = new Map(shared.map(([name], n) => [name, `shared-${n + 1}.js`]));
const rename = text => {
  for (const [from, to] of renamed) text = text.replaceAll(from, to);
  return text;
};

mkdirSync(out, {recursive: true});
for (const old of readdirSync(out)) rmSync(join(out, old), {recursive: true});
for (const file of result.outputFiles) {
  const name = basename(file.path);
  writeFileSync(join(out, renamed.get(name) ?? name), rename(file.text));
}
writeFileSync(join(out, 'index.html'), readFileSync(join(here, 'src/index.html')));
writeFileSync(join(out, 'THIRD-PARTY.txt'), notices(['preact', '@preact/signals', '@preact/signals-core', 'uplot']));

function notices(packages) {
  const parts = packages.map(name => {
    const folder = join(here, 'node_modules', name);
    const about = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
    const licence = ['LICENSE', 'LICENSE.md', 'LICENSE.txt'].map(file => join(folder, file)).find(existsSync);
    return `${name} ${about.version} (${about.license})\n\n${licence ? readFileSync(licence, 'utf8').trim() : about.license}\n`;
  });
  return `The page of risetrace holds these parts of others.\n\n${parts.join('\n----\n\n')}`;
}
