// Opens the report of every result folder given and tries what a reader can do with it. Prints what is wrong, a line each,
// and ends with 1 if anything is.
//
//   node tests/browser/debrief.mjs RESULT_FOLDER ...
//
// With SHOTS=FOLDER it leaves pictures of the pages there: light, dark, narrow, printed, replayed, and the top of the page as in
// the README.

import { readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { launched, opened, otherwise, unnamed } from './page.mjs';

const shots = process.env.SHOTS;
const folders = process.argv.slice(2);
const wrong = [];

const browser = await launched();

const percent = (share) => Math.round(100 * share);

for (const folder of folders) {
  const name = basename(folder);
  const tell = (what) => wrong.push(name + ': ' + what);
  const check = (holds, what) => holds || tell(what);
  const file = pathToFileURL(join(folder, 'report.html')).href;
  const debrief = JSON.parse(readFileSync(join(folder, 'debrief.json'), 'utf8'));
  const { context, page } = await opened(browser, file, { viewport: { width: 1280, height: 900 } }, tell);
  const text = (selector) => page.locator(selector).innerText();
  const box = () => page.locator('#map svg.view').getAttribute('viewBox');
  const width = async () => Number((await box()).split(' ')[2]);

  // The figures at the top are those of the debrief.
  const values = await page.locator('.figures-four .value').allInnerTexts();
  check(values.length === 4, 'not four figures');
  check(parseInt(values[0], 10) === percent(debrief.coverage.share_at_target), 'share at target: ' + values[0]);
  check(parseInt(values[1], 10) === percent(debrief.coverage.pod_band.pod), 'POD: ' + values[1]);
  const holes = debrief.strips.filter((strip) => strip.holes.length > 0).length;
  check(values[2] === holes + ' of ' + debrief.strips.length, 'strips: ' + values[2]);
  const onTask = values[3].match(/[\d:]+/)[0].split(':').reduce((sum, part) => sum * 60 + Number(part), 0);
  check(Math.abs(onTask - debrief.area_time.window_s) <= 0.6, 'on task: ' + values[3]);
  check(!/NaN|undefined|Infinity/.test(await text('body')), 'NaN, undefined or Infinity in the text');

  // A row for each pass, or one for a leg without.
  const rows = debrief.legs.reduce((sum, leg) => sum + Math.max(leg.passes.length, 1), 0);
  const legTable = page.locator('#legs table').first();
  check((await legTable.locator('tbody tr').count()) === rows, 'rows of legs');
  for (const pass of debrief.passes.slice(0, 3)) {
    const row = legTable.locator('tbody tr', { has: page.locator('[data-leg="' + pass.leg + '"]') }).first();
    const first = debrief.passes.find((other) => other.leg === pass.leg);
    const mean = Math.abs(Math.round(first.tracking.xte_mean_m));
    check((await row.innerText()).replace(/,/g, '').includes(mean + ' m'), 'mean XTE of leg ' + pass.leg);
  }

  // Layers go and come.
  for (const input of await page.locator('#layers input').all()) {
    const layer = page.locator('[data-layer="' + (await input.inputValue()) + '"]');
    const before = await input.isChecked();
    const off = () => layer.evaluate((group) => getComputedStyle(group).display === 'none');
    check((await off()) === !before, 'layer ' + (await input.inputValue()) + ' at first');
    await input.setChecked(!before);
    check((await off()) === before, 'layer ' + (await input.inputValue()) + ' switched');
    await input.setChecked(before);
  }

  // A backdrop lies below everything, pale, and POD lets it through when asked to.
  const backdrop = page.locator('#map image.backdrop');
  if ((await backdrop.count()) > 0) {
    const first = page.locator('#map svg.view > [data-layer]').first();
    check((await first.getAttribute('data-layer')) === 'backdrop', 'the backdrop is not the lowest layer');
    const opacity = (what) => what.evaluate((element) => Number(getComputedStyle(element).opacity));
    check((await opacity(backdrop)) < 0.6, 'the backdrop is not pale');
    const pod = page.locator('[data-layer="pod"]');
    check((await opacity(pod)) === 1, 'POD at first');
    await page.locator('#see-through').check();
    check((await opacity(pod)) < 1, 'POD lets nothing through');
    if (shots) await page.locator('#map').screenshot({ path: join(shots, name + '-through.png') });
    await page.locator('#see-through').uncheck();
    check(/not for navigation/.test(await text('#backdrop-note')), 'what a backdrop is not for');
  }

  // The flight in other colours.
  for (const by of ['xte', 'height', 'phase']) {
    await page.locator('#colour-by input[value="' + by + '"]').check();
    const lines = await page.locator('#map svg.view g:not(.off) > path[class*="by-"]').count();
    check(by === 'phase' ? lines === 0 : lines > 0, 'colours by ' + by);
    check((await page.locator('#key li').count()) > 0 === (by !== 'phase'), 'key of ' + by);
    if (by !== 'xte') continue;
    // As many steps of each class as fixes of it: two fixes on a leg within tolerance, beyond it, or not both on one.
    const steps = await page.evaluate(() => {
      const data = JSON.parse(document.getElementById('flight').textContent);
      const holes = new Set(data.holes);
      const of = { aside: 0, left: 0, within: 0, right: 0 };
      for (let i = 0; i + 1 < data.e.length; i += 1) {
        if (holes.has(i + 1)) continue;
        const [a, b] = [data.e[i], data.e[i + 1]];
        if (a === null || b === null) of.aside += 1;
        else if ((a + b) / 2 < -data.tolerance) of.left += 1;
        else if ((a + b) / 2 > data.tolerance) of.right += 1;
        else of.within += 1;
      }
      const drawn = {};
      for (const mark of Object.keys(of)) {
        const path = document.querySelector('#map svg.view g:not(.off) > path.by-' + mark);
        drawn[mark] = (path.getAttribute('d').match(/L/g) ?? []).length;
      }
      return { of, drawn };
    });
    check(JSON.stringify(steps.of) === JSON.stringify(steps.drawn), 'classes of XTE: ' + JSON.stringify(steps));
    check(steps.of.aside > 0 && steps.of.within > 0, 'no step of a class that every flight has');
  }

  // Nearer and back: by button, by key, by wheel and by a row of a leg.
  const all = await width();
  await page.locator('#nearer').click();
  check((await width()) < all, 'nearer');
  await page.locator('#all').click();
  check((await width()) === all, 'the whole map');
  await page.locator('#map .sheet').focus();
  await page.keyboard.press('+');
  check((await width()) < all, 'the + key');
  const place = await box();
  await page.keyboard.press('ArrowRight');
  check((await box()) !== place, 'the arrow keys');
  await page.keyboard.press('0');
  check((await width()) === all, 'the 0 key');
  await page.locator('#map .sheet').scrollIntoViewIfNeeded();
  await page.locator('#map .sheet').hover();
  await page.mouse.wheel(0, -300);
  await page.waitForTimeout(50);
  check((await width()) < all, 'the wheel');
  await page.locator('#all').click();
  const leads = legTable.locator('button.to-leg');
  await leads.first().click();
  const leg = await page.evaluate(() => {
    const [x1, y1, x2, y2] = JSON.parse(document.getElementById('flight').textContent).boxes[
      document.querySelector('#legs [data-leg]').dataset.leg
    ];
    return { x1, y1, x2, y2 };
  });
  const [x, y, w, h] = (await box()).split(' ').map(Number);
  const within = (px, py) => px >= x && px <= x + w && py >= y && py <= y + h;
  check(within(leg.x1, leg.y1) && within(leg.x2, leg.y2), 'a row leads to its leg');
  const long = Math.max(Math.abs(leg.x2 - leg.x1) / all, Math.abs(leg.y2 - leg.y1) / ((all * h) / w));
  check(long > 0.6 || w < all, 'a row comes near to its leg');
  await page.locator('#all').click();

  // Under the pointer: the beginning of the first pass.
  await page.locator('#map .sheet').scrollIntoViewIfNeeded();
  const spot = await page.evaluate(() => {
    const data = JSON.parse(document.getElementById('flight').textContent);
    const [first] = data.spans.find((span) => data.phases[span[1]] === 'search leg');
    const sum = (list) => list.slice(0, first + 1).reduce((a, b) => a + b, 0) / 100;
    const svg = document.querySelector('#map .sheet svg');
    const rect = svg.getBoundingClientRect();
    const k = rect.width / svg.viewBox.baseVal.width;
    return { x: rect.left + sum(data.x) * k, y: rect.top + sum(data.y) * k };
  });
  await page.mouse.move(spot.x, spot.y);
  check(/UTC.* kt/.test(await text('#readout')), 'under the pointer: ' + (await text('#readout')));
  await page.mouse.move(0, 0);

  // The replay.
  const slider = page.locator('#clock');
  const lasts = Number(await slider.getAttribute('max'));
  const picture = () => page.locator('#map [data-layer="pod"] image').getAttribute('href');
  const atTheEnd = await picture();
  const replayTo = async (share) => {
    await slider.evaluate((input, value) => {
      input.value = value;
      input.dispatchEvent(new Event('input', { bubbles: true }));
    }, Math.round(share * lasts));
    await page.waitForTimeout(80);
  };
  const seen = async () =>
    page.evaluate(async (href) => {
      const image = new Image();
      image.src = href;
      await image.decode();
      const canvas = document.createElement('canvas');
      [canvas.width, canvas.height] = [image.width, image.height];
      const paper = canvas.getContext('2d');
      paper.drawImage(image, 0, 0);
      const { data } = paper.getImageData(0, 0, image.width, image.height);
      let [sum, cells] = [0, 0];
      for (let i = 0; i < data.length; i += 4) {
        if (data[i + 3] === 255) [sum, cells] = [sum + data[i], cells + 1];
      }
      return sum / cells;
    }, await picture());
  const bright = [];
  for (const share of [0, 0.4, 0.6, 1]) {
    await replayTo(share);
    bright.push(await seen());
  }
  check(bright[0] < bright[1] && bright[1] < bright[2] && bright[2] < bright[3], 'the coverage grows: ' + bright);
  check((await page.locator('.aircraft:not(.off)').count()) === 1, 'the aircraft');
  check((await page.locator('.clocked line.moment:not(.off)').count()) >= 2, 'the charts are in step');
  await replayTo(0.5);
  const before = Number(await slider.inputValue());
  await page.locator('#speed').selectOption('300');
  await page.locator('#play').click();
  await page.waitForTimeout(400);
  await page.locator('#play').click();
  const after = Number(await slider.inputValue());
  check(after > before + 30, 'the replay runs: ' + before + ' to ' + after);
  await page.waitForTimeout(100);
  check(Number(await slider.inputValue()) === after, 'the replay pauses');
  if (shots) await page.locator('#map').screenshot({ path: join(shots, name + '-replay.png') });
  await page.locator('#end-replay').click();
  check((await picture()) === atTheEnd, 'the whole flight again');

  // A click on a chart goes there.
  const chart = page.locator('.clocked svg').first();
  const area = await chart.boundingBox();
  await chart.click({ position: { x: area.width * 0.5, y: area.height * 0.4 } });
  check(Number(await slider.inputValue()) > 0, 'a click on a chart');
  await page.locator('#end-replay').click();

  // Sorting, up and down.
  const column = legTable.locator('thead th').filter({ hasText: 'Mean XTE' });
  if ((await column.locator('button').count()) > 0) {
    const index = await column.evaluate((head) => head.cellIndex);
    const numbers = async () => {
      const cells = await legTable.locator('tbody tr > :nth-child(' + (index + 1) + ')').allInnerTexts();
      return cells
        .filter((cell) => /\d/.test(cell))
        .map((cell) => parseInt(cell.replace(/,/g, ''), 10) * (cell.includes('left') ? -1 : 1));
    };
    await column.locator('button').click();
    const up = await numbers();
    check(up.every((value, i) => i === 0 || up[i - 1] <= value), 'sorted up: ' + up);
    check((await column.getAttribute('aria-sort')) === 'ascending', 'aria-sort');
    await column.locator('button').click();
    const down = await numbers();
    check(down.every((value, i) => i === 0 || down[i - 1] >= value), 'sorted down: ' + down);
    check(up.length === down.length, 'rows lost in sorting');
  }

  // Every control has a name, every id is there once.
  const nameless = await unnamed(page);
  check(nameless.length === 0, 'without a name of its own: ' + nameless);
  if (shots) await page.screenshot({ path: join(shots, name + '-light.png'), fullPage: true });
  await page.emulateMedia({ media: 'print' });
  const open = await page.locator('#play').isVisible();
  check(!open, 'controls on paper');
  if (shots) await page.pdf({ path: join(shots, name + '.pdf'), format: 'A4', printBackground: true });
  await context.close();

  await otherwise(browser, file, { name, shots, top: 1488 }, tell);

  // Without script the figures and pictures are all there, and nothing that would do nothing.
  const still = await opened(browser, file, { javaScriptEnabled: false }, tell);
  check(!(await still.page.locator('#play').isVisible()), 'a control without script');
  check(await still.page.locator('#map svg').first().isVisible(), 'the map without script');
  await still.context.close();
}

await browser.close();
wrong.forEach((line) => console.log(line));
console.log(folders.length + ' reports opened');
process.exitCode = wrong.length > 0 ? 1 : 0;
