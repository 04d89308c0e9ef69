// A whole visit as a clinician does it, from the questions to the papers and the record.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {server, chrome, standBeside, serve, open, accessible, newVisit, json, clip} from './helpers.mjs';

standBeside(() => serve());

const truth = name => JSON.parse(readFileSync(clip(`${name}.truth.json`), 'utf8'));

test('from the questions to the papers and the record', async () => {
  const {page, sound} = await open(chrome);
  const id = await newVisit(page, server.url, 'R-017');

  await page.getByRole('button', {name: 'All the others: asked, no'}).click();
  await page.getByText('all asked').waitFor();
  await page.getByLabel('Body mass').fill('61.5');
  await page.getByLabel('Affected side').selectOption('right');
  const lunge = page.locator('#lunge');
  await lunge.getByRole('group', {name: /Left/}).getByLabel('Knee to wall').fill('11.5');
  await lunge.getByRole('group', {name: /Right/}).getByLabel('Knee to wall').fill('11,0');
  const straight = page.locator('#heel-raise-straight');
  await page.waitForFunction(() => document.querySelector('.saving').textContent === 'Saved');

  // One side by the picker on its own page, the other dropped on the card.
  await straight.getByRole('group', {name: /Left/}).getByRole('link', {name: /Open/}).click();
  await page.getByRole('heading', {level: 1, name: /knee straight, left/}).waitFor();
  await page.getByLabel('Before', {exact: true}).fill('0');
  await page.getByLabel('Worst', {exact: true}).fill('2');
  await page.locator('.drop input[type=file]').setInputFiles(clip('left-straight.mp4'));
  await page.getByRole('progressbar').waitFor();
  await page.locator('.headline b').waitFor({timeout: 180_000});
  const result = await json(page, `/api/visits/${id}/tests/heel-raise-left-straight/files/result.json`);
  assert.equal(await page.locator('.headline b').textContent(), String(result.heel_raise.count), 'shown as measured');
  const made = truth('left-straight');
  const madeCount = made.count ?? made.reps?.filter?.(rep => rep.counted !== false).length;
  if (typeof made.count === 'number') assert.equal(result.heel_raise.count, madeCount);
  assert.ok((await page.locator('.numbers').textContent()).includes(result.heel_raise.reference_height_cm.toFixed(1)));
  await page.locator('.plot-box canvas').waitFor();
  await accessible(page, 'a test with its result');

  await page.getByRole('link', {name: /Visit of R-017/}).click();
  const bytes = readFileSync(clip('right-straight.mp4')).toString('base64');
  const dropped = await page.evaluateHandle(base64 => {
    const raw = Uint8Array.from(atob(base64), one => one.charCodeAt(0));
    const all = new DataTransfer();
    all.items.add(new File([raw], 'right-straight.mp4', {type: 'video/mp4'}));
    return all;
  }, bytes);
  await straight.getByRole('group', {name: /Right/}).dispatchEvent('drop', {dataTransfer: dropped});
  await straight.getByRole('group', {name: /Right/}).locator('.headline b').waitFor({timeout: 180_000});

  await page.getByRole('button', {name: 'Compare and read'}).click();
  await page.locator('.finding').first().waitFor({timeout: 120_000});
  const screen = await json(page, `/api/visits/${id}/screen/screen.json`);
  assert.equal(screen.session.person.mass_kg, 61.5);
  assert.equal(screen.results.find(one => one.test === 'lunge' && one.side === 'right').values.knee_to_wall_cm, 11, 'a comma is a decimal mark');
  assert.equal(await page.locator('.finding.left, .finding.right, .finding.both').count(), screen.reading.findings.length);
  const row = screen.comparison.sides.find(one => one.quantity === 'reps' && one.knee === 'straight');
  const cells = await page.locator('tr', {has: page.locator('th', {hasText: /^Reps$/})}).first().locator('td').allTextContents();
  assert.deepEqual([cells[0], cells[1]].map(text => Number(text.match(/\d+/)[0])), [row.left.value, row.right.value]);
  await accessible(page, 'a visit with its reading');

  for (const name of ['For the clinician (PDF)', 'For the runner (PDF)']) {
    const path = await page.getByRole('link', {name}).getAttribute('href');
    const head = await page.evaluate(async where => {
      const answer = await fetch(where);
      return [answer.status, answer.headers.get('content-type'), (await answer.text()).slice(0, 5)];
    }, path);
    assert.deepEqual(head, [200, 'application/pdf', '%PDF-']);
  }

  await page.getByRole('button', {name: 'Keep in the record'}).click();
  await page.getByText('Kept in the record on this machine.').waitFor({timeout: 60_000});
  sound();
});

test('a clip in which nothing can be measured says why, where one looks', async () => {
  const {page, sound} = await open(chrome);
  const id = await newVisit(page, server.url, 'R-020');
  await page.goto(`${server.url}/#/visit/${id}/heel-raise-left-straight`);
  await page.locator('.drop input[type=file]').setInputFiles({name: 'no-clip.mp4', mimeType: 'video/mp4', buffer: Buffer.from('this is no film')});
  const alert = page.locator('section[aria-labelledby=clip]').getByRole('alert');
  await alert.waitFor({timeout: 60_000});
  assert.ok((await alert.textContent()).length > 30);
  await accessible(page, 'a test that failed');
  sound();
});

test('measuring is stopped, taken up again, and done another way', async () => {
  const {page, sound} = await open(chrome);
  const id = await newVisit(page, server.url, 'R-021');
  const slot = 'heel-raise-right-straight';
  await page.goto(`${server.url}/#/visit/${id}/${slot}`);
  await page.locator('.drop input[type=file]').setInputFiles(clip('right-straight.mp4'));
  await page.getByRole('progressbar', {name: 'Measuring'}).waitFor({timeout: 30_000});
  await page.getByRole('button', {name: 'Stop'}).click();
  await page.getByRole('button', {name: 'Measure again'}).waitFor({timeout: 30_000});
  assert.equal((await json(page, `/api/visits/${id}`)).tests[slot].state, 'cancelled');
  await page.getByRole('button', {name: 'Measure again'}).click();
  await page.locator('.headline b').waitFor({timeout: 180_000});
  const {count_at} = (await json(page, `/api/visits/${id}/tests/${slot}/files/result.json`)).heel_raise;
  assert.notEqual(count_at['0.90'], count_at['0.75']);
  assert.equal(await page.locator('.headline b').textContent(), String(count_at['0.75']));

  await page.getByText('Measure it another way').click();
  await page.getByLabel(/A rep is low under/).fill('0,9');
  await page.getByRole('button', {name: 'Measure so'}).click();
  await page.waitForFunction(count => document.querySelector('.headline b')?.textContent === count, String(count_at['0.90']), {timeout: 180_000});
  await accessible(page, 'measured another way');
  sound();
});
