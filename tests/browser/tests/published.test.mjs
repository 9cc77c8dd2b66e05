// The published list, as whoever looks for wheels and tires uses it.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { DESK, PHONE, barriers, clashes, faintest, overflow, settled, start, unfold, visit } from '../browser.mjs';
import { HOSTILE, ORLBECK, SHEETS, VANS, published, verdicts, wheels } from '../pages.mjs';

let browser;
let address;
let list;
before(async () => {
  browser = await start();
  address = published('samples', SHEETS, VANS);
  list = address('orlbeck-l4.html');
});
after(() => browser.close());

const shown = page => page.locator('.entry:visible').count();
const told = page => page.locator('#count').textContent();

test('the page holds every proven part of the van, and no other', async () => {
  const proven = verdicts(SHEETS, ORLBECK).filter(({ verdict }) => verdict.startsWith('fits'));
  await visit(browser, list, {}, async page => {
    const numbers = await page.locator('.entry .sku').allTextContents();
    assert.deepEqual(numbers.sort(), proven.map(({ part }) => part.sku).sort());
    assert.equal(await page.locator('.verdict.work').count(), proven.filter(({ work }) => work.length > 0).length);
  });
});

test('search, filters and their combination show what they say', async () => {
  await visit(browser, list, {}, async page => {
    const all = await shown(page);
    assert.equal(await told(page), `${all} shown`);

    await page.getByRole('searchbox').fill('skarnwell');
    await settled(page);
    const found = await page.locator('.entry:visible').evaluateAll(entries => entries.map(entry => entry.textContent));
    assert.ok(found.length > 0 && found.length < all);
    assert.ok(found.every(text => text.includes('Skarnwell')));
    assert.equal(await told(page), `${found.length} of ${all} shown`);

    await page.getByRole('button', { name: 'Show all' }).click();
    await settled(page);
    assert.equal(await shown(page), all);

    await page.getByLabel('Wheel or tire').selectOption('tire');
    await page.getByLabel('Work', { exact: true }).selectOption('no');
    await settled(page);
    const kinds = await page.locator('.entry:visible').evaluateAll(entries => entries.map(entry => [entry.dataset.kind, entry.querySelector('.verdict').className]));
    assert.ok(kinds.length > 0 && kinds.every(([kind, verdict]) => kind === 'tire' && verdict === 'verdict fits'));

    await page.getByLabel('Rim').selectOption({ index: 1 });
    await page.getByRole('searchbox').fill('no such thing');
    await settled(page);
    assert.equal(await shown(page), 0);
    assert.ok(await page.getByText('Nothing on the list answers to that').isVisible());
    assert.ok(await page.locator('#wheels, #tires').evaluateAll(groups => groups.every(group => group.hidden)));
  });
});

test('a price range leaves out what costs more, less or nothing', async () => {
  await visit(browser, list, {}, async page => {
    await page.getByLabel('Price from').fill('130');
    await page.getByLabel('to', { exact: true }).fill('200.5');
    await settled(page);
    const prices = await page.locator('.entry:visible').evaluateAll(entries => entries.map(entry => entry.dataset.price));
    assert.ok(prices.length > 0);
    assert.ok(prices.every(price => price !== '' && Number(price) >= 130 && Number(price) <= 200.5));
  });
});

test('the snowflake filter leaves wheels alone', async () => {
  await visit(browser, list, {}, async page => {
    const wheelsBefore = await page.locator('.entry[data-kind=wheel]:visible').count();
    const tiresBefore = await page.locator('.entry[data-kind=tire]:visible').count();
    await page.getByLabel('Tires with the snowflake mark only').check();
    await settled(page);
    assert.equal(await page.locator('.entry[data-kind=wheel]:visible').count(), wheelsBefore);
    const tires = await page.locator('.entry[data-kind=tire]:visible').evaluateAll(entries => entries.map(entry => entry.dataset.snow));
    assert.ok(tires.length > 0 && tires.length < tiresBefore && tires.every(snow => snow === 'yes'));
  });
});

test('every order is the order it is called, and the listed one comes back', async () => {
  await visit(browser, list, {}, async page => {
    const numbers = () => page.locator('.entry .sku').allTextContents();
    const keys = (kind, key) => page.locator(`.entry[data-kind=${kind}]`).evaluateAll((entries, key) => entries.map(entry => entry.dataset[key]), key);
    const listed = await numbers();
    const rising = found => found.every((value, at) => at === 0 || found[at - 1] <= value);
    for (const [order, sign] of [['price', 1], ['load', -1], ['offset', 1]]) {
      await page.getByLabel('Order').selectOption(order);
      await settled(page);
      const found = await keys('wheel', order);
      const stated = found.filter(text => text !== '');
      assert.deepEqual(found.slice(0, stated.length), stated, `${order}: what is not stated stands last`);
      const currencies = order === 'price' ? await keys('wheel', 'currency') : found.map(() => '');
      assert.ok(rising(currencies.slice(0, stated.length)), `prices of one currency stand together: ${currencies}`);
      // Amounts of different currencies are never compared.
      for (const currency of new Set(currencies)) {
        const figures = stated.filter((_, at) => currencies[at] === currency).map(text => sign * Number(text));
        assert.ok(rising(figures), `${order} ${currency}: ${figures}`);
      }
    }
    await page.getByLabel('Order').selectOption('name');
    await settled(page);
    const names = await page.locator('.entry[data-kind=wheel] h3').evaluateAll(titles => titles.map(title => title.textContent));
    assert.deepEqual(names, [...names].sort((one, other) => one.localeCompare(other, 'en', { numeric: true })));
    assert.notDeepEqual(await numbers(), listed);
    await page.getByRole('button', { name: 'Show all' }).click();
    await settled(page);
    assert.deepEqual(await numbers(), listed);
  });
});

test('the keyboard alone leads through the page', async () => {
  await visit(browser, list, {}, async page => {
    const focused = () => page.evaluate(() => document.activeElement.textContent.trim());
    await page.keyboard.press('Tab');
    assert.equal(await focused(), 'Skip to the list');
    assert.ok(await page.locator('.skip').evaluate(link => link.getBoundingClientRect().left >= 0), 'the link is seen when it is reached');
    await page.keyboard.press('Enter');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'list');

    const reached = [];
    await page.evaluate(() => document.activeElement.blur());
    await page.getByRole('searchbox').focus();
    for (let at = 0; at < 14; at += 1) {
      reached.push(await page.evaluate(() => document.activeElement.name || document.activeElement.tagName.toLowerCase()));
      const ring = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
      assert.notEqual(ring, 'none', `${reached.at(-1)} shows that it has the focus`);
      await page.keyboard.press('Tab');
    }
    for (const name of ['find', 'kind', 'rim', 'work', 'order', 'button']) assert.ok(reached.includes(name), `${name} in ${reached}`);

    const more = page.locator('details').first();
    await more.locator('summary').focus();
    await page.keyboard.press('Enter');
    assert.ok(await more.evaluate(details => details.open));
    assert.ok(await more.locator('svg[role=img]').first().isVisible());
  });
});

test('without script the whole list is there and no filter pretends to work', async () => {
  await visit(browser, list, { javaScriptEnabled: false }, async page => {
    assert.ok((await page.locator('.entry').count()) > 20);
    assert.equal(await page.locator('#filters').isVisible(), false);
    assert.ok(await page.locator('.entry').last().isVisible());
  });
});

test('on paper the list is whole and the controls are gone', async () => {
  await visit(browser, list, {}, async page => {
    await page.emulateMedia({ media: 'print' });
    assert.equal(await page.locator('#filters').isVisible(), false);
    assert.equal(await page.locator('.skip').isVisible(), false);
    assert.ok(await page.locator('.care').isVisible());
    const breaks = await page.locator('.entry').evaluateAll(entries => entries.map(entry => getComputedStyle(entry).breakInside));
    assert.ok(breaks.length > 20 && breaks.every(way => way === 'avoid'));
    const ink = await page.evaluate(() => [getComputedStyle(document.body).color, getComputedStyle(document.body).backgroundColor]);
    assert.deepEqual(ink, ['rgb(0, 0, 0)', 'rgb(255, 255, 255)']);
    const pdf = (await page.pdf({ format: 'Letter' })).toString('latin1');
    assert.ok(pdf.startsWith('%PDF-'));
    const sheets = pdf.match(/\/Type\s*\/Page\b/g).length;
    assert.ok(sheets > 3 && sheets < breaks.length, `${sheets} sheets of paper for ${breaks.length} parts`);
    // What is folded away stays so; what somebody opened goes on paper.
    const folds = page.locator('details');
    assert.equal(await folds.first().isVisible(), false);
    await folds.first().evaluate(details => { details.open = true; });
    assert.ok(await folds.first().locator('svg').first().isVisible());
    assert.equal(await folds.nth(1).isVisible(), false);
  });
});

for (const colorScheme of ['light', 'dark']) {
  test(`nobody is kept out of the ${colorScheme} page`, async () => {
    await visit(browser, list, { colorScheme }, async page => {
      await unfold(page);
      assert.deepEqual(await barriers(page), []);
      // The audit does not look at letters in drawings.
      assert.ok((await faintest(page)) >= 4.5, `${await faintest(page)}`);
      const paper = await page.evaluate(() => getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number));
      const bright = paper.reduce((sum, part) => sum + part, 0) / 3;
      assert.ok(colorScheme === 'dark' ? bright < 64 : bright > 200, `${paper}`);
    });
    await visit(browser, address('index.html'), { colorScheme }, async page => {
      assert.deepEqual(await barriers(page), []);
    });
  });
}

for (const [name, viewport] of Object.entries({ phone: PHONE, desk: DESK, narrow: { width: 320, height: 600 } })) {
  test(`a ${name} shows the page without scrolling sideways`, async () => {
    for (const file of ['orlbeck-l4.html', 'wexholm-d46.html', 'index.html']) {
      await visit(browser, address(file), { viewport }, async page => {
        await unfold(page);
        assert.equal(await overflow(page), 0, file);
        const widths = await page.locator('svg[role=img]').evaluateAll(all => all.map(drawing => drawing.getBoundingClientRect().width));
        assert.ok(widths.every(width => width >= 180), `${file}: a drawing ${Math.min(...widths)} wide`);
      });
    }
  });
}

test('labels of drawings stand apart in the browser too', async () => {
  for (const file of ['orlbeck-l4.html', 'wexholm-d46.html']) {
    await visit(browser, address(file), {}, async page => {
      await unfold(page);
      const { found, seen } = await clashes(page);
      assert.ok(seen > 150, `${seen} labels`);
      assert.deepEqual(found, []);
    });
  }
});

test('the index leads to every list', async () => {
  await visit(browser, address('index.html'), {}, async page => {
    const links = await page.locator('h2 a').evaluateAll(all => all.map(link => link.getAttribute('href')));
    assert.deepEqual(links, ['orlbeck-l4.html', 'wexholm-d46.html']);
  });
});

test('words of a supplier stay words', async () => {
  const hostile = Object.values(HOSTILE);
  const rows = hostile.map((text, at) => ({ supplier: text, sku: `H${at}${text}`, model: text, price: text, link: text, image: text }));
  const sheet = wheels('hostile.csv', [...rows, { sku: 'OK', link: 'https://supplier.example/ok', image: 'https://supplier.example/ok.png' }]);
  const lists = published('hostile', [sheet], ORLBECK);
  await visit(browser, lists('orlbeck-l4.html'), {}, async page => {
    assert.equal(await page.locator('.entry').count(), rows.length + 1);
    assert.equal(await page.evaluate(() => globalThis.hurt), undefined);
    assert.equal(await page.locator('#broken').count(), 0);
    assert.equal(await page.locator('.entry img, .entry script, .entry b#broken').count(), 0, 'no picture unless it is asked for');
    const titles = await page.locator('.entry h3').allTextContents();
    for (const text of hostile) assert.ok(titles.some(title => title.includes(text)), text);
    const links = await page.locator('.entry a').evaluateAll(all => all.map(link => [link.href, link.rel]));
    assert.deepEqual(links, [['https://supplier.example/ok', 'noopener nofollow']]);
    assert.equal(await page.locator('script').count(), 2, 'the structured data and our own script');
    const data = await page.locator('script[type="application/ld+json"]').textContent();
    assert.ok(JSON.stringify(JSON.parse(data)).includes('window.hurt'), 'markup in the structured data is text');
    await page.getByRole('searchbox').fill('</title>');
    await settled(page);
    assert.equal(await shown(page), 1);
  });
});

test('pictures are shown only where they are asked for, and only by https', async () => {
  const sheet = wheels('pictures.csv', [
    { sku: 'A', image: 'https://supplier.example/a.png' },
    { sku: 'B', image: 'http://supplier.example/b.png' },
    { sku: 'C', image: 'data:image/png;base64,AAAA' },
  ]);
  const lists = published('pictures', [sheet], ORLBECK, '--images');
  const context = await browser.newContext({ viewport: DESK });
  const asked = [];
  await context.route('**/*', route => {
    asked.push(route.request().url());
    return route.request().url().startsWith('file:') ? route.continue() : route.abort();
  });
  const page = await context.newPage();
  await page.goto(lists('orlbeck-l4.html'));
  await page.locator('.entry').last().scrollIntoViewIfNeeded();
  await page.waitForTimeout(200);
  assert.deepEqual(asked.filter(url => !url.startsWith('file:')), ['https://supplier.example/a.png']);
  await context.close();
});

test('five thousand entries are filtered with the least of work', async () => {
  const many = Array.from({ length: 5000 }, (_, at) => ({
    sku: `M-${at}`, model: at % 50 === 0 ? 'Rare' : 'Common', load: 1300 + (at % 200), offset: 30 + (at % 33), price: `${100 + (at % 300)}.00`,
  }));
  const lists = published('many', [wheels('many.csv', many)], ORLBECK);
  await visit(browser, lists('orlbeck-l4.html'), {}, async page => {
    assert.equal(await told(page), '5000 shown');
    const metrics = await page.context().newCDPSession(page);
    await metrics.send('Performance.enable');
    const layouts = async () => (await metrics.send('Performance.getMetrics')).metrics.find(({ name }) => name === 'LayoutCount').value;
    await page.evaluate(() => {
      globalThis.changes = 0;
      new MutationObserver(all => (globalThis.changes += all.length)).observe(document.querySelector('main'), { subtree: true, attributes: true, childList: true });
    });
    const work = async step => {
      const start = await layouts();
      await page.evaluate(() => (globalThis.changes = 0));
      await step();
      await settled(page);
      await page.waitForTimeout(300);
      return { changes: await page.evaluate(() => globalThis.changes), layouts: (await layouts()) - start };
    };
    // 4,900 go, and the tally of the one group changes.
    const away = await work(() => page.getByRole('searchbox').fill('rare'));
    assert.equal(await told(page), '100 of 5000 shown');
    assert.ok(away.changes >= 4900 && away.changes <= 4910, `${away.changes} changes`);
    assert.ok(away.layouts <= 12, `${away.layouts} layouts`);
    // What is typed further and changes nothing touches nothing.
    const same = await work(() => page.getByRole('searchbox').fill('rare '));
    assert.ok(same.changes <= 4, `${same.changes} changes`);
    const back = await work(() => page.getByRole('searchbox').fill(''));
    assert.ok(back.changes >= 4900 && back.changes <= 4910, `${back.changes} changes`);
    assert.ok(back.layouts <= 12, `${back.layouts} layouts`);
    // Entries out of sight are not drawn.
    const skipped = await page.locator('.entry').evaluateAll(all => all.filter(entry => !entry.querySelector('h3').checkVisibility({ contentVisibilityAuto: true })).length);
    assert.ok(skipped > 4500, `${skipped} entries are left undrawn`);
  });
});
