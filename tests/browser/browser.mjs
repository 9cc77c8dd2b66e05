// Chromium from the system, with everything watched that a page must not do.

import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { chromium } from 'playwright-core';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Starts the browser; nothing of it goes to the network by itself. */
export const start = () =>
  chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-quic', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });

export const DESK = { width: 1280, height: 900 };
export const PHONE = { width: 360, height: 740 };

/** Opens an address and hands the page to a test; fails if the page complained or asked for anything. */
export const visit = async (browser, address, options, test) => {
  const context = await browser.newContext({ viewport: DESK, ...options });
  const [asked, said] = [[], []];
  await context.route('**/*', route => {
    asked.push(route.request().url());
    return route.request().url() === address ? route.continue() : route.abort();
  });
  const page = await context.newPage();
  page.on('console', message => {
    if (['error', 'warning'].includes(message.type())) said.push(message.text());
  });
  page.on('pageerror', error => said.push(String(error)));
  try {
    await page.goto(address);
    await test(page);
    assert.deepEqual(said, [], 'nothing is said on the console');
    assert.deepEqual(asked.filter(url => url.split('#')[0] !== address), [], 'nothing else is asked for');
  } finally {
    await context.close();
  }
};

/** What axe-core finds that keeps people out. */
export const barriers = async page => {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  assert.ok(found.passes.length > 10, 'the audit looked at the page');
  return found.violations
    .filter(({ impact }) => ['serious', 'critical'].includes(impact))
    .map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map(({ target }) => target.join(' ')).join(', ')} (${nodes.length})`);
};

/** Waits until the script has answered what was typed last: it waits 150 ms, and timers keep their order. */
export const settled = page =>
  page.evaluate(() => new Promise(done => setTimeout(() => requestAnimationFrame(() => setTimeout(done, 0)), 160)));

/** How far the page is wider than its window. */
export const overflow = page =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

/** Opens all that is folded away, and has it laid out though it is out of sight. */
export const unfold = page =>
  page.evaluate(() => {
    for (const more of document.querySelectorAll('details')) more.open = true;
    for (const entry of document.querySelectorAll('.entry')) entry.style.contentVisibility = 'visible';
  });

/** Labels of drawings that meet one another or leave their drawing, by the browser's own measure. */
export const clashes = page =>
  page.evaluate(() => {
    const found = [];
    let seen = 0;
    for (const drawing of document.querySelectorAll('svg[role=img]')) {
      const [, , width, height] = drawing.getAttribute('viewBox').split(' ').map(Number);
      const labels = Array.from(drawing.querySelectorAll('text'), text => ({ text: text.textContent, box: text.getBBox() }));
      seen += labels.length;
      labels.forEach(({ text, box }, at) => {
        if (box.width === 0) found.push(`"${text}" is not laid out`);
        if (box.x < 0 || box.y < 0 || box.x + box.width > width || box.y + box.height > height) found.push(`"${text}" leaves the drawing`);
        for (const other of labels.slice(at + 1)) {
          const apart =
            box.x + box.width <= other.box.x || other.box.x + other.box.width <= box.x ||
            // Lines of text may touch: a box holds room for accents that no figure has.
            box.y + box.height - 2 <= other.box.y || other.box.y + other.box.height - 2 <= box.y;
          if (!apart) found.push(`"${text}" meets "${other.text}"`);
        }
      });
    }
    return { found, seen };
  });

/** The least contrast of a drawing's labels with the paper behind them, as WCAG reckons it. */
export const faintest = page =>
  page.evaluate(() => {
    const luminance = color => {
      const [red, green, blue] = color.match(/[\d.]+/g).map(Number).map(part => {
        const share = part / 255;
        return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const paper = of => {
      for (let at = of; at; at = at.parentElement) {
        const { backgroundColor } = getComputedStyle(at);
        if (!/, 0\)$/.test(backgroundColor)) return backgroundColor;
      }
      return 'rgb(255, 255, 255)';
    };
    const contrasts = Array.from(document.querySelectorAll('svg[role=img] text'), text => {
      const [one, other] = [luminance(getComputedStyle(text).fill), luminance(paper(text.closest('svg')))].sort((a, b) => b - a);
      return (one + 0.05) / (other + 0.05);
    });
    return Math.min(...contrasts);
  });
