'use strict';
(() => {
  const form = document.getElementById('filters');
  const count = document.getElementById('count');
  const none = document.getElementById('none');
  const number = text => (text === '' ? null : Number(text));
  const groups = Array.from(document.querySelectorAll('[data-group]'), section => ({
    section,
    list: section.querySelector('.entries'),
    tally: section.querySelector('.tally'),
    entries: Array.from(section.querySelectorAll('.entry'), (item, at) => ({
      item,
      at,
      shown: true,
      kind: item.dataset.kind,
      find: item.dataset.find,
      rim: item.dataset.rim,
      currency: item.dataset.currency,
      work: item.dataset.work,
      snow: item.dataset.snow,
      price: number(item.dataset.price),
      offset: number(item.dataset.offset),
      load: number(item.dataset.load),
      name: item.querySelector('h3').textContent,
    })),
  }));
  const all = groups.reduce((sum, group) => sum + group.entries.length, 0);

  const chosen = name => (form.elements[name] ? form.elements[name].value : '');

  const wanted = () => {
    const words = chosen('find').toLowerCase().split(/\s+/).filter(word => word !== '');
    const [kind, rim, work, currency] = ['kind', 'rim', 'work', 'currency'].map(chosen);
    const [least, most] = ['least', 'most'].map(name => number(chosen(name)));
    const snow = form.elements.snow ? form.elements.snow.checked : false;
    return entry =>
      (kind === '' || entry.kind === kind) &&
      (rim === '' || entry.rim === rim) &&
      (work === '' || entry.work === work) &&
      (currency === '' || entry.currency === currency) &&
      (least === null || (entry.price !== null && entry.price >= least)) &&
      (most === null || (entry.price !== null && entry.price <= most)) &&
      (!snow || entry.kind !== 'tire' || entry.snow === 'yes') &&
      words.every(word => entry.find.includes(word));
  };

  // Only what changes is touched, so that the browser lays out no more than it must.
  const filter = () => {
    const answers = wanted();
    let total = 0;
    for (const group of groups) {
      let here = 0;
      for (const entry of group.entries) {
        const shown = answers(entry);
        if (shown !== entry.shown) {
          entry.item.hidden = !shown;
          entry.shown = shown;
        }
        if (shown) here += 1;
      }
      group.section.hidden = here === 0;
      group.tally.textContent = String(here);
      total += here;
    }
    none.hidden = total !== 0;
    count.textContent = total === all ? `${all} shown` : `${total} of ${all} shown`;
  };

  // What is not stated stands last; equals stay as listed.
  const by = (key, sign) => (one, other) => {
    if (one[key] === null || other[key] === null) return (one[key] === null) - (other[key] === null);
    return sign * (one[key] - other[key]);
  };
  const orders = {
    price: (one, other) =>
      (one.price === null) - (other.price === null) ||
      one.currency.localeCompare(other.currency, 'en') ||
      by('price', 1)(one, other),
    load: by('load', -1),
    offset: by('offset', 1),
    name: (one, other) => one.name.localeCompare(other.name, 'en', { numeric: true }),
  };
  let ordered = '';
  const order = () => {
    const key = chosen('order');
    if (key === ordered) return;
    ordered = key;
    const compare = orders[key] || (() => 0);
    for (const group of groups) {
      group.entries.sort((one, other) => compare(one, other) || one.at - other.at);
      for (const entry of group.entries) group.list.appendChild(entry.item);
    }
  };

  let waiting = 0;
  const later = pause => {
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      order();
      filter();
    }, pause);
  };
  form.addEventListener('input', event => later(event.target.tagName === 'INPUT' ? 150 : 0));
  form.addEventListener('reset', () => later(0));
  form.addEventListener('submit', event => event.preventDefault());
  form.hidden = false;
  // A browser may have kept what was chosen before the page was left.
  order();
  filter();
})();
