/* Along the clock: the charts in step with the map, and the replay with the coverage growing behind the aircraft. */

const slider = one('#clock');
const play = one('#play');
const speed = one('#speed');
const grown = data.growth;
let replayed = null;

/* What shows when nothing is pointed at: the replay, if there is one. */
const rest = () => show(replayed === null ? null : momentAt(replayed));

/* A line through every chart that has the clock for its axis. */
const clocked = all('.clocked svg').map((chart) => {
  const height = chart.viewBox.baseVal.height;
  return { chart, line: drawn('line', { class: 'moment off', y1: 22, y2: height - 26 }, chart) };
});
const { left, right, lasts } = data.clock;
const xAt = (s) => left + (s / lasts) * (right - left);
shown.push((moment) =>
  clocked.forEach(({ line }) => {
    line.classList.toggle('off', moment === null);
    if (moment === null) return;
    line.setAttribute('x1', xAt(moment.s));
    line.setAttribute('x2', xAt(moment.s));
  }),
);
clocked.forEach(({ chart }) => {
  const secondAt = (event) => {
    const rect = chart.getBoundingClientRect();
    const x = ((event.clientX - rect.left) / rect.width) * chart.viewBox.baseVal.width;
    return Math.min(Math.max(((x - left) / (right - left)) * lasts, 0), lasts);
  };
  chart.addEventListener('pointermove', (event) => show(momentAt(secondAt(event))));
  chart.addEventListener('pointerleave', rest);
  chart.addEventListener('click', (event) => replayTo(secondAt(event)));
});

/* The same moment in the panel of its leg. */
const panels = one('#legs figure svg');
const dot = panels && drawn('circle', { class: 'moment off', r: 5 }, panels);
const { corners, along: longest, aside: widest, width, height } = data.panels;
shown.push((moment) => {
  if (!dot) return;
  const corner = moment && moment.leg !== null && moment.xte !== null ? corners[moment.leg] : null;
  dot.classList.toggle('off', !corner);
  if (!corner) return;
  const off = Math.min(Math.max(moment.xte / widest, -1), 1);
  dot.setAttribute('cx', corner[0] + (moment.along / longest) * width);
  dot.setAttribute('cy', corner[1] + (0.5 + 0.5 * off) * height);
});
if (panels) {
  /* Of several passes of a leg the one last flown before the pointer's place is shown. */
  const fixAt = (event) => {
    const rect = panels.getBoundingClientRect();
    const x = ((event.clientX - rect.left) / rect.width) * panels.viewBox.baseVal.width;
    const y = ((event.clientY - rect.top) / rect.height) * panels.viewBox.baseVal.height;
    const leg = Object.keys(corners).find((label) => {
      const [cx, cy] = corners[label];
      return x >= cx && x <= cx + width && y >= cy && y <= cy + height;
    });
    if (leg === undefined) return null;
    const along = ((x - corners[leg][0]) / width) * longest;
    let found = null;
    let least = Infinity;
    data.spans.forEach(([from, , which], span) => {
      if (which < 0 || data.legs[which] !== leg) return;
      const until = span + 1 < data.spans.length ? data.spans[span + 1][0] : last + 1;
      for (let i = from; i + 1 < until; i += 1) {
        const [a, b] = [fixes.along[i], fixes.along[i + 1]];
        if (a === null || b === null || a === b) continue;
        const share = Math.min(Math.max((along - a) / (b - a), 0), 1);
        const off = Math.abs(a + share * (b - a) - along);
        if (off < least) {
          least = off;
          found = fixes.s[i] + share * (fixes.s[i + 1] - fixes.s[i]);
        }
      }
    });
    return found;
  };
  panels.addEventListener('pointermove', (event) => {
    const s = fixAt(event);
    if (s === null) rest();
    else show(momentAt(s));
  });
  panels.addEventListener('pointerleave', rest);
  panels.addEventListener('click', (event) => {
    const s = fixAt(event);
    if (s !== null) replayTo(s);
  });
}

/* The way flown so far, in pieces of which only the last one changes. */
const PIECE = 200;
const way = (from, to) => {
  let path = '';
  for (let i = from; i <= to; i += 1) {
    const letter = i === from || afterHole.has(i) ? 'M' : 'L';
    path += letter + fixes.x[i].toFixed(1) + ' ' + fixes.y[i].toFixed(1);
  }
  return path;
};
let pieces = null;
let tip = null;
const trailTo = (moment) => {
  if (pieces === null) {
    const trail = document.createElementNS(view.namespaceURI, 'g');
    trail.setAttribute('class', 'trail');
    aircraft.before(trail);
    pieces = [];
    for (let from = 0; from < last; from += PIECE) {
      const d = way(from, Math.min(from + PIECE, last));
      pieces.push([drawn('path', { class: 'line casing', d }, trail), drawn('path', { class: 'line', d }, trail)]);
    }
    tip = [drawn('path', { class: 'line casing' }, trail), drawn('path', { class: 'line' }, trail)];
  }
  const whole = Math.floor(moment.index / PIECE);
  pieces.forEach((piece, at) => piece.forEach((path) => path.classList.toggle('off', at >= whole)));
  const d = way(whole * PIECE, moment.index) + (moment.recorded ? 'L' + moment.x + ' ' + moment.y : '');
  tip.forEach((path) => path.setAttribute('d', d));
};

/* The coverage so far. Its picture holds a row of pixels for each step, a pixel for each cell. */
const canvas = document.createElement('canvas');
let levels = null;
let stepShown = null;
const ground = grown && one('[data-layer="pod"] image', view);
const atTheEnd = ground && ground.cloneNode();
const unpack = async () => {
  const picture = new Image();
  picture.src = grown.picture;
  await picture.decode();
  canvas.width = picture.width;
  canvas.height = picture.height;
  const paper = canvas.getContext('2d', { willReadFrequently: true });
  paper.drawImage(picture, 0, 0);
  const pixels = paper.getImageData(0, 0, picture.width, picture.height).data;
  levels = new Uint8Array(pixels.length / 4);
  for (let i = 0; i < levels.length; i += 1) levels[i] = pixels[4 * i];
  canvas.width = grown.columns;
  canvas.height = grown.rows;
};
const grownTo = (s) => {
  if (!levels) return;
  let step = -1;
  while (step + 1 < grown.ends.length && grown.ends[step + 1] <= s) step += 1;
  if (step === stepShown) return;
  stepShown = step;
  const cells = grown.columns * grown.rows;
  const paper = canvas.getContext('2d');
  const pixels = paper.createImageData(grown.columns, grown.rows);
  for (let cell = 0; cell < cells; cell += 1) {
    /* Before the first step nothing is seen, but the area is. */
    const level = step < 0 ? Math.min(levels[cell], 1) : levels[step * cells + cell];
    if (level === 0) continue;
    const colour = parseInt(data.colours.substr(6 * level, 6), 16);
    pixels.data[4 * cell] = colour >> 16;
    pixels.data[4 * cell + 1] = (colour >> 8) & 255;
    pixels.data[4 * cell + 2] = colour & 255;
    pixels.data[4 * cell + 3] = 255;
  }
  paper.putImageData(pixels, 0, 0);
  ['x', 'y', 'width', 'height'].forEach((name) => ground.setAttribute(name, grown[name]));
  ground.setAttribute('href', canvas.toDataURL());
};

const replayTo = (s) => {
  replayed = Math.min(Math.max(s, 0), lasts);
  box.classList.add('replaying');
  slider.value = replayed;
  slider.setAttribute('aria-valuetext', clockOf(replayed) + ' UTC');
  const moment = momentAt(replayed);
  trailTo(moment);
  if (grown && levels === null) {
    levels = false;
    unpack().then(() => replayed !== null && grownTo(replayed));
  } else if (grown) grownTo(replayed);
  show(moment);
};

const endReplay = () => {
  stop();
  replayed = null;
  stepShown = null;
  box.classList.remove('replaying');
  if (ground) {
    ['x', 'y', 'width', 'height', 'href'].forEach((name) =>
      ground.setAttribute(name, atTheEnd.getAttribute(name)),
    );
  }
  slider.value = 0;
  rest();
};

const stop = player(play, speed, lasts, data.clock.search, () => replayed, replayTo);
slider.addEventListener('input', () => {
  stop();
  replayTo(Number(slider.value));
});
one('#end-replay').addEventListener('click', endReplay);
