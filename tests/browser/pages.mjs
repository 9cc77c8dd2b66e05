// Makes the pages under test with the program itself, from the samples and from sheets written here.

import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const target = process.env.CARGO_TARGET_DIR ?? path.join(root, 'target');
const program = process.env.RIMSIEVE ?? path.join(target, 'debug', 'rimsieve');

const folder = mkdtempSync(path.join(tmpdir(), 'rimsieve-pages-'));
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));

const run = (...given) => {
  if (!existsSync(program)) throw new Error(`${program} is not built: cargo build`);
  return execFileSync(program, [...given, '--no-shop', '--quiet'], { cwd: root, maxBuffer: 1 << 28 });
};

/** Publishes the lists of some sheets; gives the address of one page of them. */
export const published = (name, sheets, vans, ...more) => {
  const out = path.join(folder, name);
  run('publish', ...sheets, '--van', ...vans, '--out', out, ...more);
  return file => pathToFileURL(path.join(out, file)).href;
};

/** Writes the buyer's page of some sheets; gives its address. */
export const buyer = (name, sheets, vans, ...more) => {
  const file = path.join(folder, `${name}.html`);
  writeFileSync(file, run('vet', ...sheets, '--van', ...vans, '--format', 'page', ...more));
  return pathToFileURL(file).href;
};

export const SHEETS = ['samples/sheets/wheels.xlsx', 'samples/sheets/tires.csv'];
export const VANS = ['samples/vans'];
export const ORLBECK = ['samples/vans/orlbeck-l4.toml'];

/** What the program itself says of parts and vans, to hold pages against. */
export const verdicts = (sheets, vans) =>
  run('vet', ...sheets, '--van', ...vans, '--format', 'jsonl')
    .toString()
    .trim()
    .split('\n')
    .map(line => JSON.parse(line));

/** Writes a sheet; every cell is quoted, so that it may hold anything. */
export const sheet = (name, rows) => {
  const file = path.join(folder, name);
  const cell = text => `"${String(text).replaceAll('"', '""')}"`;
  writeFileSync(file, rows.map(row => `${row.map(cell).join(',')}\n`).join(''));
  return file;
};

const HEADINGS = [
  'Supplier', 'SKU', 'Model', 'Rim Diameter (in)', 'Rim Width (in)', 'Bolt Pattern', 'Offset (mm)',
  'Center Bore (mm)', 'Load Rating (kg)', 'Seat', 'Price (USD)', 'Link', 'Image',
];

/** A row that fits the sample van as it is, but for what is given. */
const wheel = given => ({
  supplier: 'Tallow & Sons', sku: 'T-1', model: 'Oxter', diameter: 16, width: 6.5, pattern: '6x130', offset: 50,
  bore: 84.1, load: 1400, seat: 'ball R14', price: '100.00', link: '', image: '', ...given,
});

/** A sheet of wheels. */
export const wheels = (name, all) => sheet(name, [HEADINGS, ...all.map(given => Object.values(wheel(given)))]);

/** Texts that would be markup, script or style if they were not escaped. */
export const HOSTILE = {
  script: '<script>window.hurt = 1</script>',
  image: '"><img src=x onerror="window.hurt = 1">',
  close: '</title></style></script><b id=broken>out</b>',
  json: '</script><script>window.hurt = 1</script><!--',
  template: '{{ 7 * 7 }} ${7 * 7} {% raw %}',
  attribute: "' onmouseover='window.hurt = 1' x='",
  link: 'javascript:window.hurt=1',
};
