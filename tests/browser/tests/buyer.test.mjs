// The page of `vet`, as a parts buyer uses it.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, PHONE, barriers, clashes, faintest, overflow, settled, start, visit } from '../browser.mjs';
import { HOSTILE, ORLBECK, SHEETS, VANS, buyer, verdicts, wheels } from '../pages.mjs';

let browser;
let address;
let found;
before(async () => {
  browser = await start();
  address = buyer('samples', SHEETS, VANS);
  found = verdicts(SHEETS, VANS);
});
after(() => browser.close());

const rows = page => page.locator('#table tbody tr:visible');
const count = page => page.locator('#count').textContent();
const of = (van, verdict) => found.filter(one => one.van === van && one.verdict === verdict);

test('the table holds every part with what it comes to for every van', async () => {
  await visit(browser, address, {}, async page => {
    const cells = await page.locator('#table tbody tr').evaluateAll(all =>
      all.map(row => [row.cells[0].firstChild.textContent, ...Array.from(row.querySelectorAll('[data-v]'), cell => cell.dataset.v)]));
    const want = new Map();
    for (const { part, verdict } of found) {
      const key = `${part.sheet} ${part.tab} ${part.row}`;
      want.set(key, [...(want.get(key) ?? [part.sku || `row ${part.row}`]), verdict]);
    }
    assert.deepEqual(cells.map(String).sort(), [...want.values()].map(String).sort());
  });
});

test('counts of verdicts and bars of reasons are those of the lines for machines', async () => {
  await visit(browser, address, {}, async page => {
    for (const van of ['orlbeck-l4', 'wexholm-d46']) {
      const section = page.locator(`#van-${van}`);
      const told = await section.locator('.tallies tbody tr').evaluateAll(all => all.map(row => Array.from(row.querySelectorAll('.figure'), cell => Number(cell.textContent))));
      const want = ['wheel', 'tire'].map(kind => ['fits', 'fits-with-work', 'unproven', 'rejected'].map(verdict => of(van, verdict).filter(({ part }) => part.kind === kind).length));
      assert.deepEqual(told, want);

      const failing = new Map();
      for (const { reasons } of of(van, 'rejected')) {
        for (const { rule } of reasons) failing.set(rule, [(failing.get(rule)?.[0] ?? 0) + 1, (failing.get(rule)?.[1] ?? 0) + Number(reasons.length === 1)]);
      }
      const bars = await section.locator('.bars:not(.warned) li').evaluateAll(all => all.map(bar => [
        bar.querySelector('.name').textContent,
        Number(bar.querySelector('.count b').textContent),
        Number(/sole reason for (\d+)/.exec(bar.querySelector('.count').textContent)?.[1] ?? 0),
      ]));
      assert.deepEqual(new Map(bars.map(([rule, ...counts]) => [rule, counts])), failing);
      const warned = new Map();
      for (const { cautions } of [...of(van, 'fits'), ...of(van, 'fits-with-work')]) {
        for (const { rule } of cautions) warned.set(rule, (warned.get(rule) ?? 0) + 1);
      }
      const cautions = await section.locator('.warned li').evaluateAll(all => all.map(bar => [bar.querySelector('.name').textContent, Number(bar.querySelector('.count b').textContent)]));
      assert.ok(cautions.length > 0);
      assert.deepEqual(new Map(cautions), warned);
      // The longest bar is whole, and every other as long as its count.
      const most = Math.max(...bars.map(([, all]) => all));
      const widths = await section.locator('.bars:not(.warned) .some').evaluateAll(all => all.map(bar => Number(bar.getAttribute('width'))));
      bars.forEach(([rule, all], at) => assert.ok(Math.abs(widths[at] - Math.max(6, (1000 * all) / most)) < 1.01, `${rule}: ${widths[at]}`));
    }
  });
});

test('strips count the parts that a rule applies to, and mark the near misses', async () => {
  await visit(browser, address, {}, async page => {
    const strips = await page.locator('#van-orlbeck-l4 .strips li').evaluateAll(all => all.map(strip => ({
      words: strip.querySelector('h4').textContent,
      counted: strip.querySelector('p').textContent,
      tells: strip.querySelector('desc').textContent,
      near: strip.querySelectorAll('[data-is=near]').length,
    })));
    const strip = words => strips.find(one => one.words.includes(words) && !one.words.includes('as '));
    // Only passenger tires are counted with their load divided.
    const derated = strips.find(({ counted }) => counted.includes('passenger-derate'));
    assert.match(derated.counted, /^5 tires, rule passenger-derate$/);
    assert.match(strip('load of one tire').tells, /^At least 1215 kg \(2679 lb\) is needed/);
    assert.match(strip('offset').tells, /^From 30 mm \(1\.18 in\) to 62 mm \(2\.44 in\) is allowed; stock is 62 mm/);
    assert.match(strip('rim diameter').tells, /^From 16 in \(406\.4 mm\) to 18 in/);
    assert.ok(strip('load of one tire').near > 0);
    for (const { words, tells, counted } of strips) {
      const numbers = /(\d+) within, (\d+) that work cures, (\d+) missing it by little, (\d+) further off/.exec(tells);
      const all = numbers ? numbers.slice(1).reduce((sum, number) => sum + Number(number), 0) : 1;
      assert.ok(counted.startsWith(`${all} `), `${words}: ${counted}; ${tells}`);
    }
  });
});

test('search and filters show what they say', async () => {
  await visit(browser, address, {}, async page => {
    const all = await rows(page).count();
    await page.getByLabel('Verdict', { exact: true }).selectOption('unproven');
    await page.getByLabel('Van', { exact: true }).selectOption({ label: 'Wexholm D46 bookmobile, twin rear wheels' });
    await settled(page);
    assert.equal(await rows(page).count(), of('wexholm-d46', 'unproven').length);
    assert.equal(await count(page), `${of('wexholm-d46', 'unproven').length} of ${all} shown`);

    await page.getByLabel('Verdict', { exact: true }).selectOption('near');
    await settled(page);
    assert.ok((await rows(page).count()) > 0);
    assert.equal(await rows(page).count(), await page.locator('#table tbody tr:visible td:nth-of-type(3)[data-near]').count());

    await page.getByRole('button', { name: 'Show all' }).click();
    await settled(page);
    await page.getByRole('searchbox').fill('6x205 PW-');
    await page.getByLabel('Wheel or tire').selectOption('wheel');
    await settled(page);
    const texts = await rows(page).evaluateAll(all => all.map(row => row.textContent));
    assert.ok(texts.length > 0 && texts.every(text => text.includes('6x205') && text.includes('PW-')));

    await page.getByRole('searchbox').fill('no such thing');
    await settled(page);
    assert.ok(await page.getByText('No part answers to that').isVisible());
  });
});

test('every remark of the sheets stands there with its cell', async () => {
  await visit(browser, address, {}, async page => {
    const remarks = await page.locator('.remarks li').evaluateAll(all => all.map(remark => [remark.children[0].textContent, remark.children[1].textContent]));
    assert.ok(remarks.length >= 20);
    assert.ok(remarks.some(([place, says]) => /^Price list [A-Z]+\d+$/.test(place) && says.length > 10));
  });
});

test('the keyboard alone leads through the page', async () => {
  await visit(browser, address, {}, async page => {
    await page.keyboard.press('Tab');
    assert.equal(await page.evaluate(() => document.activeElement.textContent), 'Skip to the parts');
    await page.keyboard.press('Enter');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'parts');
    const reached = [];
    for (let at = 0; at < 6; at += 1) {
      await page.keyboard.press('Tab');
      reached.push(await page.evaluate(() => document.activeElement.name || document.activeElement.className || document.activeElement.type));
      assert.notEqual(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), 'none', `${reached}`);
    }
    assert.deepEqual(reached.slice(0, 4), ['find', 'kind', 'verdict', 'van']);
    assert.ok(reached.includes('scroll'), 'a table that scrolls can be scrolled by key');
  });
});

test('without script the whole table is there and no filter pretends to work', async () => {
  await visit(browser, address, { javaScriptEnabled: false }, async page => {
    assert.ok((await rows(page).count()) > 100);
    assert.equal(await page.locator('#filters').isVisible(), false);
  });
});

test('on paper the page is whole and the controls are gone', async () => {
  await visit(browser, address, {}, async page => {
    await page.emulateMedia({ media: 'print' });
    for (const gone of ['#filters', '.jumps', '.skip']) assert.equal(await page.locator(gone).isVisible(), false, gone);
    assert.ok(await page.locator('.care').isVisible());
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
    assert.ok(pdf.startsWith('%PDF-') && pdf.match(/\/Type\s*\/Page\b/g).length > 3);
  });
});

for (const colorScheme of ['light', 'dark']) {
  test(`nobody is kept out of the ${colorScheme} page`, async () => {
    await visit(browser, address, { colorScheme }, async page => {
      assert.deepEqual(await barriers(page), []);
      // The audit does not look at letters in drawings.
      assert.ok((await faintest(page)) >= 4.5, `${await faintest(page)}`);
    });
  });
}

for (const [name, viewport] of Object.entries({ phone: PHONE, desk: DESK, narrow: { width: 320, height: 600 } })) {
  test(`a ${name} shows the page without scrolling sideways, and bars that can be read`, async () => {
    await visit(browser, address, { viewport }, async page => {
      assert.equal(await overflow(page), 0);
      const widths = await page.locator('.bar').evaluateAll(all => all.map(bar => bar.getBoundingClientRect().width));
      assert.ok(widths.length > 20 && widths.every(width => width >= 120), `${Math.min(...widths)}`);
      const strips = await page.locator('.strips svg').evaluateAll(all => all.map(strip => strip.getBoundingClientRect().width));
      assert.ok(strips.length > 10 && strips.every(width => width >= 200), `${Math.min(...strips)}`);
    });
  });
}

test('labels of strips stand apart in the browser too', async () => {
  await visit(browser, address, {}, async page => {
    const { found, seen } = await clashes(page);
    assert.ok(seen > 40, `${seen} labels`);
    assert.deepEqual(found, []);
  });
});

test('words of a supplier stay words', async () => {
  const hostile = Object.values(HOSTILE);
  // Cells that cannot be read come back in remarks, and parts without a name in bars.
  const rows = hostile.flatMap((text, at) => [
    { supplier: text, sku: `H${at}${text}`, model: text, price: text, link: text },
    { sku: `U${at}${text}`, load: text, seat: text },
  ]);
  await visit(browser, buyer('hostile', [wheels('hostile.csv', rows)], ORLBECK), {}, async page => {
    assert.equal(await page.locator('#table tbody tr').count(), rows.length);
    assert.equal(await page.evaluate(() => globalThis.hurt), undefined);
    assert.equal(await page.locator('#broken, #table img, #table script').count(), 0);
    assert.equal(await page.locator('script').count(), 1, 'our own script');
    const told = await page.locator('body').evaluate(body => body.textContent);
    for (const text of hostile) assert.ok(told.includes(text), text);
  });
});

test('a hundred thousand parts make a page that a browser can open, which says what it leaves out', async () => {
  const many = Array.from({ length: 100_000 }, (_, at) => ({ sku: `M-${at}`, load: at % 100 === 7 ? 1400 : 900, offset: at % 90 }));
  const address = buyer('many', [wheels('many.csv', many)], ORLBECK);
  await visit(browser, address, {}, async page => {
    const size = await page.evaluate(() => document.documentElement.outerHTML.length);
    assert.ok(size < 3_000_000, `${size} letters`);
    assert.equal(await page.locator('#table tbody tr').count(), 2000);
    assert.ok(await page.getByText('The table holds 2000 of 100000 parts').isVisible());
    // What fits is never what is left out.
    const fits = many.filter(({ load, offset }) => load === 1400 && offset >= 30 && offset <= 62).length;
    assert.ok(fits > 100 && fits < 2000);
    assert.equal(await page.locator('#table [data-v=fits]').count(), fits);
    const strokes = await page.locator('.strips path').count();
    assert.ok(strokes < 2000, `${strokes} strokes`);
  });
});
