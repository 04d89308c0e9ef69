// Every page at three widths, light and dark, in both languages: nothing serious for axe, nothing wider than the window.
// The pictures are for people to look at: build/page/.
import {test, before, after} from 'node:test';
import assert from 'node:assert/strict';
import {join} from 'node:path';
import {serve, browser, open, accessible, fits, newVisit, api, clip, pictures} from './helpers.mjs';

let server, chrome, id;
before(async () => {
  server = await serve();
  chrome = await browser();
  const {page, context} = await open(chrome);
  id = await newVisit(page, server.url, 'R-017');
  const visit = (await api(page, 'GET', `/api/visits/${id}`)).body;
  const questions = (await api(page, 'GET', '/api/cautions')).body.questions;
  await api(page, 'PATCH', `/api/visits/${id}`, {revision: visit.revision, session: {
    person: {...visit.session.person, birth_year: 1988, sex: 'female', mass_kg: 61.5, height_cm: 168, affected_side: 'right'},
    cautions: Object.fromEntries(questions.map((one, n) => [one.key, n === 9 ? 'yes' : 'no'])),
    tests: [{test: 'lunge', side: 'left', by_hand: {knee_to_wall_cm: 11.5}}, {test: 'lunge', side: 'right', by_hand: {knee_to_wall_cm: 9}},
            {test: 'heel-raise', side: 'left', knee: 'bent', by_hand: {reps: 12}, pain: {worst: 6}}, {test: 'heel-raise', side: 'right', knee: 'bent', by_hand: {reps: 9}}]}});
  await page.goto(`${server.url}/#/visit/${id}/heel-raise-left-straight`);
  await page.locator('.drop input[type=file]').setInputFiles(clip('left-straight.mp4'));
  await page.goto(`${server.url}/#/visit/${id}/hop-both`);
  await page.locator('.drop input[type=file]').setInputFiles(clip('hops.mp4'));
  await page.locator('.headline b').waitFor({timeout: 240_000});
  await page.goto(`${server.url}/#/visit/${id}`);
  await page.getByRole('button', {name: 'Compare and read'}).click();
  await page.locator('.finding').first().waitFor({timeout: 120_000});
  await page.getByRole('button', {name: 'Keep in the record'}).click();
  await page.getByText('Kept in the record on this machine.').waitFor({timeout: 60_000});
  await context.close();
});
after(async () => {
  await chrome?.close();
  await server?.end();
});

const pages = () => ({
  start: ['/', '.start-grid'], visit: [`/#/visit/${id}`, '.finding'], test: [`/#/visit/${id}/heel-raise-left-straight`, '.plot-box canvas'],
  hops: [`/#/visit/${id}/hop-both`, '.plot-box canvas'], empty: [`/#/visit/${id}/heel-raise-right-straight`, '.drop'],
  people: ['/#/people', '.list-main'], person: ['/#/people/R-017', '.finding'], quick: ['/#/quick', '.drop'], enter: ['/enter', 'form']});

for (const [width, scheme, locale] of [[390, 'light', 'de-DE'], [390, 'dark', 'en-GB'], [820, 'light', 'en-GB'], [820, 'dark', 'de-DE'], [1440, 'light', 'en-GB'], [1440, 'dark', 'de-DE']]) {
  test(`${width} px, ${scheme}, ${locale}`, async () => {
    const {page, sound, context} = await open(chrome, {viewport: {width, height: 900}, colorScheme: scheme, locale, reducedMotion: 'reduce'});
    const lesser = new Set();
    for (const [name, [path, wanted]] of Object.entries(pages())) {
      await page.goto(`${server.url}${path}`);
      await page.reload();
      await page.locator(wanted).first().waitFor({timeout: 20_000});
      await page.waitForTimeout(300);
      const where = `${name} at ${width}, ${scheme}`;
      await page.screenshot({path: join(pictures, `${name}-${width}-${scheme}.png`), fullPage: true});
      await fits(page, where);
      for (const one of await accessible(page, where)) lesser.add(`${name}: ${one}`);
    }
    assert.deepEqual([...lesser], [], 'not even moderate or minor ones');
    sound();
    await context.close();
  });
}

test('the theme can be chosen against the system, and stays', async () => {
  const {page, context} = await open(chrome, {colorScheme: 'light'});
  await page.goto(server.url);
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const light = await ground();
  await page.getByLabel('Light or dark').selectOption('dark');
  const dark = await ground();
  assert.notEqual(light, dark);
  await page.reload();
  await page.locator('.start-grid').waitFor();
  assert.equal(await ground(), dark);
  await context.close();
});
