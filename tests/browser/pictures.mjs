// Makes the README's pictures of the pages from the samples:
//
//     cargo build && (cd tests/browser && npm ci --ignore-scripts && node pictures.mjs)

import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { start } from './browser.mjs';
import { SHEETS, VANS, buyer, published } from './pages.mjs';

const samples = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../../samples');
const browser = await start();

const picture = async (name, address, height, prepare) => {
  const page = await browser.newPage({ viewport: { width: 1160, height }, colorScheme: 'light' });
  await page.goto(address);
  await prepare(page);
  await page.screenshot({ path: path.join(samples, name), animations: 'disabled' });
  await page.close();
};

await picture('list.png', published('samples', SHEETS, VANS)('orlbeck-l4.html'), 1500, async page => {
  await page.getByLabel('Work', { exact: true }).selectOption('yes');
  await page.waitForTimeout(300);
  await page.locator('.entry:visible details').first().evaluate(details => (details.open = true));
});
await picture('buyer.png', buyer('samples', SHEETS.slice(0, 1), VANS), 1640, () => {});
await browser.close();
