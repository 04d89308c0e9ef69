// What goes wrong between people and the page: a sending that breaks off, the wrong test said, two who type in one field.
import {test, before, after} from 'node:test';
import assert from 'node:assert/strict';
import {serve, browser, open, accessible, newVisit, api, json, clip} from './helpers.mjs';

let server, chrome;
before(async () => {
  server = await serve();
  chrome = await browser();
});
after(async () => {
  await chrome?.close();
  await server?.end();
});

const saved = page => page.waitForFunction(() => document.querySelector('.saving')?.textContent === 'Saved');

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
  const typing = two.page.getByLabel('Remark').pressSequentially('from the second, slowly', {delay: 120});
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
