// The record: a second visit, trends, a kept visit opened again, export, erase; and one clip of somebody alone.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {server, chrome, standBeside, serve, open, accessible, newVisit, api, json, clip} from './helpers.mjs';

standBeside(() => serve());

// A visit of typed-in numbers, kept.
async function keepVisit(page, code, date, reps) {
  const {body: made} = await api(page, 'POST', '/api/visits', {code, date});
  const questions = (await api(page, 'GET', '/api/cautions')).body.questions;
  await api(page, 'PATCH', `/api/visits/${made.id}`, {revision: made.revision, session: {
    cautions: Object.fromEntries(questions.map(one => [one.key, 'no'])),
    tests: ['left', 'right'].map((side, n) => ({test: 'heel-raise', side, knee: 'straight', by_hand: {reps: reps[n]}}))}});
  await page.goto(`${server.url}/#/visit/${made.id}`);
  await page.getByRole('button', {name: 'Compare and read'}).click();
  await page.locator('.finding').first().waitFor({timeout: 60_000});
  await page.getByRole('button', {name: 'Keep in the record'}).click();
  await page.getByText('Kept in the record on this machine.').waitFor({timeout: 60_000});
}

test('trends of two visits, a kept one opened again, export and erase', async () => {
  const {page, sound} = await open(chrome);
  await page.goto(server.url);
  await keepVisit(page, 'R-060', '2026-01-12', [22, 6]);
  await keepVisit(page, 'R-060', '2026-03-09', [24, 27]);

  await page.getByRole('link', {name: 'People', exact: true}).click();
  await page.getByLabel('Search by code').fill('r-06');
  await page.getByRole('link', {name: /R-060/}).click();
  await page.getByRole('heading', {level: 1, name: 'R-060'}).waitFor();
  await page.locator('.trend canvas').first().waitFor();
  const screen = await json(page, '/api/people/R-060/visits/2026-03-09/screen.json');
  assert.equal(await page.locator('.trend').count(), screen.trends.length);
  const right = screen.trends.find(one => one.quantity === 'reps' && one.side === 'right');
  const box = page.locator('.trend', {hasText: 'Reps, Heel raises, knee straight, right'});
  const words = {changed: right.better ? 'changed for the better' : 'changed', 'not-changed': 'not changed', 'cannot-tell': 'cannot tell'};
  assert.match(await box.textContent(), new RegExp(words[right.verdict]));
  await accessible(page, 'a person with trends');

  await page.getByText('9 March 2026', {exact: true}).first().click();
  await page.getByRole('button', {name: /Open it again/}).first().click();
  await page.getByRole('heading', {name: 'Keep and print'}).waitFor();
  await page.locator('#heel-raise-straight').getByRole('group', {name: /Right/}).getByLabel('Reps').fill('28');
  const stale = page.getByText('Something was changed since.');  // the open copy, with the papers of before
  await stale.waitFor();
  await page.getByRole('button', {name: 'Read anew'}).click();
  await stale.waitFor({state: 'detached'});
  await page.locator('.finding').first().waitFor({timeout: 60_000});
  await page.getByRole('button', {name: 'Keep in the record'}).click();
  await page.locator('#keep').getByRole('alert').waitFor({timeout: 60_000});
  await page.getByLabel('Why is it replaced?').fill('counted again');
  await page.getByRole('button', {name: 'Replace the kept one'}).click();
  await page.getByText('Kept in the record on this machine.').waitFor({timeout: 60_000});

  await page.goto(`${server.url}/#/people/R-060`);
  await page.getByRole('button', {name: 'Export'}).click();
  await page.getByLabel('Passphrase', {exact: true}).fill('three blue boats');
  await page.getByLabel('Passphrase again').fill('three blue boats');
  await accessible(page, 'export');
  const coming = page.waitForEvent('download');
  await page.getByRole('button', {name: 'Save sealed'}).click();
  const file = readFileSync(await (await coming).path());
  assert.ok(file.length > 500 && !file.includes('R-060'), 'sealed: the code is not to be read in it');
  await page.getByRole('dialog').getByText('Close', {exact: true}).click();

  await page.getByRole('button', {name: 'Erase'}).click();
  const erase = page.getByRole('button', {name: 'Erase for good'});
  assert.ok(await erase.isDisabled());
  await page.getByLabel(/Type the code again/).fill('R-06');
  assert.ok(await erase.isDisabled(), 'not before the whole code stands there');
  await page.getByLabel(/Type the code again/).fill('R-060');
  await erase.click();
  await page.getByText('This is the receipt.').waitFor();
  await accessible(page, 'the receipt');
  assert.deepEqual(await json(page, '/api/people'), []);
  sound();
});

test('a training log is typed in and read', async () => {
  const {page, sound} = await open(chrome);
  const id = await newVisit(page, server.url, 'R-061');
  await page.locator('#log summary').click();
  await page.getByLabel('Reps of each set').fill('15 15 x');
  await page.getByRole('button', {name: 'Add the day'}).click();
  await page.getByText('One to twenty whole numbers').waitFor();
  await page.getByLabel('Reps of each set').fill('15 15 14');
  await page.getByLabel('Pain in training').fill('2');
  await page.getByLabel('Pain next morning').fill('0');
  await page.getByRole('button', {name: 'Add the day'}).click();
  await page.waitForFunction(() => document.querySelector('.saving').textContent === 'Saved');
  const {session} = await json(page, `/api/visits/${id}`);
  assert.deepEqual(session.training_log.days[0].sets, [{reps: 15}, {reps: 15}, {reps: 14}]);
  assert.deepEqual([session.training_log.days[0].pain_during, session.training_log.days[0].pain_next_morning], [2, 0]);
  await accessible(page, 'a training log');
  sound();
});

test('one clip of somebody alone: result and video, then nothing is left', async () => {
  const {page, sound} = await open(chrome);
  await page.goto(`${server.url}/#/quick`);
  const tops = await Promise.all(['.notice.first', '.drop', '.beat-line', '.setup'].map(async where => (await page.locator(where).boundingBox()).y));
  assert.ok(tops.slice(1).every(top => top > tops[0]), 'cautions stand before everything else');
  await page.locator('label', {hasText: 'Right'}).click();
  await page.locator('.drop input[type=file]').setInputFiles(clip('right-straight.mp4'));
  await page.locator('.headline b').waitFor({timeout: 240_000});
  const id = page.url().split('/').pop();
  const result = await json(page, `/api/visits/${id}/tests/heel-raise-right-straight/files/result.json`);
  assert.equal(result.asked.side, 'right');
  assert.equal(await page.locator('.headline b').textContent(), String(result.heel_raise.count));
  const seconds = await page.locator('video').evaluate(video => new Promise((resolve, reject) => {
    if (video.readyState >= 1) return resolve(video.duration);
    video.onloadedmetadata = () => resolve(video.duration);
    video.onerror = () => reject(new Error(`the video cannot be played: ${video.error?.message}`));
  }));
  assert.ok(seconds > 5, `${seconds} s of video`);
  await accessible(page, 'one clip');
  await page.getByRole('button', {name: 'Close and delete'}).click();
  await page.locator('.drop').waitFor();
  const gone = await page.evaluate(async where => (await fetch(where)).status, `/api/visits/${id}`);
  assert.equal(gone, 404);
  sound();
});
