// With the keyboard alone; the beat's exactness; how much the first page weighs and how fast it is there.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {server, chrome, standBeside, serve, open, newVisit, api} from './helpers.mjs';

standBeside(() => serve());

const focused = page => page.evaluate(() => {
  const node = document.activeElement;
  const seen = node.matches('.choice-one input') ? node.nextElementSibling : node;
  const style = getComputedStyle(seen);
  return {tag: node.tagName, name: node.getAttribute('aria-label') ?? node.textContent?.trim() ?? '', value: node.value ?? '',
          ring: node === document.body ? 'none' : `${style.outlineStyle} ${style.outlineWidth}`};
});

// Tab until `wanted` has the focus; every stop on the way must be seen to have it.
async function tabTo(page, wanted, most = 90) {
  for (let n = 0; n < most; ++n) {
    await page.keyboard.press('Tab');
    const now = await focused(page);
    if (now.tag === 'BODY') continue;
    assert.match(now.ring, /^(solid|auto) [1-9]/, `no focus ring on ${now.tag} ${now.name}`);
    if (wanted(now)) return now;
  }
  assert.fail('not reached by Tab');
}

test('a visit is begun and questions are answered without a mouse', async () => {
  const {page, sound} = await open(chrome);
  await page.goto(server.url);
  await page.getByLabel('Person\'s code').waitFor();
  await page.keyboard.press('Tab');
  assert.equal((await focused(page)).name, 'Skip to the content');
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.id), 'main');
  await page.keyboard.press('Tab');
  await page.keyboard.type('R-040');
  await page.keyboard.press('Enter');
  await page.getByRole('heading', {level: 1, name: 'R-040'}).waitFor();
  await page.waitForFunction(() => document.activeElement.tagName === 'H1');
  await tabTo(page, now => now.value === 'not-asked');
  await page.keyboard.press('ArrowLeft');
  assert.equal((await focused(page)).value, 'no');
  await tabTo(page, now => now.name === 'All the others: asked, no');
  await page.keyboard.press('Enter');
  await page.getByText('all asked').waitFor();
  await tabTo(page, now => now.name.startsWith('Open: Heel raises, knee straight, Left'));
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.tagName === 'H1' && /knee straight, left/.test(document.activeElement.textContent));
  await tabTo(page, now => now.name === 'Choose a clip');
  let chosen = null;
  page.on('filechooser', chooser => (chosen = chooser));
  await page.waitForTimeout(500);  // the browser is told of the listener in its own time
  await page.keyboard.press('Enter');
  await page.waitForTimeout(1000);
  assert.equal(chosen?.isMultiple(), false, `no file picker at ${JSON.stringify(await focused(page))}`);
  sound();
});

test('a dialog keeps the focus and gives it back', async () => {
  const {page} = await open(chrome);
  await newVisit(page, server.url, 'R-041');
  await page.goto(server.url);
  const button = page.getByRole('button', {name: 'Discard the open visit of R-041'});
  await button.focus();
  await page.keyboard.press('Enter');
  await page.getByRole('dialog').waitFor();
  for (let n = 0; n < 6; ++n) {
    await page.keyboard.press('Tab');
    assert.ok(await page.evaluate(() => document.activeElement === document.body || document.querySelector('dialog').contains(document.activeElement)));
  }
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({state: 'detached'});
  assert.ok(await button.evaluate(node => node === document.activeElement));
});

test('the beat: every click is set to its own time on the sound clock', async () => {
  const {page} = await open(chrome);
  await page.addInitScript(() => {
    window.clicks = [];
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (at) {
      window.clicks.push([at, this.frequency.value]);
      return start.call(this, at);
    };
  });
  const id = await newVisit(page, server.url, 'R-042');
  const {protocol} = (await api(page, 'GET', '/api/about')).body;
  const play = async (slot, name, count) => {
    await page.goto(`${server.url}/#/visit/${id}/${slot}`);
    await page.evaluate(() => (window.clicks.length = 0));
    await page.getByRole('button', {name}).click();
    await page.waitForFunction(n => window.clicks.length >= n, count, {timeout: 40_000});
    await page.getByRole('button', {name: 'Stop the beat'}).click();
    return page.evaluate(() => window.clicks);
  };
  const raise = await play('heel-raise-left-straight', /Play the beat, 60 a minute/, 7);
  const period = 60 / protocol.heel_raise.beat_bpm;
  raise.forEach(([at], n) => assert.ok(Math.abs(at - raise[0][0] - n * period) < 1e-9, `click ${n}`));
  assert.ok(raise[0][1] < raise[4][1], 'four low clicks run in');

  // The hop ladder into its second step: 4 + 40 clicks at the first tempo, then the next.
  const hop = await play('hop-both', 'Play the slowing beat', 48);
  const [from, step] = ['ladder_from_per_min', 'ladder_step_per_min'].map(key => protocol.hop[key]);
  const expected = n => (n <= 44 ? (n * 60) / from : (44 * 60) / from + ((n - 44) * 60) / (from - step));
  hop.forEach(([at], n) => assert.ok(Math.abs(at - hop[0][0] - expected(n)) < 1e-9, `click ${n} of the ladder`));
  assert.equal(hop[4][1], hop[44][1], 'a high click opens each step');
  assert.ok(hop[4][1] > hop[5][1]);
});

test('the first page weighs under 100 kB and is there within three seconds on a busy machine', async () => {
  const {page, context} = await open(chrome);
  const session = await context.newCDPSession(page);
  await session.send('Network.enable');
  let bytes = 0;
  const files = [];
  session.on('Network.loadingFinished', event => (bytes += event.encodedDataLength));
  page.on('response', response => files.push(new URL(response.url()).pathname));
  const begun = Date.now();
  await page.goto(server.url);
  await page.getByRole('heading', {name: 'New visit'}).waitFor();
  const shown_ms = Date.now() - begun;
  await page.waitForTimeout(500);
  console.log(`first page: ${bytes} bytes as sent (with /api), shown after ${shown_ms} ms; ${files.filter(one => one.endsWith('.js')).length} scripts`);
  assert.ok(bytes < 100_000, `${bytes} bytes`);
  assert.ok(shown_ms < 3000, `${shown_ms} ms`);
  assert.ok(!files.some(one => /plot|visit\.js|test\.js/.test(one)), 'charts and views wait until they are wanted');
});
