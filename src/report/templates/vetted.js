'use strict';
(() => {
  const form = document.getElementById('filters');
  const count = document.getElementById('count');
  const none = document.getElementById('none');
  const table = document.getElementById('table');
  const rows = Array.from(table.tBodies[0].rows, row => ({
    row,
    shown: true,
    kind: row.dataset.kind,
    find: row.dataset.find,
    vans: Array.from(row.querySelectorAll('[data-v]'), cell => ({
      verdict: cell.dataset.v,
      near: 'near' in cell.dataset,
    })),
  }));
  const chosen = name => (form.elements[name] ? form.elements[name].value : '');

  const wanted = () => {
    const words = chosen('find').toLowerCase().split(/\s+/).filter(word => word !== '');
    const [kind, verdict, van] = ['kind', 'verdict', 'van'].map(chosen);
    const answers = one => one !== undefined && (verdict === 'near' ? one.near : one.verdict === verdict);
    return part =>
      (kind === '' || part.kind === kind) &&
      (verdict === '' || (van === '' ? part.vans.some(answers) : answers(part.vans[Number(van)]))) &&
      words.every(word => part.find.includes(word));
  };

  // Only what changes is touched, so that the browser lays out no more than it must.
  const filter = () => {
    const answers = wanted();
    let total = 0;
    for (const part of rows) {
      const shown = answers(part);
      if (shown !== part.shown) {
        part.row.hidden = !shown;
        part.shown = shown;
      }
      if (shown) total += 1;
    }
    none.hidden = total !== 0;
    count.textContent = total === rows.length ? `${total} shown` : `${total} of ${rows.length} shown`;
  };

  let waiting = 0;
  const later = pause => {
    clearTimeout(waiting);
    waiting = setTimeout(filter, pause);
  };
  form.addEventListener('input', event => later(event.target.tagName === 'INPUT' ? 150 : 0));
  form.addEventListener('reset', () => later(0));
  form.addEventListener('submit', event => event.preventDefault());
  form.hidden = false;
  // A browser may have kept what was chosen before the page was left.
  filter();
})();
