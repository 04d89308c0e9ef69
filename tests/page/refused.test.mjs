// What a person reads who hands in something that cannot be measured, in both languages; and what can be set by hand then.
import {test, before, after} from 'node:test';
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {server, chrome, standBeside, serve, open, accessible, fits, api, json, program, pictures} from './helpers.mjs';

const folder = mkdtempSync(join(tmpdir(), 'risetrace-refused-'));
const made = name => join(folder, name);

// A short set, small and quick to measure. Fields of `changes` win.
function render(name, changes) {
  writeFileSync(made(`${name}.json`), JSON.stringify({schema: 'risetrace/scene/1', seed: 3,
    camera: {width_px: 640, height_px: 360, fps: 30, px_per_cm: 7, height_cm: 22, exposure_s: 0.006, noise_grey: 0.4},
    movement: {lead_in_s: 1, tail_s: 1, reps: [9.5, 9.2, 9].map(height_cm => ({height_cm, up_s: 0.5, down_s: 0.5}))}, ...changes}));
  execFileSync(program, ['synth', made(`${name}.json`), '--quiet', '--out', made(`${name}.mp4`)]);
}

before(async () => {
  const ffmpeg = (...words) => execFileSync('ffmpeg', ['-v', 'error', '-y', ...words]);
  ffmpeg('-f', 'lavfi', '-i', 'testsrc=size=320x240', '-frames:v', '1', made('photo.png'));
  ffmpeg('-f', 'lavfi', '-i', 'sine=440:duration=2', '-c:a', 'aac', made('sound.mp4'));
  writeFileSync(made('empty.mp4'), '');
  writeFileSync(made('text.mp4'), 'this is no film, only text\n');
  render('no-card', {cards: []});
  render('no-sticker', {stickers: {heel: {absent: true}}});
  render('pale', {cards: [], stickers: {heel: {kind: 'colour', colour: '#3c5f8a', radius_cm: 0.8}}});  // blue on a blue shoe
});
standBeside(serve);
after(() => rmSync(folder, {recursive: true, force: true}));

// File, what it is called and what helps, in English and in German.
const refusals = [
  ['photo.png', /no clip that can be read.*Choose a video/, /kein lesbarer Clip.*Wählen Sie ein Video/],
  ['empty.mp4', /is empty.*Copy the clip again/, /ist leer.*Kopieren Sie den Clip/],
  ['text.mp4', /no clip that can be read.*Choose a video/, /kein lesbarer Clip.*Wählen Sie ein Video/],
  ['sound.mp4', /no picture.*Choose the video itself/, /kein Bild.*Wählen Sie das Video selbst/],
  ['no-card.mp4', /card was not found.*whole card upright/, /Karte wurde nicht gefunden.*ganze Karte aufrecht/],
  ['no-sticker.mp4', /No heel raise was seen.*sticker in view/, /kein Fersenheben zu sehen.*Marker im Bild/]];

test('what was handed in and what to do is said in both languages', async () => {
  const slot = 'heel-raise-left-straight';
  const {page, sound} = await open(chrome);
  const german = await open(chrome, {locale: 'de-DE', viewport: {width: 390, height: 844}});
  await page.goto(server.url);
  for (const [name, english, deutsch] of refusals) {
    const {id} = (await api(page, 'POST', '/api/visits', {code: 'R-070', date: '2026-03-02'})).body;
    await page.goto(`${server.url}/#/visit/${id}/${slot}`);
    await page.locator('.drop input[type=file]').setInputFiles(made(name));
    const alert = where => where.locator('section[aria-labelledby=clip]').getByRole('alert');
    await alert(page).waitFor({timeout: 60_000});
    assert.match(await alert(page).textContent(), english, name);
    assert.doesNotMatch(await alert(page).textContent(), /--|clip\.bin|clip\.mp4:/, `${name}: nothing of the command line, no name of ours`);
    if (name === 'empty.mp4') {
      await german.page.goto(`${server.url}/#/visit/${id}/${slot}`);
      await german.page.locator('.drop input[type=file]').setInputFiles(made(name));
    } else await german.page.goto(`${server.url}/#/visit/${id}/${slot}`);
    await alert(german.page).waitFor();
    await german.page.waitForFunction(() => document.documentElement.lang !== 'en');
    assert.match(await alert(german.page).textContent(), deutsch, name);
    await fits(german.page, name);
  }
  await accessible(german.page, 'refused, in German');
  sound();
});

test('sticker and scale set by hand in the first frame, and measured so', async () => {
  const {page, sound} = await open(chrome);
  const slot = 'heel-raise-left-straight';
  await page.goto(server.url);
  const {id} = (await api(page, 'POST', '/api/visits', {code: 'R-071', date: '2026-03-02'})).body;
  await page.goto(`${server.url}/#/visit/${id}/${slot}`);
  await page.locator('.drop input[type=file]').setInputFiles(made('pale.mp4'));
  await page.getByRole('button', {name: 'Set sticker or scale by hand'}).click({timeout: 60_000});
  const picture = page.locator('.first-frame svg');
  await picture.waitFor();
  await accessible(page, 'set by hand');
  const measure = page.getByRole('dialog').getByRole('button', {name: 'Measure so'});
  assert.ok(await measure.isDisabled(), 'nothing is set yet');
  const truth = JSON.parse(readFileSync(made('pale.truth.json'), 'utf8'));
  const [x, y] = ['heel_x_px', 'heel_y_px'].map(name => truth.frames[0][truth.frame_columns.indexOf(name)]);
  const clickAt = async (at_x, at_y) => {
    const box = await picture.boundingBox();
    await page.mouse.click(box.x + ((at_x + 0.5) / truth.width_px) * box.width, box.y + ((at_y + 0.5) / truth.height_px) * box.height);
  };
  await page.locator('label', {hasText: 'heel sticker'}).click();
  await clickAt(x, y);
  await page.locator('label', {hasText: 'scale, two points'}).click();
  await clickAt(100, 300);
  await clickAt(240, 300);
  assert.ok(await measure.isDisabled(), 'the length is wanted');
  await page.getByLabel('Length between the two points').fill('20');
  await page.screenshot({path: join(pictures, 'point-1440-light.png')});
  await measure.click();
  await page.locator('.headline b').waitFor({timeout: 90_000});
  const options = (await json(page, `/api/visits/${id}`)).tests[slot].options;
  assert.ok(Math.hypot(options.heel_px[0] - x, options.heel_px[1] - y) < 1.5, `${options.heel_px} for ${x}, ${y}`);
  assert.ok(Math.abs(options.px_per_cm - 7) < 0.1, String(options.px_per_cm));
  const result = await json(page, `/api/visits/${id}/tests/${slot}/files/result.json`);
  assert.deepEqual([result.sticker.found_by, result.scale.from, result.heel_raise.count], ['hand', 'given', 3]);
  await page.getByText('Measure it another way').click();
  await page.getByText('Set by hand: heel sticker').waitFor();
  await accessible(page, 'measured as set by hand');
  sound();
});
