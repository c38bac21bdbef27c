// How soon a report can be used and how fast it answers, milliseconds.
//
//   node tests/browser/speed.mjs RESULT_FOLDER ...

import { basename, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { launched } from './page.mjs';

const browser = await launched();
for (const folder of process.argv.slice(2)) {
  const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
  await page.goto(pathToFileURL(join(folder, 'report.html')).href);
  const measured = await page.evaluate(async () => {
    const [opened] = performance.getEntriesByType('navigation');
    const mean = (act) => {
      const before = performance.now();
      for (let i = 0; i < 100; i += 1) act(i);
      return (performance.now() - before) / 100;
    };
    const slider = document.querySelector('#clock');
    const replayTo = (share) => {
      slider.value = share * slider.max;
      slider.dispatchEvent(new Event('input'));
    };
    replayTo(0.5);
    await new Promise((done) => setTimeout(done, 1000));
    const box = document.querySelector('#map .sheet');
    const { left, top } = box.getBoundingClientRect();
    return {
      usable: opened.domContentLoadedEventEnd,
      'step of the replay': mean((i) => replayTo(i / 100)),
      'move of the pointer': mean((i) =>
        box.dispatchEvent(new PointerEvent('pointermove', { clientX: left + 8 * i, clientY: top + 200, pointerId: 1 })),
      ),
    };
  });
  const words = Object.entries(measured).map(([what, ms]) => what + ' ' + ms.toFixed(1));
  console.log(basename(folder) + ': ' + words.join(', '));
  await page.close();
}
await browser.close();
