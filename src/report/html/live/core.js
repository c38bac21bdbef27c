'use strict';

/* The page stands without this script: every figure is in its tables and pictures. It lets a reader come nearer, choose
   what shows, follow the flight along the clock and sort tables. All numbers are those of the report; between two fixes
   drawn they are interpolated. */

const data = JSON.parse(document.getElementById('flight').textContent);
const root = document.documentElement;
const one = (selector, within = document) => within.querySelector(selector);
const all = (selector, within = document) => Array.from(within.querySelectorAll(selector));

/* Fixes are stored as steps from the one before. */
const summed = (steps) => {
  let sum = 0;
  return steps.map((step) => (sum += step));
};
const fixes = {
  s: summed(data.t).map((tenths) => tenths / 10),
  x: summed(data.x).map((hundredths) => hundredths / 100),
  y: summed(data.y).map((hundredths) => hundredths / 100),
  height: data.h,
  speed: data.v,
  along: data.a,
  xte: data.e,
};
const last = fixes.s.length - 1;
const afterHole = new Set(data.holes);

/* Which span of one phase a fix is in. */
const spanAt = (index) => {
  let low = 0;
  let high = data.spans.length - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (data.spans[middle][0] <= index) low = middle;
    else high = middle - 1;
  }
  const [, phase, leg] = data.spans[low];
  return { phase: data.phases[phase], leg: leg < 0 ? null : data.legs[leg] };
};

/* The last fix drawn at or before a time. */
const indexAt = (s) => {
  let low = 0;
  let high = last;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (fixes.s[middle] <= s) low = middle;
    else high = middle - 1;
  }
  return low;
};

const between = (list, index, share) => {
  const a = list[index];
  const b = share > 0 ? list[index + 1] : a;
  return a === null || b === null ? null : a + (b - a) * share;
};

/* Where the aircraft was, and how it flew. */
const momentAt = (s) => {
  const index = indexAt(s);
  const next = Math.min(index + 1, last);
  const hole = next > index && afterHole.has(next) && s > fixes.s[index];
  const lasts = fixes.s[next] - fixes.s[index];
  const share = lasts > 0 && !hole ? (s - fixes.s[index]) / lasts : 0;
  const at = (list) => between(list, index, share);
  return {
    s,
    index,
    recorded: !hole,
    x: at(fixes.x),
    y: at(fixes.y),
    height: at(fixes.height),
    speed: at(fixes.speed),
    along: at(fixes.along),
    xte: at(fixes.xte),
    ...(hole ? { phase: 'not recorded', leg: null } : spanAt(index)),
  };
};

const clockOf = (s) => new Date(data.start + s * 1000).toISOString().slice(11, 19);
const aside = (m) => {
  const rounded = Math.round(Math.abs(m));
  if (rounded === 0) return '0 m';
  return rounded + ' m ' + (m > 0 ? 'right' : 'left');
};

const words = (moment) => {
  const parts = [clockOf(moment.s) + ' UTC'];
  parts.push(moment.leg === null ? moment.phase : moment.phase + ' ' + moment.leg);
  if (moment.recorded) {
    if (moment.xte !== null) parts.push('XTE ' + aside(moment.xte));
    parts.push(Math.round(moment.speed) + ' kt');
    parts.push(moment.height === null ? 'height not recorded' : Math.round(moment.height) + ' ft');
  }
  return parts.join(', ');
};

/* Everything that shows a moment is told of it here. */
const shown = [];
const show = (moment) => shown.forEach((tell) => tell(moment));

const drawn = (name, attributes, within) => {
  const element = document.createElementNS(within.namespaceURI, name);
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
  within.append(element);
  return element;
};
