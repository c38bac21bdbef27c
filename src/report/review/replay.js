/* Flies two legs again, side by side, each from the moment it was entered. The page stands without this script: what it shows
   is drawn and told beside it. Between two points kept of a leg the place is interpolated. */

const data = JSON.parse(document.getElementById('replayed').textContent);
const one = (selector, within = document) => within.querySelector(selector);
const picture = one('#legs figure.replayed svg');
const play = one('#play');
const slider = one('#clock');
const speed = one('#speed');

const drawn = (name, attributes) => {
  const element = document.createElementNS(picture.namespaceURI, name);
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
  picture.append(element);
  return element;
};

/* A place in the panel of a leg; what lies farther off than the panel is high is drawn at its edge. */
const place = (leg, [along, xte]) => {
  const off = Math.min(Math.max(xte / data.aside, -1), 1);
  return [leg.corner[0] + (along / data.along) * data.width, leg.corner[1] + (0.5 + 0.5 * off) * data.height];
};

const marks = data.legs.map((leg, index) => ({
  leg,
  trail: drawn('path', { class: 'line moment' }),
  dot: drawn('circle', { class: 'moment off', r: 5 }),
  told: one('output[data-leg="' + index + '"]'),
  begins: Math.min(...leg.seconds.flat()),
  ends: Math.max(...leg.seconds.flat()),
}));

/* Where a leg was flown at a time since it was entered: the points passed, and the place; null where nothing was recorded. */
const flownTo = (leg, s) => {
  const passed = [];
  let at = null;
  leg.profile.forEach((points, stretch) => {
    const seconds = leg.seconds[stretch];
    const line = points.filter((point, i) => seconds[i] <= s);
    const next = line.length;
    if (next > 0 && next < points.length) {
      const share = (s - seconds[next - 1]) / (seconds[next] - seconds[next - 1]);
      const [a, b] = [points[next - 1], points[next]];
      at = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
      line.push(at);
    } else if (next > 0 && seconds[next - 1] === s) at = points[next - 1];
    if (line.length > 0) passed.push(line);
  });
  return { passed, at };
};

const aside = (m) => {
  const rounded = Math.round(Math.abs(m));
  return rounded === 0 ? '0 m' : rounded + ' m ' + (m > 0 ? 'right' : 'left');
};

let replayed = 0;
const replayTo = (s) => {
  replayed = Math.min(Math.max(s, 0), data.lasts);
  slider.value = replayed;
  slider.setAttribute('aria-valuetext', Math.round(replayed) + ' seconds after the leg was entered');
  marks.forEach(({ leg, trail, dot, told, begins, ends }) => {
    const seconds = Math.min(Math.max(replayed, begins), ends);
    const { passed, at } = flownTo(leg, seconds);
    const path = passed.map((line) => line.map((point, i) => (i ? 'L' : 'M') + place(leg, point).map((v) => v.toFixed(1)).join(' ')).join('')).join('');
    trail.setAttribute('d', path || 'M0 0');
    dot.classList.toggle('off', at === null);
    const clock = new Date(leg.entered + 1000 * seconds).toISOString().slice(11, 19);
    const parts = [leg.name + ' at ' + clock + ' UTC'];
    if (at === null) parts.push('not recorded');
    else {
      const [x, y] = place(leg, at);
      dot.setAttribute('cx', x);
      dot.setAttribute('cy', y);
      parts.push((at[0] / 1852).toFixed(1) + '\u00a0NM along', 'XTE ' + aside(at[1]));
    }
    if (replayed >= ends) parts.push('its end');
    told.textContent = parts.join(', ');
  });
};

const stop = player(play, speed, data.lasts, 0, () => replayed, replayTo);
slider.addEventListener('input', () => {
  stop();
  replayTo(Number(slider.value));
});
document.documentElement.classList.add('live');
replayTo(0);
