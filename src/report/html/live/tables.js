/* Tables: sorted by any column, and rows that lead to their leg on the map. */

/* Sides count: left of the leg is less than right of it. A clock counts as seconds, words as words. */
const worth = (cell) => {
  const text = cell ? cell.textContent.trim() : '';
  const clock = text.match(/^(\d+):(\d\d)(?::(\d\d))?/);
  if (clock) return clock.slice(1).reduce((sum, part) => (part === undefined ? sum : sum * 60 + Number(part)), 0);
  const number = text.replace(/,/g, '').match(/^[-−]?\d+(\.\d+)?/);
  if (!number) return text;
  const value = Number(number[0].replace('−', '-'));
  return /\bleft\b/.test(text) ? -value : value;
};
const compare = (a, b) => {
  const missing = (value) => value === '' || value === '–' || value === 'never';
  if (missing(a) || missing(b)) return { last: true, order: missing(a) - missing(b) };
  if (typeof a === 'number' && typeof b === 'number') return { order: a - b };
  return { order: String(a).localeCompare(String(b), 'en', { numeric: true }) };
};
all('table.sorts').forEach((table) => {
  const body = one('tbody', table);
  const heads = all('thead th', table);
  heads.forEach((head, column) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'sort';
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener('click', () => {
      const down = head.getAttribute('aria-sort') === 'ascending';
      heads.forEach((other) => other.removeAttribute('aria-sort'));
      head.setAttribute('aria-sort', down ? 'descending' : 'ascending');
      const rows = Array.from(body.rows, (row) => ({ row, value: worth(row.cells[column]) }));
      rows.sort((a, b) => {
        const { order, last: always } = compare(a.value, b.value);
        return down && !always ? -order : order;
      });
      body.append(...rows.map(({ row }) => row));
    });
  });
});

all('[data-leg]').forEach((cell) => {
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'to-leg';
  button.title = 'Show leg ' + cell.dataset.leg + ' on the map';
  button.append(...cell.childNodes);
  cell.append(button);
  const row = cell.closest('tr');
  row.classList.add('leads');
  row.addEventListener('click', (event) => {
    if (event.target.closest('button, a') && !event.target.closest('.to-leg')) return;
    lookAtLeg(cell.dataset.leg);
  });
});

/* Paper shows the whole flight and every fold. */
let folded = [];
window.addEventListener('beforeprint', () => {
  endReplay();
  look(whole);
  one('#colour-by input[value="phase"]').checked = true;
  colourBy('phase');
  folded = all('details:not([open])');
  folded.forEach((fold) => (fold.open = true));
});
window.addEventListener('afterprint', () => folded.forEach((fold) => (fold.open = false)));

window.addEventListener('resize', () => look(seen));
look(whole);
switches.forEach(switchLayer);
rest();
root.classList.add('live');
