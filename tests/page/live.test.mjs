// A set recorded with the browser's own camera, whose film is rendered: what is said while it runs is what the recording gives.
import {test, before, after} from 'node:test';
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {browser, serve, open, accessible, fits, newVisit, json, api, program, pictures} from './helpers.mjs';

const folder = mkdtempSync(join(tmpdir(), 'risetrace-live-'));
const films = {low: join(folder, 'low.y4m'), pause: join(folder, 'pause.y4m')};
const slot = 'heel-raise-left-straight';

// Standing long enough for the button to be pressed, three good reps, then what ends the set, and standing again.
const scene = heights => ({
  schema: 'risetrace/scene/1', seed: 5,
  camera: {width_px: 640, height_px: 360, fps: 60, px_per_cm: 7, height_cm: 22, exposure_s: 0.006, noise_grey: 0.4},
  movement: {lead_in_s: 4, tail_s: 8, reps: heights.map(height_cm => ({height_cm, up_s: 0.7, down_s: 0.7}))}});

const camera = film => ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream', `--use-file-for-fake-video-capture=${film}`];

// The page's clock begins with the recording, as the clip's does.
const within = (said_s, result) => {
  const after_s = said_s - result.heel_raise.set_end.t_s;
  console.log(`said ${after_s.toFixed(3)} s after the deciding moment; ${result.clip.frame_rate_hz.toFixed(1)} frames a second, ${result.clip.frames_missing} of ${result.clip.frames} missing`);
  assert.ok(after_s < 0.5, `said ${after_s} s after the deciding moment`);
};

let server;
before(async () => {
  for (const [name, heights] of [['low', [9.5, 9.2, 9.0, 6.1, 5.9]], ['pause', [9.5, 9.2, 9.0]]]) {
    writeFileSync(join(folder, 'set.json'), JSON.stringify(scene(heights)));
    execFileSync(program, ['synth', join(folder, 'set.json'), '--quiet', '--out', join(folder, 'set.mp4')]);
    execFileSync('ffmpeg', ['-v', 'error', '-y', '-i', join(folder, 'set.mp4'), '-pix_fmt', 'yuv420p', films[name]]);
  }
  server = await serve();
});
after(async () => {
  await server?.end();
  rmSync(folder, {recursive: true, force: true});
});

test('the end of the set is said within half a second, and is that of the recording', async () => {
  const chrome = await browser(...camera(films.low));
  try {
    const {page, sound} = await open(chrome);
    const id = await newVisit(page, server.url, 'L-001');
    await page.goto(`${server.url}/#/visit/${id}/${slot}/live`);
    await page.getByRole('button', {name: 'Open the camera'}).click();
    await page.getByText('The camera gives 640 × 360').waitFor();
    await accessible(page, 'the camera is open');
    await page.getByRole('button', {name: 'Record the set'}).click();
    await page.getByText('Go. The first rise').waitFor({timeout: 30_000});
    await page.locator('.live-low').waitFor({timeout: 60_000});
    const end = page.locator('.live-end');
    await end.waitFor({timeout: 60_000});
    const said_s = Number(await end.getAttribute('data-said-s'));
    assert.match(await end.textContent(), /The height is lost.*3 reps/);
    await page.screenshot({path: join(pictures, 'live-end.png')});
    await accessible(page, 'the set is over');
    await fits(page, 'the set is over');
    await page.getByRole('button', {name: 'Stop and measure'}).click();
    await page.getByText('Both say the same.').waitFor({timeout: 120_000});
    const result = await json(page, `/api/visits/${id}/tests/${slot}/files/result.json`);
    assert.equal(result.heel_raise.count, 3);
    assert.equal(result.heel_raise.set_end.why, 'low-height');
    assert.equal(await page.locator('[data-told]').getAttribute('data-told'), '3');
    within(said_s, result);
    await page.screenshot({path: join(pictures, 'live-after.png'), fullPage: true});
    await accessible(page, 'the recording is measured');
    sound();
  } finally {
    await chrome.close();
  }
});

test('so is the end by a pause, for somebody alone in German', async () => {
  const chrome = await browser(...camera(films.pause));
  try {
    const {page, sound} = await open(chrome, {locale: 'de-DE'});
    await page.goto(`${server.url}/#/quick`);
    await page.getByRole('button', {name: 'Live aufnehmen'}).click();
    await page.waitForURL(/#\/quick\/[0-9a-f]{32}\/heel-raise-left-straight\/live$/);
    const id = page.url().split('/').at(-3);
    await page.getByRole('button', {name: 'Kamera öffnen'}).click();
    await page.getByRole('button', {name: 'Satz aufnehmen'}).click();
    const end = page.locator('.live-end');
    await end.waitFor({timeout: 60_000});
    assert.match(await end.textContent(), /rechtzeitig kein Heben.*3 Wiederholungen/);
    const said_s = Number(await end.getAttribute('data-said-s'));
    await page.getByRole('button', {name: 'Beenden und messen'}).click();
    await page.getByText('Beide sagen dasselbe.').waitFor({timeout: 120_000});
    const result = await json(page, `/api/visits/${id}/tests/${slot}/files/result.json`);
    assert.equal(result.heel_raise.set_end.why, 'pause');
    within(said_s, result);
    await page.getByRole('link', {name: 'Zum Ergebnis'}).click();  // as with a clip: the numbers and the video
    await page.locator('video').waitFor();
    assert.equal(await page.locator('.headline b').textContent(), '3');
    await page.getByRole('button', {name: 'Schließen und löschen'}).click();
    await page.getByRole('button', {name: 'Live aufnehmen'}).waitFor();
    sound();
  } finally {
    await chrome.close();
  }
});

test('while the server is gone the recording goes on; nothing of it is lost', async () => {
  const chrome = await browser(...camera(films.low));
  try {
    const {page, context, sound} = await open(chrome);
    const id = await newVisit(page, server.url, 'L-005');
    await page.goto(`${server.url}/#/visit/${id}/${slot}/live`);
    await page.getByRole('button', {name: 'Open the camera'}).click();
    await page.getByRole('button', {name: 'Record the set'}).click();
    await page.locator('.live-count[data-count="1"]').waitFor({timeout: 60_000});
    await context.setOffline(true);
    await page.getByText('risetrace does not answer').waitFor({timeout: 10_000});
    await page.waitForTimeout(1500);
    await context.setOffline(false);
    await page.locator('.live-end').waitFor({timeout: 60_000});
    await page.getByRole('button', {name: 'Stop and measure'}).click();
    await page.getByText('Both say the same.').waitFor({timeout: 120_000});
    const result = await json(page, `/api/visits/${id}/tests/${slot}/files/result.json`);
    assert.equal(result.heel_raise.count, 3);
    sound();
  } finally {
    await chrome.close();
  }
});

test('a camera that is not there, refused, or in use elsewhere is said in plain words', async () => {
  const chrome = await browser();
  try {
    const {page, sound} = await open(chrome);
    const id = await newVisit(page, server.url, 'L-002');
    await page.goto(`${server.url}/#/visit/${id}/${slot}/live`);
    await page.getByRole('button', {name: 'Open the camera'}).click();
    await page.getByText('There is no camera').waitFor({timeout: 20_000});
    await accessible(page, 'no camera');
    await page.setViewportSize({width: 390, height: 844});
    await fits(page, 'no camera, on a phone');
    await page.screenshot({path: join(pictures, 'live-phone.png'), fullPage: true});
    // The names that browsers give these (Media Capture and Streams, getUserMedia).
    for (const [name, words] of [['NotAllowedError', 'told not to give the camera'], ['NotReadableError', 'in use by another program'], ['NotFoundError', 'There is no camera']]) {
      await page.evaluate(error => {
        navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', error));
      }, name);
      await page.getByRole('button', {name: 'Open the camera'}).click();
      await page.locator('.live-said').getByText(words).waitFor();
      await page.getByRole('button', {name: 'Open the camera'}).waitFor();
    }
    await page.goto(`${server.url}/#/visit/${id}/hop-left/live`);
    await page.getByText('Only heel raises are measured while they are filmed').waitFor();
    sound();
  } finally {
    await chrome.close();
  }
});

test('the cautions come first, whichever way the camera is come to', async () => {
  const chrome = await browser();
  try {
    const {page, sound} = await open(chrome);
    const id = await newVisit(page, server.url, 'L-006');
    const {revision} = await json(page, `/api/visits/${id}`);
    await page.goto(`${server.url}/#/visit/${id}/${slot}/live`);
    await page.getByRole('link', {name: 'Ask them first'}).waitFor();
    assert.equal((await api(page, 'PATCH', `/api/visits/${id}`, {revision, session: {cautions: {pop: 'yes'}}})).status, 200);
    await page.getByText('Refer the same day').first().waitFor();
    await accessible(page, 'a caution above the camera');
    await page.screenshot({path: join(pictures, 'live-caution.png'), fullPage: true});
    await page.getByRole('link', {name: 'Ask them first'}).click();
    await page.getByRole('heading', {name: 'Cautions'}).first().waitFor();
    sound();
  } finally {
    await chrome.close();
  }
});

test('a camera that is unplugged ends the recording, which is measured as far as it goes', async () => {
  const chrome = await browser(...camera(films.low));
  try {
    const {page, sound} = await open(chrome);
    const id = await newVisit(page, server.url, 'L-003');
    await page.goto(`${server.url}/#/visit/${id}/${slot}/live`);
    await page.getByRole('button', {name: 'Open the camera'}).click();
    await page.getByRole('button', {name: 'Record the set'}).click();
    await page.locator('.live-count[data-count="1"]').waitFor({timeout: 60_000});
    // Another tab in front: the page cannot know what it misses, and says so.
    await page.evaluate(() => {
      Object.defineProperty(document, 'hidden', {get: () => true, configurable: true});
      document.dispatchEvent(new Event('visibilitychange'));
    });
    await page.getByText('out of sight while it recorded').waitFor();
    await page.locator('.live-count[data-count="2"]').waitFor({timeout: 60_000});
    // What a pulled plug does to a page: its track ends.
    await page.evaluate(() => document.querySelector('video').srcObject.getVideoTracks()[0].dispatchEvent(new Event('ended')));
    await page.getByText('The camera has gone').waitFor();
    await page.getByRole('heading', {name: 'The recording'}).waitFor({timeout: 30_000});
    await page.locator('[data-measured]').waitFor({timeout: 120_000});
    assert.equal(await page.locator('[data-measured]').getAttribute('data-measured'), await page.locator('[data-told]').getAttribute('data-told'));
    sound();
  } finally {
    await chrome.close();
  }
});
