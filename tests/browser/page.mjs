// A browser, and pages in it that tell of everything they should not do.

import { chromium } from 'playwright-core';
import { join } from 'node:path';

export const launched = () =>
  chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });

/** Opens a file; `tell` hears what the page should not do. */
export const opened = async (browser, file, options, tell) => {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) tell('console: ' + message.text());
  });
  page.on('pageerror', (error) => tell('error: ' + error.message));
  page.on('dialog', (dialog) => {
    tell('a dialog opened: ' + dialog.message());
    dialog.dismiss();
  });
  page.on('request', (request) => {
    const url = request.url();
    if (url !== file && !url.startsWith('data:')) tell('a request leaves the file: ' + url);
  });
  await page.goto(file);
  return { context, page };
};

/** What is wrong with the names of controls and with ids. */
export const unnamed = (page) =>
  page.evaluate(() => {
    const controls = Array.from(document.querySelectorAll('button, input, select'))
      .filter((each) => !each.textContent.trim() && !each.getAttribute('aria-label') && !each.closest('label'))
      .map((each) => each.outerHTML.slice(0, 80));
    const ids = Array.from(document.querySelectorAll('[id]')).map((each) => each.id);
    return controls.concat(ids.filter((id, at) => ids.indexOf(id) !== at));
  });

/** Opens a file narrow and dark, where it must not scroll sideways. With a folder for `shots` it leaves pictures there: narrow, dark, and the
 * top of the page, so many pixels high, as in the README. */
export const otherwise = async (browser, file, { name, shots, top }, tell) => {
  const shot = async (what, options, more) => {
    const { context, page } = await opened(browser, file, options, tell);
    await page.screenshot({ path: join(shots, name + '-' + what + '.png'), ...more });
    await context.close();
  };
  const small = { viewport: { width: 390, height: 844 }, colorScheme: 'dark' };
  const narrow = await opened(browser, file, small, tell);
  const wide = await narrow.page.evaluate(() => document.documentElement.scrollWidth);
  if (wide > 390) tell('the page is ' + wide + ' pixels wide on a screen of 390');
  await narrow.context.close();
  if (!shots) return;
  await shot('narrow-dark', small, { fullPage: true });
  await shot('dark', { viewport: { width: 1280, height: 900 }, colorScheme: 'dark' }, { fullPage: true });
  await shot('top', { viewport: { width: 1040, height: top }, deviceScaleFactor: 0.85 });
};
