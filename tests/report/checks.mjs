// SPDX-License-Identifier: MIT
// What every page owes its reader, and how a claim is counted.
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';

export const chromium = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);

let claims = 0;
const broken = [];
let about = '';
const begun = Date.now();

/** What the next claims are about. */
export function speakOf(what) { about = what; }
export const say = (text) => console.log(`${((Date.now() - begun) / 1000).toFixed(0)} s  ${text}`);

export function claim(what, holds, got = '') {
  claims++;
  if (!holds) {
    broken.push(`${about}: ${what}${got === '' ? '' : `; got ${got}`}`);
    console.log('FAILED ' + broken[broken.length - 1]);
  }
}

/** An empty folder; ends with 77 where there is no browser. */
export function prepare(folder) {
  if (!chromium) {
    console.log('skipped: no chromium on this machine (Debian: chromium)');
    process.exit(77);
  }
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
}

export function finish(folder) {
  console.log(`${claims} claims, ${broken.length} broken; pictures in ${folder}`);
  process.exit(broken.length === 0 ? 0 : 1);
}

export const plain = (text) => text.replace(/delta_degF|degF/g, '°F').replace(/degC/g, '°C').replace(/\s+/g, ' ');

export const quick = ['--set', 'run.years=1', '--set', 'run.accuracy=draft', '--set', 'run.slices=1', '--set', 'weather.hard_winters=[]'];

/** The console and the network, at the end of a visit. */
export function checkQuiet(page) {
  claim('the console shows no error', page.faults.length === 0, page.faults.join(' | '));
  claim('nothing is asked of the network', page.requests.length === 0, page.requests.join(' '));
}

export async function checkKeyboard(page) {
  await page.value(`window.scrollTo(0, 0); document.activeElement.blur(); window.reached = new Set(); window.hidden = [];
    document.addEventListener('focusin', (e) => { window.reached.add(e.target); const s = getComputedStyle(e.target); if (s.outlineStyle === 'none') { window.hidden.push(e.target.outerHTML.slice(0, 80)); } }); 0`);
  for (let i = 0; i < 120; i++) { await page.key('Tab', 9); }
  const missed = await page.value(`[...document.querySelectorAll('a[href], button, select, input, summary, [tabindex="0"]')]
    .filter((e) => e.checkVisibility() && !window.reached.has(e) && !(e.type === 'radio' && !e.checked)).map((e) => e.outerHTML.slice(0, 80))`);
  claim('the Tab key reaches every control', missed.length === 0, missed.join(' '));
  claim('what has the focus shows it', (await page.value('window.hidden.length')) === 0, await page.value('window.hidden[0]'));
}

export async function checkAccessibility(page, axe) {
  if (!axe) { return; }
  await page.value(axe + ';0');
  const result = await page.value(`axe.run(document, {resultTypes: ['violations']}).then((r) => r.violations.filter((v) => ['serious', 'critical', 'moderate'].includes(v.impact)).map((v) => v.id + ': ' + v.nodes.map((n) => n.html.slice(0, 120)).slice(0, 3).join(' | ')))`);
  claim('the accessibility checker finds nothing', result.length === 0, result.join('\n    '));
}

export async function checkStructure(page, width) {
  claim('one heading leads', (await page.value(`document.querySelectorAll('h1').length`)) === 1);
  const levels = await page.value(`[...document.querySelectorAll('h1, h2, h3, h4')].filter((h) => h.checkVisibility()).map((h) => Number(h.tagName[1]))`);
  claim('no level of headings is skipped', levels.every((l, i) => i === 0 || l <= levels[i - 1] + 1), levels.join(''));
  const bare = await page.value(`[...document.querySelectorAll('svg[role=img], canvas[role=img], img')].filter((e) => !(e.getAttribute('aria-label') || e.alt)).length`);
  claim('every picture has a text', bare === 0, bare);
  claim('the page is no wider than the screen', (await page.value('document.documentElement.scrollWidth')) <= width, await page.value('document.documentElement.scrollWidth'));
  claim('nothing on it is undefined', !/undefined|NaN|Infinity|\[object/.test(await page.value('document.body.innerText')));
}

// ---- the accessibility checker ---------------------------------------------------------------

export function fetchAxe(folder) {
  const npm = spawnSync('npm', ['pack', 'axe-core@4', '--silent'], { cwd: folder, encoding: 'utf8', timeout: 60000 });
  if (npm.status !== 0) {
    console.log('accessibility checker skipped: axe-core could not be had from npm');
    return null;
  }
  execFileSync('tar', ['xzf', npm.stdout.trim().split('\n').pop(), 'package/axe.min.js'], { cwd: folder });
  return readFileSync(join(folder, 'package/axe.min.js'), 'utf8');
}
