// A browser, and pages in it that tell of everything they should not do.

import { chromium } from 'playwright-core';

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
