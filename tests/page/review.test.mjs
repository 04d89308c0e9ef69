// Going through a result: frame by frame, corrections made, kept, in the result and in the report.
import {test} from 'node:test';
import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {writeFileSync} from 'node:fs';
import {join} from 'node:path';
import {server, chrome, standBeside, open, accessible, fits, json, pictures} from './helpers.mjs';
import {serveMeasured} from './measured.mjs';

let id;
standBeside(async () => {
  const measured = await serveMeasured();
  id = measured.id;
  return measured;
});

const slot = 'heel-raise-left-straight';

async function goThrough(page, slot) {
  await page.goto(`${server.url}/#/visit/${id}/${slot}`);
  await page.getByRole('link', {name: 'Go through it, correct it'}).click();
  await page.locator('.review .review-trace canvas').waitFor({timeout: 30_000});
}

// What is pointed out is reckoned from the picture's box: it must have the picture's own shape.
async function undistorted(page) {
  await page.waitForFunction(() => document.querySelector('.review-picture video').readyState >= 1);
  const {box, own} = await page.locator('.review-picture video').evaluate(video => ({box: video.clientWidth / video.clientHeight, own: video.videoWidth / video.videoHeight}));
  assert.ok(Math.abs(box / own - 1) < 0.01, `${box} where the picture has ${own}`);
}

const isAt = (page, frame) => page.waitForFunction(n => document.querySelector('.review-picture')?.dataset.frame === String(n), frame);
const count = page => page.locator('.review-count .headline b').textContent();

async function giveReason(page, why) {
  await page.getByLabel('Reason').fill(why);
  await page.getByLabel('Who corrects').fill('T-7');
  await page.getByRole('button', {name: 'Add the correction'}).click();
  await page.getByRole('dialog').waitFor({state: 'detached'});
}

test('corrections are made, undone, kept, and the result and the report say so', async () => {
  const {page, sound} = await open(chrome);
  await goThrough(page, slot);
  await undistorted(page);
  const files = `/api/visits/${id}/tests/${slot}/files`;
  const plain = await json(page, `${files}/result.json`);
  const reps = plain.heel_raise.reps;
  await page.waitForFunction(n => document.querySelector('.review-count .headline b')?.textContent === String(n), plain.heel_raise.count);

  // Frame by frame by the keyboard, and every frame is exactly the one meant.
  await page.locator('.review-pictures').focus();
  await isAt(page, 0);
  await page.keyboard.press('ArrowRight');
  await isAt(page, 1);
  await page.keyboard.press('Shift+ArrowRight');
  await isAt(page, 11);
  await page.keyboard.press('End');
  await isAt(page, plain.clip.frames - 1);
  await page.keyboard.press('Home');
  await isAt(page, 0);
  assert.ok(Math.abs(await page.evaluate(() => document.querySelector('.review-picture video').currentTime) - 0.5 / 30) < 1e-6);
  await page.keyboard.press('n');
  await page.keyboard.press('n');
  await page.getByRole('heading', {name: 'Rep 1: peak'}).waitFor();
  await isAt(page, Math.round(reps[0].peak_s * plain.clip.frame_rate_hz));
  await page.screenshot({path: join(pictures, 'review.png')});
  await accessible(page, 'going through a result');

  // A rep taken out: asked why and by whom, counted anew at once, undone.
  await page.getByRole('button', {name: 'Take rep 1 out'}).click();
  await page.getByRole('button', {name: 'Add the correction'}).click();
  await page.getByText('Say why').waitFor();
  await accessible(page, 'asked why');
  await giveReason(page, 'a shift of weight');
  await page.waitForFunction(n => document.querySelector('.review-count .headline b').textContent === String(n), plain.heel_raise.count - 1);
  await page.getByRole('button', {name: 'Undo the last one'}).click();
  await page.waitForFunction(n => document.querySelector('.review-count .headline b').textContent === String(n), plain.heel_raise.count);

  // A handle dragged along the trace: the frame under it is shown, and letting go asks why.
  const box = await page.locator('.review-trace .u-over').boundingBox();
  const xOf = time => box.x + box.width * time / (plain.clip.frames - 1) * plain.clip.frame_rate_hz;
  await page.mouse.move(xOf(reps[4].peak_s), box.y + 0.5 * box.height);
  await page.mouse.down();
  await page.mouse.move(xOf(reps[4].peak_s) + 8, box.y + 0.5 * box.height, {steps: 4});
  await page.getByRole('heading', {name: 'Rep 5: peak'}).waitFor();
  await page.mouse.up();
  await page.getByRole('dialog').getByText(/Moved: the rep with its peak at/).waitFor();
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({state: 'detached'});
  await page.getByText('None.', {exact: true}).waitFor();

  // A peak moved by the keyboard, three frames on.
  await page.locator('.review-pictures').focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('n');
  await page.keyboard.press('n');
  for (let i = 0; i < 3; ++i) await page.keyboard.press('Alt+ArrowRight');
  await isAt(page, Math.round(reps[0].peak_s * plain.clip.frame_rate_hz) + 3);
  await page.keyboard.press('Enter');
  await giveReason(page, 'the top was later');

  // The limit, its count seen before it is taken over.
  await page.getByText('Rules and beat').click();
  await page.getByLabel('A rep is low under this part of the reference').fill('0.5');
  const at50 = plain.heel_raise.count_at['0.50'];
  await page.getByText(`would count ${at50}`).waitFor();
  await page.getByRole('button', {name: 'Take over'}).first().click();
  await giveReason(page, 'the published limit');
  await page.waitForFunction(n => document.querySelector('.review-count .headline b').textContent === String(n), at50);
  await page.screenshot({path: join(pictures, 'review-corrected.png'), fullPage: true});

  await page.getByRole('button', {name: 'Measure anew with the corrections'}).click();
  await page.locator('.review-count').waitFor({state: 'detached', timeout: 20_000});
  await page.locator('.review-count .headline b').waitFor({timeout: 300_000});
  const result = await json(page, `${files}/result.json`);
  assert.equal(result.corrections.length, 2);
  assert.deepEqual(result.corrections.map(one => [one.what, one.by]), [['move', 'T-7'], ['end-fraction', 'T-7']]);
  assert.equal(result.heel_raise.count, at50);
  assert.equal(result.automatic.count, plain.heel_raise.count);
  assert.ok(Math.abs(result.heel_raise.reps[0].peak_s - (Math.round(reps[0].peak_s * 60) + 3) / 60) < 1e-3);
  assert.equal(await count(page), String(at50));
  const report = Buffer.from(await page.evaluate(async where => Array.from(new Uint8Array(await (await fetch(where)).arrayBuffer())), `${files}/report.pdf`));
  writeFileSync(join(pictures, 'corrected.pdf'), report);
  assert.match(execFileSync('pdftotext', [join(pictures, 'corrected.pdf'), '-']).toString(), /Corrected by hand by T-7, 2 changes/);

  // The sticker pointed out and the scale by two points, by the keyboard alone.
  await page.getByText('Sticker and scale by hand').click();
  await page.getByRole('button', {name: 'Scale from two points'}).click();
  await page.locator('.review-pictures').focus();
  await page.keyboard.press('Enter');
  for (let i = 0; i < 20; ++i) await page.keyboard.press('Shift+ArrowRight');
  await page.keyboard.press('Enter');
  await page.getByLabel('True length').fill('21');
  await page.getByRole('button', {name: 'Go on'}).click();
  await giveReason(page, 'the card was bent');
  await page.getByText(/Not in this preview yet: the scale/).waitFor();
  sound();
});

test('hops: a landing moved by a frame, one taken out, close to the shoe', async () => {
  const {page, sound} = await open(chrome);
  await goThrough(page, 'hop-both');
  const {hop} = await json(page, `/api/visits/${id}/tests/hop-both/files/result.json`);
  await page.waitForFunction(n => document.querySelector('.review-count .headline b')?.textContent === String(n), hop.count);
  await page.getByText('All events').click();
  await page.getByRole('button', {name: /^Hop 5: touchdown/}).click();
  await isAt(page, hop.hops[4].touchdown_frame);
  await page.getByRole('button', {name: 'Close to the foot'}).click();
  await undistorted(page);
  await isAt(page, hop.hops[4].touchdown_frame);
  await page.screenshot({path: join(pictures, 'review-hop.png')});
  await page.locator('.review-pictures').focus();
  await page.keyboard.press('Alt+ArrowRight');
  await page.keyboard.press('Enter');
  await giveReason(page, 'the shoe touches a frame later');
  await page.getByRole('button', {name: 'Take hop 5 out'}).click();
  await giveReason(page, 'a stumble');
  await page.waitForFunction(n => document.querySelector('.review-count .headline b').textContent === String(n), hop.count - 1);
  await accessible(page, 'going through hops');
  sound();
});

test('two windows correct one result: neither takes the other\'s away', async () => {
  const files = `/api/visits/${id}/tests/${slot}/files`;
  const takeOut = async (page, rep, why) => {
    await page.getByText('All events').click();
    await page.getByRole('button', {name: new RegExp(`^Rep ${rep}: peak`)}).click();
    await page.getByRole('button', {name: `Take rep ${rep} out`}).click();
    await giveReason(page, why);
  };
  const measureAnew = async page => {
    await page.getByRole('button', {name: 'Measure anew with the corrections'}).click();
    await page.locator('.review-count').waitFor({state: 'detached', timeout: 20_000});
    await page.locator('.review-count .headline b').waitFor({timeout: 300_000});
  };
  const deaf = await open(chrome);  // hears nothing of what happens elsewhere
  const hearing = await open(chrome);
  await deaf.page.route('**/api/events', route => route.abort());
  for (const {page} of [deaf, hearing]) await goThrough(page, slot);
  const before = (await json(deaf.page, `${files}/result.json`)).corrections?.length ?? 0;
  await takeOut(hearing.page, 3, 'from the window that hears');
  await takeOut(deaf.page, 2, 'from the deaf window');

  // What is not applied yet outlives the measuring that the other window asks for.
  const {page} = await open(chrome);
  await goThrough(page, slot);
  await takeOut(page, 4, 'from a third window');
  await measureAnew(page);
  await hearing.page.getByText('in another window meanwhile').waitFor({timeout: 60_000});
  await hearing.page.getByText('from the window that hears').waitFor();
  await hearing.page.getByText('from a third window').waitFor();
  await accessible(hearing.page, 'another window corrected it');
  await hearing.page.screenshot({path: join(pictures, 'review-others.png'), fullPage: true});
  await measureAnew(hearing.page);

  // The window that hears nothing is refused, shows both and goes on.
  await deaf.page.getByRole('button', {name: 'Measure anew with the corrections'}).click();
  await deaf.page.getByText('in another window meanwhile').waitFor();
  await deaf.page.getByText('from a third window').waitFor();
  await deaf.page.getByRole('button', {name: 'Measure anew with the corrections'}).click();
  const done = async () => (await json(page, `${files}/result.json`)).corrections.slice(before).map(one => one.why);
  for (let n = 0; n < 600 && (await done()).length < 3; ++n) await page.waitForTimeout(200);
  assert.deepEqual(await done(), ['from a third window', 'from the window that hears', 'from the deaf window']);
  for (const window of [hearing, deaf]) window.sound();
});

test('fits a phone and is told in German', async () => {
  const {page, sound} = await open(chrome, {viewport: {width: 390, height: 844}, locale: 'de-DE'});
  await page.goto(`${server.url}/#/visit/${id}/${slot}/review`);
  await page.locator('.review .review-trace canvas').waitFor({timeout: 30_000});
  await fits(page, 'going through a result on a phone');
  await page.getByRole('button', {name: 'Wiederholung einfügen'}).waitFor();
  await page.screenshot({path: join(pictures, 'review-phone.png'), fullPage: true});
  await accessible(page, 'going through a result on a phone');
  sound();
});

// A minute at 240 frames a second: the trace is panned by the pointer, each picture's time measured.
test('a minute at 240 frames a second pans smoothly', async () => {
  const {page, sound} = await open(chrome);
  const rows = ['frame,time_s,x_px,y_px,seen,fit,height_cm,height_raw_cm,across_cm,rep,shank_deg,knee_deg,exact_s,exact_up_cm,exact_across_cm'];
  for (let i = 0; i < 14400; ++i) {
    const h = (5 * (1 - Math.cos(Math.PI * i / 240))).toFixed(4);
    rows.push(`${i},${(i / 240).toFixed(6)},600,500,1,0.9,${h},${h},0,,,,${i / 240},${h},0`);
  }
  await page.route('**/files/trace.csv*', route => route.fulfill({contentType: 'text/csv', body: rows.join('\r\n')}));
  await page.goto(`${server.url}/#/visit/${id}/${slot}/review`);
  await page.locator('.review .review-trace canvas').waitFor({timeout: 30_000});
  const box = await page.locator('.review-trace .u-over').boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  for (let i = 0; i < 6; ++i) await page.mouse.wheel(0, -200);
  await page.waitForTimeout(300);
  await page.evaluate(() => {
    window.gaps = [];
    window.work = [];
    let last = performance.now();
    const tick = now => {
      window.gaps.push(now - last);
      last = now;
      if (window.gaps.length < 2000) requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
    new PerformanceObserver(list => list.getEntries().forEach(entry => window.work.push(entry.duration))).observe({type: 'longtask'});
  });
  await page.mouse.move(box.x + 0.8 * box.width, box.y + 0.6 * box.height);
  await page.mouse.down();
  for (let i = 0; i < 120; ++i) await page.mouse.move(box.x + (0.8 - 0.6 * i / 120) * box.width, box.y + 0.6 * box.height);
  await page.mouse.up();
  const {gaps, work} = await page.evaluate(() => ({gaps: window.gaps.slice(2), work: window.work}));
  gaps.sort((a, b) => a - b);
  const at = share => gaps[Math.floor(share * (gaps.length - 1))];
  console.log(`panning ${gaps.length} pictures: median ${at(0.5).toFixed(1)} ms, 95 % ${at(0.95).toFixed(1)} ms, longest ${at(1).toFixed(1)} ms, long tasks ${work.length}`);
  assert.ok(at(0.5) < 34, `half of the pictures take ${at(0.5)} ms`);
  assert.ok(at(0.95) < 70, `95 % of the pictures take up to ${at(0.95)} ms`);
  sound();
});
