// Writes src/types/ from the schemas in models/schema/, or with --check says whether it is as they are.
import {readFileSync, writeFileSync, mkdirSync} from 'node:fs';
import {fileURLToPath} from 'node:url';
import {join, dirname} from 'node:path';
import {compile} from 'json-schema-to-typescript';

const here = dirname(fileURLToPath(import.meta.url));
const schemas = join(here, '../../models/schema');
const out = process.argv[process.argv.indexOf('--out') + 1] && process.argv.includes('--out')
  ? process.argv[process.argv.indexOf('--out') + 1] : join(here, 'src/types');
const names = {result: 'Result', screen: 'Screen', session: 'Session', 'training-log': 'TrainingLog',
               frames: 'Frames', recount: 'Recount', 'record-list': 'RecordList', 'record-sessions': 'RecordSessions'};

mkdirSync(out, {recursive: true});
for (const [name, title] of Object.entries(names)) {
  const schema = JSON.parse(readFileSync(join(schemas, `${name}.schema.json`), 'utf8'));
  schema.title = title;
  delete schema.$schema;
  const text = await compile(schema, title, {
    bannerComment: `// Made from models/schema/${name}.schema.json by \`npm run types\`.`,
    additionalProperties: false, format: true, style: {singleQuote: true, printWidth: 120}});
  writeFileSync(join(out, `${name}.ts`), text);
}
