// A clip from a phone: the code on the screen, the phone's own page, the line that breaks, what is refused.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {join} from 'node:path';
import {readFileSync} from 'node:fs';
import {server, chrome, standBeside, serve, open, accessible, fits, clip, json, pictures} from './helpers.mjs';

standBeside(() => serve({words: ['--lan']}));

const here = () => server.url.replace(/\/\/[^:/]+/, '//localhost');
const code = () => [...server.said().matchAll(/^code\s+(\S.*)$/gm)].at(-1)[1].trim();  // a used one is followed by the next

test('a phone hands a clip in and the desk sees the result', async () => {
  const desk = await open(chrome);
  await desk.page.goto(here());
  await desk.page.getByLabel('Code', {exact: true}).fill('0000-0000');
  await desk.page.getByRole('button', {name: 'Enter'}).click();
  await desk.page.getByRole('alert').waitFor();
  await accessible(desk.page, 'a wrong code');
  await desk.page.waitForTimeout(2500);
  await desk.page.getByLabel('Code', {exact: true}).fill(code());
  await desk.page.getByRole('button', {name: 'Enter'}).click();
  await desk.page.getByLabel('Person\'s code').fill('R-050');
  await desk.page.getByRole('button', {name: 'Begin the visit'}).click();
  await desk.page.getByRole('heading', {level: 1, name: 'R-050'}).waitFor();
  const id = desk.page.url().split('/').pop();
  await desk.page.goto(`${here()}/#/visit/${id}/heel-raise-left-straight`);
  await desk.page.getByRole('button', {name: 'From a phone'}).click();
  await desk.page.locator('.qr').waitFor();
  await accessible(desk.page, 'the code for a phone');
  await desk.page.screenshot({path: join(pictures, 'phone-code-1440-light.png')});
  const url = new URL(await desk.page.locator('.phone-url').getAttribute('href'));
  url.hostname = 'localhost';
  url.port = new URL(server.url).port;

  // The phone: a stranger to the desk's session, small, and its line breaks once.
  const phone = await open(chrome, {viewport: {width: 390, height: 844}, isMobile: true, hasTouch: true});
  await phone.page.goto(url.href);
  await phone.page.getByRole('heading', {level: 1, name: /left/}).waitFor();
  assert.equal(new URL(phone.page.url()).hash, '', 'the ticket does not stay in the address');
  await fits(phone.page, 'phone');
  await accessible(phone.page, 'phone');
  await phone.page.screenshot({path: join(pictures, 'phone-390-light.png'), fullPage: true});
  for (const name of ['Film now', 'Choose a clip']) {
    const box = await phone.page.getByRole('button', {name}).boundingBox();
    assert.ok(box.height >= 56 && box.width > 300, `${name} is a big button`);
  }
  const peeked = await phone.page.evaluate(async () => (await fetch('/api/visits')).status);
  assert.equal(peeked, 401, 'a ticket opens nothing else');
  await phone.page.locator('input[type=file]').last().setInputFiles(clip('left-straight.mp4'));
  await phone.page.getByText('The clip has arrived.').waitFor({timeout: 60_000});
  await accessible(phone.page, 'phone, through');

  await desk.page.locator('.headline b').waitFor({timeout: 180_000});
  const result = await json(desk.page, `/api/visits/${id}/tests/heel-raise-left-straight/files/result.json`);
  assert.equal(await desk.page.locator('.headline b').textContent(), String(result.heel_raise.count));
  const {createHash} = await import('node:crypto');
  assert.equal(result.clip.sha256, createHash('sha256').update(readFileSync(clip('left-straight.mp4'))).digest('hex'), 'byte for byte');

  // Used up: the same picture lets nothing in again.
  const again = await open(chrome, {viewport: {width: 390, height: 844}});
  await again.page.goto(url.href);
  await again.page.waitForTimeout(800);
  const second = await again.page.evaluate(async ticket => {
    const answer = await fetch('/api/phone/upload', {method: 'POST', headers: {'X-Risetrace': 'page', 'X-Ticket': ticket, 'Content-Type': 'application/json'}, body: JSON.stringify({name: 'x.mp4', size: 5})});
    return answer.status;
  }, url.hash.slice(1));
  assert.equal(second, 401);
  desk.sound();
  phone.sound();
});

test('an upload goes on where the line broke', async () => {
  const {page, sound} = await open(chrome);
  await page.goto(here());
  await page.getByLabel('Code', {exact: true}).fill(code());
  await page.getByRole('button', {name: 'Enter'}).click();
  await page.getByLabel('Person\'s code').fill('R-051');
  await page.getByRole('button', {name: 'Begin the visit'}).click();
  await page.getByRole('heading', {level: 1, name: 'R-051'}).waitFor();
  const id = page.url().split('/').pop();
  await page.goto(`${here()}/#/visit/${id}/hop-both`);
  await page.getByRole('button', {name: 'Choose a clip'}).waitFor();
  // Nine megabytes that are no film: it is the way that is looked at. The second piece is lost on the way, twice.
  const offsets = [];
  let lost = 0;
  await page.route('**/api/uploads/**', async route => {
    const request = route.request();
    if (request.method() === 'PUT') {
      const offset = Number(new URL(request.url()).searchParams.get('offset'));
      offsets.push(offset);
      if (offset > 0 && lost < 2) {
        lost++;
        return route.abort('connectionreset');
      }
    }
    await route.continue();
  });
  await page.locator('.drop input[type=file]').setInputFiles({name: 'long.mp4', mimeType: 'video/mp4', buffer: Buffer.alloc(9 * 1024 * 1024, 7)});
  await page.locator('section[aria-labelledby=clip]').getByRole('alert').waitFor({timeout: 90_000});
  const piece = 4 * 1024 * 1024;
  assert.deepEqual(offsets, [0, piece, piece, piece, 2 * piece]);
  sound();
});
