/* The map: nearer and farther, layers, what the flight is coloured by, and what lies under the pointer. */

const box = one('#map .sheet');
const sheet = one('svg', box);
const view = one('svg.view', sheet);
const whole = (() => {
  const [x, y, w, h] = view.getAttribute('viewBox').split(' ').map(Number);
  return { x, y, w, h };
})();
let seen = whole;
/* Nearest: this share of the width. */
const NEAREST = 1 / 60;

/* Pixels of the map to one of the screen. */
const scale = () => seen.w / Math.max(sheet.getBoundingClientRect().width, 1);

const look = (wanted) => {
  const w = Math.min(Math.max(wanted.w, whole.w * NEAREST), whole.w);
  const h = (w * whole.h) / whole.w;
  const middle = { x: wanted.x + wanted.w / 2, y: wanted.y + wanted.h / 2 };
  const within = (value, low, high) => Math.min(Math.max(value, low), high);
  seen = {
    x: within(middle.x - w / 2, whole.x, whole.x + whole.w - w),
    y: within(middle.y - h / 2, whole.y, whole.y + whole.h - h),
    w,
    h,
  };
  view.setAttribute('viewBox', [seen.x, seen.y, seen.w, seen.h].join(' '));
  view.style.setProperty('--k', scale());
  box.classList.toggle('near', seen.w < whole.w * 0.999);
};

/* The same place stays under the pointer. */
const nearer = (factor, at) => {
  const place = at || { x: seen.x + seen.w / 2, y: seen.y + seen.h / 2 };
  const share = { x: (place.x - seen.x) / seen.w, y: (place.y - seen.y) / seen.h };
  const w = Math.min(Math.max(seen.w / factor, whole.w * NEAREST), whole.w);
  const h = (w * whole.h) / whole.w;
  look({ x: place.x - share.x * w, y: place.y - share.y * h, w, h });
};

const placeOf = (event) => {
  const rect = sheet.getBoundingClientRect();
  return {
    x: seen.x + ((event.clientX - rect.left) / rect.width) * seen.w,
    y: seen.y + ((event.clientY - rect.top) / rect.height) * seen.h,
  };
};

const lookAtLeg = (label) => {
  const leg = data.boxes[label];
  if (!leg) return;
  const [x1, y1, x2, y2] = leg;
  const room = 0.12 * Math.max(Math.abs(x2 - x1), Math.abs(y2 - y1)) + 20;
  const w = Math.max(Math.abs(x2 - x1) + 2 * room, ((Math.abs(y2 - y1) + 2 * room) * whole.w) / whole.h);
  const h = (w * whole.h) / whole.w;
  look({ x: (x1 + x2) / 2 - w / 2, y: (y1 + y2) / 2 - h / 2, w, h });
  box.scrollIntoView({ block: 'nearest' });
};

one('#nearer').addEventListener('click', () => nearer(1.6));
one('#farther').addEventListener('click', () => nearer(1 / 1.6));
one('#all').addEventListener('click', () => look(whole));

box.addEventListener('keydown', (event) => {
  const step = 0.15 * seen.w;
  const moves = {
    ArrowLeft: [-step, 0],
    ArrowRight: [step, 0],
    ArrowUp: [0, -step],
    ArrowDown: [0, step],
  };
  if (event.target !== box) return;
  if (moves[event.key]) {
    look({ ...seen, x: seen.x + moves[event.key][0], y: seen.y + moves[event.key][1] });
  } else if (event.key === '+' || event.key === '=') nearer(1.6);
  else if (event.key === '-') nearer(1 / 1.6);
  else if (event.key === '0') look(whole);
  else return;
  event.preventDefault();
});

/* The wheel belongs to the page until the map is in use. */
box.addEventListener(
  'wheel',
  (event) => {
    if (document.activeElement !== box && !event.ctrlKey) return;
    event.preventDefault();
    nearer(Math.exp(-event.deltaY / 400), placeOf(event));
  },
  { passive: false },
);

/* One pointer moves the map, two come nearer. */
const held = new Map();
box.addEventListener('pointerdown', (event) => {
  if (event.button !== 0 || event.target.closest('button')) return;
  held.set(event.pointerId, event);
  box.setPointerCapture(event.pointerId);
  box.focus({ preventScroll: true });
});
const apart = (a, b) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
box.addEventListener('pointermove', (event) => {
  const before = held.get(event.pointerId);
  if (!before) {
    point(event);
    return;
  }
  const others = Array.from(held.values()).filter((other) => other.pointerId !== event.pointerId);
  if (others.length > 0) {
    const factor = apart(event, others[0]) / Math.max(apart(before, others[0]), 1);
    nearer(factor, placeOf(others[0]));
  } else {
    const k = scale();
    look({
      ...seen,
      x: seen.x - (event.clientX - before.clientX) * k,
      y: seen.y - (event.clientY - before.clientY) * k,
    });
  }
  held.set(event.pointerId, event);
});
['pointerup', 'pointercancel'].forEach((name) =>
  box.addEventListener(name, (event) => held.delete(event.pointerId)),
);

/* Layers. */
const switches = all('#layers input');
const switchLayer = (input) => {
  one('[data-layer="' + input.value + '"]', view).classList.toggle('off', !input.checked);
};
switches.forEach((input) => input.addEventListener('change', () => switchLayer(input)));

const through = document.getElementById('see-through');
if (through) through.addEventListener('change', () => view.classList.toggle('through', through.checked));

/* What the flight is coloured by: classes that differ in width and dashes too. The first that holds counts, and what is not
   known comes first, for comparisons take it for 0. */
const flown = one('[data-layer="flown"]', view);
const astray = one('[data-layer="excursions"]', view);
const XTE_CLASSES = [
  { name: 'not on a planned leg', mark: 'aside', holds: (e) => e === null },
  { name: 'left of the leg by more than the tolerance', mark: 'left', holds: (e) => e < -data.tolerance },
  { name: 'within the tolerance', mark: 'within', holds: (e) => Math.abs(e) <= data.tolerance },
  { name: 'right of the leg by more than the tolerance', mark: 'right', holds: (e) => e > data.tolerance },
];
const heightClasses = () => {
  const unknown = { name: 'not recorded', mark: 'aside', holds: (h) => h === null };
  if (data.altitude) {
    const [low, high] = data.altitude;
    return [
      unknown,
      { name: 'below ' + Math.round(low) + ' ft', mark: 'left', holds: (h) => h < low },
      { name: 'within the tolerance', mark: 'within', holds: (h) => h <= high },
      { name: 'above ' + Math.round(high) + ' ft', mark: 'right', holds: (h) => h > high },
    ];
  }
  const known = fixes.height.filter((h) => h !== null).sort((a, b) => a - b);
  if (known.length === 0) return [unknown];
  const middle = known[Math.floor(known.length / 2)];
  return [
    unknown,
    { name: 'up to ' + middle + ' ft', mark: 'within', holds: (h) => h <= middle },
    { name: 'above ' + middle + ' ft', mark: 'right', holds: (h) => h > middle },
  ];
};

/* Neighbouring steps of one class make one line; a step has the class of what lies between its ends. */
const coloured = (classes, list) => {
  const lines = classes.map(() => '');
  let before = -1;
  for (let i = 0; i < last; i += 1) {
    if (afterHole.has(i + 1)) {
      before = -1;
      continue;
    }
    const middle = list[i] === null || list[i + 1] === null ? null : (list[i] + list[i + 1]) / 2;
    const which = classes.findIndex((each) => each.holds(middle));
    if (which !== before) lines[which] += 'M' + fixes.x[i].toFixed(1) + ' ' + fixes.y[i].toFixed(1);
    lines[which] += 'L' + fixes.x[i + 1].toFixed(1) + ' ' + fixes.y[i + 1].toFixed(1);
    before = which;
  }
  const group = document.createElementNS(view.namespaceURI, 'g');
  classes.forEach((each, which) => {
    drawn('path', { class: 'line casing', d: lines[which] }, group);
    drawn('path', { class: 'line by-' + each.mark, d: lines[which] }, group);
  });
  flown.after(group);
  return group;
};
const colourings = {};
const key = one('#key');
const colourBy = (what) => {
  const other = what !== 'phase';
  flown.classList.toggle('plain', other);
  astray.classList.toggle('plain', other);
  Object.values(colourings).forEach((each) => each.group.classList.add('off'));
  key.replaceChildren();
  if (!other) return;
  if (!colourings[what]) {
    const classes = what === 'xte' ? XTE_CLASSES : heightClasses();
    colourings[what] = { classes, group: coloured(classes, what === 'xte' ? fixes.xte : fixes.height) };
  }
  colourings[what].group.classList.remove('off');
  colourings[what].classes.forEach((each) => {
    const item = document.createElement('li');
    const sample = drawn('svg', { width: 34, height: 10, 'aria-hidden': true }, sheet);
    drawn('path', { class: 'line by-' + each.mark, d: 'M0 5L34 5' }, sample);
    item.append(sample, ' ' + each.name);
    key.append(item);
  });
};
all('#colour-by input').forEach((input) =>
  input.addEventListener('change', () => colourBy(input.value)),
);

/* The moment of the flight nearest to a place, within `reach`. */
const nearest = (place, reach) => {
  let least = reach * reach;
  let found = null;
  for (let i = 0; i < last; i += 1) {
    if (afterHole.has(i + 1)) continue;
    const dx = fixes.x[i + 1] - fixes.x[i];
    const dy = fixes.y[i + 1] - fixes.y[i];
    const square = dx * dx + dy * dy;
    const along = (place.x - fixes.x[i]) * dx + (place.y - fixes.y[i]) * dy;
    const share = square > 0 ? Math.min(Math.max(along / square, 0), 1) : 0;
    const ox = fixes.x[i] + share * dx - place.x;
    const oy = fixes.y[i] + share * dy - place.y;
    const off = ox * ox + oy * oy;
    if (off < least) {
      least = off;
      found = fixes.s[i] + share * (fixes.s[i + 1] - fixes.s[i]);
    }
  }
  return found;
};
const point = (event) => {
  const s = nearest(placeOf(event), 16 * scale());
  if (s === null) rest();
  else show(momentAt(s));
};
box.addEventListener('pointerleave', () => rest());

/* The aircraft, and what it did at the moment. */
const aircraft = drawn('g', { class: 'aircraft off' }, view);
drawn('path', { d: 'M0 -11L7 9L0 5L-7 9Z' }, aircraft);
const courseAt = (index) => {
  for (let i = Math.min(index, last - 1); i >= 0; i -= 1) {
    const dx = fixes.x[i + 1] - fixes.x[i];
    const dy = fixes.y[i + 1] - fixes.y[i];
    if (dx !== 0 || dy !== 0) return (Math.atan2(dx, -dy) * 180) / Math.PI;
  }
  return 0;
};
const readout = one('#readout');
shown.push((moment) => {
  readout.textContent = moment === null ? readout.dataset.rest : words(moment);
  aircraft.classList.toggle('off', moment === null);
  if (moment === null) return;
  aircraft.setAttribute(
    'style',
    'transform:translate(' + moment.x + 'px,' + moment.y + 'px) scale(var(--k)) rotate(' + courseAt(moment.index) + 'deg)',
  );
});
