// Opens the page of every training review given, of one pilot or of a class, and tries what a reader can do with it. Prints what
// is wrong, a line each, and ends with 1 if anything is.
//
//   node tests/browser/review.mjs RESULT_FOLDER ...
//
// With SHOTS=FOLDER it leaves pictures of the pages there: light, dark, narrow, printed, and the top of the page as in the README.

import { existsSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { launched, opened, otherwise, unnamed } from './page.mjs';

const shots = process.env.SHOTS;
const folders = process.argv.slice(2);
const wrong = [];
const browser = await launched();

/** The replay of two legs. */
const replay = async (page, review, check) => {
  const slider = page.locator('#clock');
  const lasts = Number(await slider.getAttribute('max'));
  const told = () => page.locator('output[data-leg]').allInnerTexts();
  const replayTo = async (share) =>
    slider.evaluate((input, value) => {
      input.value = value;
      input.dispatchEvent(new Event('input', { bubbles: true }));
    }, share * lasts);
  for (const [at, which] of [review.best, review.worst].entries()) {
    const flight = review.flights[which.flight];
    const leg = flight.legs[which.leg];
    // At the time of a point kept the aircraft is there.
    const middle = Math.floor(leg.profile[0].length / 2);
    const [along, xte] = leg.profile[0][middle];
    await slider.evaluate((input, value) => {
      input.step = 'any';
      input.value = value;
      input.dispatchEvent(new Event('input', { bubbles: true }));
    }, leg.profile_s[0][middle]);
    const words = (await told())[at];
    const side = Math.round(Math.abs(xte)) === 0 ? '0 m' : Math.round(Math.abs(xte)) + ' m ' + (xte > 0 ? 'right' : 'left');
    const clock = new Date(Math.floor(Date.parse(leg.entered) + 1000 * leg.profile_s[0][middle])).toISOString().slice(11, 19);
    for (const part of ['leg ' + leg.label + ' of ' + flight.sortie, (along / 1852).toFixed(1) + '\u00a0NM', 'XTE ' + side, clock])
      check(words.includes(part), 'the replay tells ' + words + ', not ' + part);
    const dot = page.locator('#legs figure.replayed circle.moment').nth(at);
    const x = Number(await dot.getAttribute('cx'));
    await replayTo(1);
    check(Number(await dot.getAttribute('cx')) > x, 'the aircraft does not move on');
    check((await told())[at].includes('its end') || lasts > leg.profile_s.flat().at(-1), 'the end of a leg');
  }
  await replayTo(0);
  await page.locator('#speed').selectOption('60');
  await page.locator('#play').click();
  await page.waitForTimeout(400);
  await page.locator('#play').click();
  const after = Number(await slider.inputValue());
  check(after > 5, 'the replay runs: ' + after);
  await page.waitForTimeout(100);
  check(Number(await slider.inputValue()) === after, 'the replay pauses');
};

for (const folder of folders) {
  const name = basename(folder);
  const tell = (what) => wrong.push(name + ': ' + what);
  const check = (holds, what) => holds || tell(what);
  const kind = existsSync(join(folder, 'class.html')) ? 'class' : 'review';
  const file = pathToFileURL(join(folder, kind + '.html')).href;
  const value = JSON.parse(readFileSync(join(folder, kind + '.json'), 'utf8'));
  const { context, page } = await opened(browser, file, { viewport: { width: 1280, height: 900 } }, tell);
  const text = await page.locator('body').innerText();
  check(!/NaN|undefined|Infinity/.test(text), 'NaN, undefined or Infinity in the text');
  check((await page.locator('#measures tbody tr').count()) === value.measures.length, 'rows of measures');
  if (kind === 'review') {
    check((await page.locator('#practise ol > li').count()) === value.practise.length, 'what to practise');
    value.practise.forEach((at) => check(text.includes(value.causes[at].practise), 'not told: ' + value.causes[at].practise));
    check((await page.locator('#flights tbody tr').count()) === value.flights.length, 'rows of flights');
    if (value.best && value.worst) await replay(page, value, check);
  } else {
    check((await page.locator('#pilots tbody > tr').count()) === value.pilots.length, 'rows of pilots');
    const told = value.pilots.reduce((sum, pilot) => sum + pilot.practise.length, 0);
    check((await page.locator('#pilots ol > li').count()) === told, 'what each has to practise');
  }
  const nameless = await unnamed(page);
  check(nameless.length === 0, 'without a name of its own: ' + nameless);
  if (shots) await page.screenshot({ path: join(shots, name + '-light.png'), fullPage: true });
  await page.emulateMedia({ media: 'print' });
  check((await page.locator('.moving:visible').count()) === 0, 'controls on paper');
  if (shots) await page.pdf({ path: join(shots, name + '.pdf'), format: 'A4', printBackground: true });
  await context.close();

  await otherwise(browser, file, { name, shots, top: 1240 }, tell);

  // Without script the figures and pictures are all there, and nothing that would do nothing.
  const still = await opened(browser, file, { javaScriptEnabled: false }, tell);
  check((await still.page.locator('.moving:visible').count()) === 0, 'a control without script');
  check((await still.page.locator('figure svg:visible').count()) >= 1, 'the pictures without script');
  await still.context.close();
}

await browser.close();
wrong.forEach((line) => console.log(line));
console.log(folders.length + ' reviews opened');
process.exitCode = wrong.length > 0 ? 1 : 0;
