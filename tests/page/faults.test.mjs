// What goes wrong between people and the page: a sending that breaks off, the wrong test said, two who type in one field.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {server, chrome, standBeside, serve, open, accessible, newVisit, saved, api, json, clip, pictures} from './helpers.mjs';
import {serveMeasured} from './measured.mjs';

standBeside(() => serve());

test('a sending that broke off is said, and its place is empty again when it is given up', async () => {
  const {page, sound} = await open(chrome);
  const id = await newVisit(page, server.url, 'R-100');
  const slot = 'heel-raise-left-straight';
  const {body: {upload}} = await api(page, 'POST', `/api/visits/${id}/tests/${slot}/upload`, {name: 'set one.mp4', size: 8_000_000});
  await page.evaluate(async where => fetch(where, {method: 'PUT', headers: {'X-Risetrace': 'page', 'Content-Type': 'application/octet-stream'}, body: new Uint8Array(4_200_000)}),
                      `/api/uploads/${upload}?offset=0`);
  const card = page.locator('#heel-raise-straight').getByRole('group', {name: /Left/});
  await card.getByRole('progressbar', {name: 'A clip is coming in'}).waitFor();
  await card.getByText('The sending broke off at 4.2 MB of 8.0 MB.').waitFor({timeout: 30_000});
  await card.getByText('set one.mp4').waitFor();
  await card.getByRole('button', {name: 'Choose a clip'}).waitFor();
  await accessible(page, 'a sending that broke off');
  await card.getByRole('button', {name: 'Drop what came'}).click();
  await card.getByText('not tested yet').waitFor();
  assert.equal((await json(page, `/api/visits/${id}`)).tests[slot].state, 'empty');

  await card.locator('input[type=file]').setInputFiles({name: 'nothing.mp4', mimeType: 'video/mp4', buffer: Buffer.alloc(0)});
  await card.getByText('This file is empty.').waitFor();
  await card.getByText('(nothing.mp4)').waitFor();
  assert.equal((await json(page, `/api/visits/${id}`)).tests[slot].state, 'empty', 'it was not sent');
  sound();
});

test('two who type in one field: the later is asked, and what was typed stays', async () => {
  const one = await open(chrome);
  const two = await open(chrome);
  const id = await newVisit(one.page, server.url, 'R-101');
  await two.page.goto(`${server.url}/#/visit/${id}`);
  await two.page.getByLabel('Remark').pressSequentially('from ');
  const typing = two.page.getByLabel('Remark').pressSequentially('the second, slowly', {delay: 120});
  await one.page.getByLabel('Remark').fill('from the first');
  await saved(one.page);
  await typing;
  await two.page.getByText('changed in another window').waitFor();
  assert.equal(await two.page.getByLabel('Remark').inputValue(), 'from the second, slowly');
  assert.equal((await json(one.page, `/api/visits/${id}`)).session.remark, 'from the first');
  await two.page.getByRole('button', {name: 'Keep mine'}).click();
  await saved(two.page);
  await one.page.waitForFunction(() => [...document.querySelectorAll('input')].some(input => input.value === 'from the second, slowly'));

  // A number that stands in a field still in use gives way to a newer one, once it was saved.
  await two.page.getByLabel('Body mass').fill('62');
  await saved(two.page);
  await one.page.waitForFunction(() => [...document.querySelectorAll('input')].some(input => input.value === '62'));
  await one.page.getByLabel('Body mass').fill('80');
  await two.page.waitForFunction(() => [...document.querySelectorAll('input')].some(input => input.value === '80'));
  one.sound();
  two.sound();
});

test('one clip: measured as another test without being sent again, then made a visit of somebody', async () => {
  const {page, sound} = await open(chrome);
  await page.goto(`${server.url}/#/quick`);
  await page.locator('.drop input[type=file]').setInputFiles(clip('right-straight.mp4'));
  await page.getByText('Measure it as another test').click();
  const section = page.getByRole('region', {name: 'Measure it as another test'});
  await section.locator('label', {hasText: 'Right'}).click();
  await section.getByRole('button', {name: 'Measure it so'}).click();
  await page.getByRole('heading', {level: 1, name: /straight, right/}).waitFor();
  await page.locator('.headline b').waitFor({timeout: 240_000});
  const quick = page.url().split('/').pop();
  const count = await page.locator('.headline b').textContent();
  const {tests} = await json(page, `/api/visits/${quick}`);
  assert.deepEqual(['heel-raise-left-straight', 'heel-raise-right-straight'].map(slot => tests[slot].state), ['empty', 'measured']);

  await page.getByRole('button', {name: 'Keep it after all'}).click();
  await page.getByLabel('Person\'s code').fill('R-102');
  await accessible(page, 'one clip made a visit');
  await page.getByRole('button', {name: 'Make it a visit'}).click();
  await page.getByRole('heading', {level: 1, name: 'R-102'}).waitFor();
  const id = page.url().split('/').pop();
  assert.equal(await page.locator('#heel-raise-straight').getByRole('group', {name: /Right/}).locator('.headline b').textContent(), count);
  assert.equal((await api(page, 'GET', `/api/visits/${quick}`)).status, 404, 'the nameless one is gone');
  await page.getByRole('button', {name: 'Keep in the record'}).click();
  await page.getByText('Kept in the record on this machine.').waitFor({timeout: 60_000});
  assert.deepEqual((await json(page, '/api/people')).map(one => one.code), ['R-102']);
  await page.goto(`${server.url}/#/`);
  await page.locator('.open-list', {hasText: 'kept'}).waitFor();
  assert.equal((await json(page, '/api/visits')).find(one => one.id === id).kept, true);
  sound();
});

test('a referral is not to be missed; dates are asked about; a year of birth fits the date', async () => {
  const {page, sound} = await open(chrome);
  await page.goto(server.url);
  await page.getByLabel('Person\'s code').fill('R-103');
  await page.getByLabel('Date of the visit').fill('');
  await page.getByRole('button', {name: 'Begin the visit'}).click();
  await page.getByText('The date is missing.').waitFor();
  await page.getByLabel('Date of the visit').fill('1999-03-02');
  await page.getByText('This day is before the year 2000.').waitFor();
  assert.ok(await page.getByRole('button', {name: 'Begin the visit'}).isDisabled());
  await page.getByLabel('The date is right').check();
  await page.getByRole('button', {name: 'Begin the visit'}).click();
  await page.getByRole('heading', {level: 1, name: 'R-103'}).waitFor();
  const {questions} = await json(page, '/api/cautions');
  const refer = questions.findIndex(one => one.means === 'refer-same-day');
  await page.locator('.question').nth(refer).locator('label', {hasText: 'Yes'}).click();
  await page.getByRole('navigation', {name: 'Steps of the visit'}).getByText('refer').waitFor();
  assert.equal(await page.locator('.visit-body > .notice.bad').count(), 1, 'before the tests');
  await page.getByLabel('Year of birth').fill('2004');
  await page.getByText(/Between 1900 and 1999/).waitFor();
  await accessible(page, 'a referral');
  await page.screenshot({path: `${pictures}/faults-refer.png`});
  await page.locator('#lunge').getByRole('group', {name: /Left/}).getByRole('link', {name: /Open/}).click();
  await page.locator('main .before-test .notice.bad', {hasText: 'Refer the same day'}).waitFor();
  sound();
});

test('what was measured once: another body mass, the same clip for both sides, a visit whose clips were not kept', async () => {
  const own = await serveMeasured();
  const {page, sound} = await open(chrome);
  await page.goto(`${own.url}/#/visit/${own.id}`);
  const straight = page.locator('#heel-raise-straight');
  await straight.getByRole('group', {name: /Left/}).locator('.headline b').waitFor();
  await page.getByLabel('Body mass').fill('80');
  await straight.getByText('for 61.5 kg; the visit says 80 kg').waitFor();

  // While a side is measured, comparing waits for it and then goes on by itself.
  const bytes = readFileSync(clip('left-straight.mp4'));
  await straight.getByRole('group', {name: /Right/}).locator('input[type=file]').setInputFiles({name: 'again the left.mp4', mimeType: 'video/mp4', buffer: bytes});
  await page.locator('#reading').getByText('Heel raises, knee straight, right: is being measured.').waitFor({timeout: 60_000});
  await page.getByRole('button', {name: 'Read anew'}).click();
  await page.locator('#reading').getByText('It goes on by itself').waitFor();
  await straight.getByRole('group', {name: /Right/}).getByText('The same clip as Heel raises, knee straight, left').waitFor({timeout: 240_000});
  await straight.getByRole('group', {name: /Right/}).getByText('(again the left.mp4)').waitFor();
  await page.locator('#reading').getByText('It goes on by itself').waitFor({state: 'detached', timeout: 60_000});
  await accessible(page, 'the same clip twice');
  await page.screenshot({path: `${pictures}/faults-twin.png`, fullPage: true});

  // A corrected count is marked wherever it stands.
  const left = `/api/visits/${own.id}/tests/heel-raise-left-straight`;
  const {heel_raise: {reps: [, , third]}} = await json(page, `${left}/files/result.json`);
  const {status} = await api(page, 'PUT', `${left}/corrections`, {instead_of: [], corrections: {schema: 'risetrace/corrections/1', corrections: [
    {what: 'take-out', at: '2026-03-02T10:00:00Z', by: 'T-1', why: 'a stumble', rep: {peak_s: third.peak_s}, before: null, after: null}]}});
  assert.equal(status, 202);
  await straight.getByRole('group', {name: /Left/}).getByText('corrected by hand').waitFor({timeout: 240_000});
  await page.locator('#reading').getByText('One clip stands for two tests.').waitFor();
  await api(page, 'DELETE', `/api/visits/${own.id}/tests/heel-raise-right-straight`);
  await page.getByRole('button', {name: 'Read anew'}).click();
  await page.locator('#reading td', {hasText: '†'}).first().waitFor({timeout: 60_000});
  await page.locator('#reading').getByText('† corrected by hand').first().waitFor();
  await accessible(page, 'a corrected count');
  await page.screenshot({path: `${pictures}/faults-corrected.png`, fullPage: true});

  await page.goto(`${own.url}/#/people/R-017`);
  await page.getByText('by hand)').first().waitFor();
  await page.getByRole('button', {name: /Open it again/}).click();
  await page.getByRole('heading', {name: 'Keep and print'}).waitFor();
  assert.ok(page.url().endsWith(own.id), 'to the open copy');
  const {body: again} = await api(page, 'POST', '/api/people/R-017/visits/2026-03-02/open');
  await page.goto(`${own.url}/#/visit/${again.id}/heel-raise-left-straight`);
  await page.locator('.headline b').waitFor();
  await page.getByText('The clip was not kept').first().waitFor();
  assert.equal(await page.getByRole('link', {name: /Go through it|Report/}).count(), 0);
  await page.screenshot({path: `${pictures}/faults-not-kept.png`, fullPage: true});

  // Somebody who was here before: the facts of then are offered.
  const {body: next} = await api(page, 'POST', '/api/visits', {code: 'R-017', date: '2026-04-01'});
  await page.goto(`${own.url}/#/visit/${next.id}`);
  await page.getByText('On 2 March 2026 was written down: female, born 1988, 168 cm, affected side: right.').waitFor();
  await page.getByRole('button', {name: 'Take over'}).click();
  await saved(page);
  const {person} = (await json(page, `/api/visits/${next.id}`)).session;
  assert.deepEqual([person.sex, person.birth_year, person.height_cm, person.affected_side, person.mass_kg ?? null], ['female', 1988, 168, 'right', null]);

  // Nothing of who was erased stays behind the receipt.
  await page.goto(`${own.url}/#/people/R-090`);
  await page.locator('.trend canvas').first().waitFor();
  await page.screenshot({path: `${pictures}/faults-trends.png`, fullPage: true});
  await page.getByRole('button', {name: 'Erase'}).click();
  await page.getByText('visits still open too').waitFor();
  await page.getByLabel(/Type the code again/).fill('R-090');
  await page.getByRole('button', {name: 'Erase for good'}).click();
  await page.getByText('This is the receipt.').waitFor();
  assert.ok(!(await page.locator('main').textContent()).includes('R-090'));
  sound();
  await own.end();
});

test('the program gone while nobody types: said, and said again when it is back', async () => {
  const own = await serve();
  const {page, sound} = await open(chrome);
  await newVisit(page, own.url, 'R-104');
  const port = Number(new URL(own.url).port);
  await own.stop();
  await page.getByText('does not answer').first().waitFor({timeout: 15_000});
  const again = await serve({port, folder: own.folder});
  await page.getByText('The program answers again.').waitFor({timeout: 20_000});
  sound();
  await again.end();
});
