// Two windows on one visit; the server gone for a while.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {server, chrome, standBeside, serve, open, accessible, newVisit, saved, json} from './helpers.mjs';

standBeside(() => serve());

test('two windows: other fields go on side by side, the same field is asked about and nothing typed is lost', async () => {
  const one = await open(chrome);
  const two = await open(chrome);
  const id = await newVisit(one.page, server.url, 'R-030');
  await two.page.goto(`${server.url}/#/visit/${id}`);
  await two.page.getByLabel('Sport').waitFor();

  await one.page.getByLabel('Sport').fill('running');
  await two.page.getByLabel('Shoes').fill('road shoes');
  await saved(one.page);
  await saved(two.page);
  let session = (await json(one.page, `/api/visits/${id}`)).session;
  assert.deepEqual([session.person.sport, session.shoes], ['running', 'road shoes']);

  // The same field in both, before either can know: the second is held back until the first is through.
  await two.page.route('**/api/events', route => route.abort());
  await two.page.route(`**/api/visits/${id}`, async route => {
    if (route.request().method() === 'PATCH') await new Promise(resolve => setTimeout(resolve, 1500));
    await route.continue();
  });
  await two.page.getByLabel('Remark').fill('from the second');
  await one.page.getByLabel('Remark').fill('from the first');
  await saved(one.page);
  await two.page.getByText('changed in another window').waitFor();
  assert.equal(await two.page.getByLabel('Remark').inputValue(), 'from the second', 'what was typed is still there');
  await accessible(two.page, 'a clash');
  await two.page.getByRole('button', {name: 'Take the newer'}).click();
  await two.page.waitForFunction(() => [...document.querySelectorAll('input')].some(input => input.value === 'from the first'));
  session = (await json(one.page, `/api/visits/${id}`)).session;
  assert.equal(session.remark, 'from the first');
  one.sound();
  two.sound();
});

test('the server away: it is said, what was typed is saved when it is back', async () => {
  const own = await serve();
  const {page, sound} = await open(chrome);
  const id = await newVisit(page, own.url, 'R-031');
  const port = Number(new URL(own.url).port);
  await page.locator('#heel-raise-straight').getByRole('group', {name: /Left/}).locator('input[type=file]')
    .setInputFiles({name: 'no-clip.mp4', mimeType: 'video/mp4', buffer: Buffer.from('this is no film')});
  await page.locator('#heel-raise-straight').getByText('not measured').waitFor({timeout: 60_000});
  await own.stop();
  await page.getByLabel('Sport').fill('running');
  await page.getByText('does not answer').first().waitFor();
  await accessible(page, 'offline');
  const again = await serve({port, folder: own.folder});
  await page.getByText('does not answer').first().waitFor({state: 'detached', timeout: 20_000});
  await saved(page);
  const visit = await json(page, `/api/visits/${id}`);
  assert.equal(visit.session.person.sport, 'running');
  assert.equal(visit.tests['heel-raise-left-straight'].state, 'failed', 'what the tests came to is there after a restart');
  sound();
  await again.end();
});
