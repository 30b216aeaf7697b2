// SPDX-License-Identifier: GPL-3.0-or-later
//
// Opens a report in Chromium, from its file, and looks at it as readers do:  node look.mjs PAGE FOLDER
// FOLDER gets the printed pages.  Ends with a line "N passed, N failed".
import { execFileSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';

const [page_file, folder] = process.argv.slice(2);
const address = 'file://' + page_file;
const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
let passed = 0;
let failed = 0;

function check(words, fine, said = '') {
  if (fine) passed++;
  else failed++;
  if (!fine) console.log(`FAILED ${words}${said === '' ? '' : ': '}${said}`);
}

const args = process.getuid() === 0 ? ['--no-sandbox'] : [];
const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args });

// A page, and what it asked for and said.
async function open(options) {
  const context = await browser.newContext({ offline: true, ...options });
  const page = await context.newPage();
  const asked = [];
  const said = [];
  page.on('request', request => asked.push(request.url()));
  page.on('console', message => said.push(message.text()));
  page.on('pageerror', error => said.push(String(error)));
  await page.goto(address);
  return { context, page, asked, said };
}

const sizes = [[360, 740], [1280, 900]];
for (const [width, height] of sizes)
  for (const colorScheme of ['light', 'dark']) {
    const where = `${width} px, ${colorScheme}`;
    const { context, page, asked, said } = await open({ viewport: { width, height }, colorScheme });
    check(`${where}: it asks for nothing`, asked.length === 1, asked.slice(1, 4).join(' '));
    check(`${where}: no complaint on the console`, said.length === 0, said.slice(0, 3).join(' | '));
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    check(`${where}: nothing is wider than the window`, wide <= width, `${wide} px`);
    const flat = await page.evaluate(() => [...document.querySelectorAll('figure svg')].filter(s => {
      const r = s.getBoundingClientRect();
      return r.width < 300 || r.height < 50;
    }).length);
    check(`${where}: every figure has a size`, flat === 0, `${flat} have none`);
    const small = await page.evaluate(() => [...document.querySelectorAll('p, td, dd, li, figcaption')]
      .filter(e => parseFloat(getComputedStyle(e).fontSize) < 12).length);
    check(`${where}: no words smaller than 12 px`, small === 0, `${small} are`);
    await context.close();
  }

// What a script finds out needs one, but none of the page's own: its policy forbids any, so this check
// goes round it.  Everything is opened first, that all of it is looked at.
for (const [width, colorScheme] of [[360, 'dark'], [1280, 'light']]) {
  const { context, page } = await open({ viewport: { width, height: 900 }, colorScheme, bypassCSP: true });
  await page.evaluate(() => document.querySelectorAll('details').forEach(d => { d.open = true; }));
  await page.addScriptTag({ path: axe });
  const found = await page.evaluate(async () => {
    const result = await axe.run(document, { resultTypes: ['violations', 'incomplete'] });
    return { bad: result.violations.map(v => `${v.id} (${v.nodes.length}) ${v.nodes[0].target}`),
             good: result.passes.length };
  });
  check(`${width} px, ${colorScheme}: axe finds nothing`, found.bad.length === 0, found.bad.join('; '));
  check(`${width} px, ${colorScheme}: axe looked`, found.good > 20, `${found.good} rules`);
  await context.close();
}

// Without scripts, and by keys alone.
{
  const { context, page } = await open({ viewport: { width: 360, height: 740 }, javaScriptEnabled: false });
  check('without scripts: the answer is there', await page.locator('h1').first().isVisible());
  const shut = page.locator('details').first();
  if (await shut.count() > 0) {
    await shut.locator('summary').click();
    check('without scripts: a long list opens', await shut.locator('table, pre').first().isVisible());
  }
  await context.close();
}
{
  const { context, page } = await open({ viewport: { width: 360, height: 740 } });
  const focus = () => page.evaluate(() => {
    const e = document.activeElement;
    const r = e.getBoundingClientRect();
    return { tag: e.tagName, name: e.className, href: e.getAttribute('href'), label: e.getAttribute('aria-label'),
             seen: r.bottom > 0 && r.top < innerHeight, ring: getComputedStyle(e).outlineStyle };
  });
  await page.keyboard.press('Tab');
  const first = await focus();
  check('the first Tab reaches the skip link, and it is seen', first.name === 'skip' && first.seen);
  await page.keyboard.press('Enter');
  check('it leads to the report', await page.evaluate(() => document.activeElement.id === 'main'));
  const boxes = await page.locator('section.box').evaluateAll(list => list
    .filter(b => !b.closest('details')).map(b => b.getAttribute('aria-label')));
  const reached = new Set();
  let unseen = 0;
  for (let i = 0; i < 400 && reached.size < boxes.length; i++) {
    await page.keyboard.press('Tab');
    const at = await focus();
    if (at.tag === 'BODY') break;
    if (at.name === 'box') reached.add(at.label);
    if (!at.seen || at.ring === 'none') unseen++;
  }
  check('Tab reaches every box', reached.size === new Set(boxes).size, `${reached.size} of ${boxes.length}`);
  check('what has the keys is seen, with a ring', unseen === 0, `${unseen} times not`);
  const box = page.locator('figure section.box').first();
  if (await box.count() > 0) {
    await box.focus();
    for (let i = 0; i < 5; i++) await page.keyboard.press('ArrowRight');
    await page.waitForFunction(() => document.activeElement.scrollLeft > 0, null, { timeout: 3000 }).catch(() => {});
    check('arrows move a wide figure', await box.evaluate(b => b.scrollLeft > 0));
  }
  await context.close();
}

// Structure that readers of screens go by.
{
  const { context, page } = await open({ viewport: { width: 1280, height: 900 } });
  const levels = await page.evaluate(() =>
    [...document.querySelectorAll('h1, h2, h3, h4')].map(h => +h.tagName[1]));
  check('headings go down by one', levels[0] === 1 && levels.every((l, i) => i === 0 || l <= levels[i - 1] + 1));
  check('one first heading', levels.filter(l => l === 1).length === 1);
  const ids = await page.evaluate(() => [...document.querySelectorAll('[id]')].map(e => e.id));
  check('no name is given twice', new Set(ids).size === ids.length);
  const lost = await page.evaluate(() => [...document.querySelectorAll('[href^="#"]')]
    .filter(e => !document.getElementById(e.getAttribute('href').slice(1))).length);
  check('every link within the page leads somewhere', lost === 0, `${lost} do not`);
  const dumb = await page.evaluate(() => [...document.querySelectorAll('figure svg')].filter(s =>
    s.getAttribute('role') !== 'img' || s.querySelector('desc').textContent.length < 60).length);
  check('every figure is told in words', dumb === 0, `${dumb} are not`);
  const foreign = await page.evaluate(() => document.querySelectorAll(
    'script, iframe, object, embed, link, form, img, [style], [onclick], [onload], foreignObject').length);
  check('no script, no frame, no style but its own', foreign === 0, `${foreign}`);
  await context.close();
}

// On paper.
for (const format of ['A4', 'Letter']) {
  const { context, page } = await open({ viewport: { width: 1280, height: 900 } });
  const path = `${folder}/${format}.pdf`;
  await page.pdf({ path, format });
  const about = execFileSync('pdfinfo', [path], { encoding: 'utf8' });
  const pages = +/Pages: *([0-9]+)/.exec(about)[1];
  const words = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' });
  check(`${format}: some pages, not a book`, pages >= 3 && pages <= 40, `${pages}`);
  check(`${format}: values that are shut on screen are printed`, /numerics\.tolerance/.test(words));
  check(`${format}: the routine list is not`, !/Every event/.test(words));
  check(`${format}: cautions and words are printed`, /no substitute/.test(words) && /Permeate/i.test(words));
  await context.close();
}

await browser.close();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
