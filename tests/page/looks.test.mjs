// Every page at three widths, light and dark, in both languages: nothing serious for axe, nothing wider than the window.
// The pictures are for people to look at: build/page/.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {join} from 'node:path';
import {server, chrome, standBeside, open, accessible, fits, pictures} from './helpers.mjs';
import {serveMeasured} from './measured.mjs';

let id;
standBeside(async () => {
  const measured = await serveMeasured();
  id = measured.id;
  return measured;
});

const pages = () => ({
  start: ['/', '.start-grid'], visit: [`/#/visit/${id}`, '.finding'], test: [`/#/visit/${id}/heel-raise-left-straight`, '.plot-box canvas'],
  hops: [`/#/visit/${id}/hop-both`, '.plot-box canvas'], empty: [`/#/visit/${id}/heel-raise-right-straight`, '.drop'],
  live: [`/#/visit/${id}/heel-raise-left-straight/live`, '.live-grid'], review: [`/#/visit/${id}/heel-raise-left-straight/review`, '.review-trace canvas'],
  people: ['/#/people', '.list-main'], person: ['/#/people/R-090', '.trend canvas'], quick: ['/#/quick', '.drop'], enter: ['/enter', 'form']});

for (const [width, scheme, locale] of [[390, 'light', 'de-DE'], [390, 'dark', 'en-GB'], [820, 'light', 'en-GB'], [820, 'dark', 'de-DE'], [1440, 'light', 'en-GB'], [1440, 'dark', 'de-DE']]) {
  test(`${width} px, ${scheme}, ${locale}`, async () => {
    const {page, sound, context} = await open(chrome, {viewport: {width, height: 900}, colorScheme: scheme, locale, reducedMotion: 'reduce'});
    const lesser = new Set();
    for (const [name, [path, wanted]] of Object.entries(pages())) {
      await page.goto(`${server.url}${path}`);
      await page.locator(wanted).first().waitFor({timeout: 20_000});
      await page.waitForTimeout(150);
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
