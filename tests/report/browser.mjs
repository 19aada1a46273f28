// SPDX-License-Identifier: MIT
// Drives a headless Chromium through its debugging pipe: no package beyond node itself.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Starts a browser; its pages answer to send(method, parameters). */
export async function startBrowser(program) {
  const profile = mkdtempSync(join(tmpdir(), 'coilbed-page-'));
  const child = spawn(program, ['--headless', '--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage',
    '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync',
    '--remote-debugging-pipe', `--user-data-dir=${profile}`, 'about:blank'],
  { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] });
  const waiting = new Map();
  const listeners = [];
  let next = 1;
  let text = '';
  child.stdio[4].setEncoding('utf8');
  child.stdio[4].on('data', (part) => {
    text += part;
    for (let end = text.indexOf('\0'); end >= 0; end = text.indexOf('\0')) {
      const message = JSON.parse(text.slice(0, end));
      text = text.slice(end + 1);
      const done = waiting.get(message.id);
      if (done) {
        waiting.delete(message.id);
        if (message.error) { done.reject(new Error(message.error.message)); } else { done.resolve(message.result); }
      } else {
        listeners.forEach((listen) => listen(message));
      }
    }
  });
  child.on('exit', () => waiting.forEach((done) => done.reject(new Error('the browser ended'))));
  const send = (method, params = {}, sessionId = undefined) => new Promise((resolve, reject) => {
    const id = next++;
    waiting.set(id, { resolve, reject });
    child.stdio[3].write(JSON.stringify({ id, method, params, sessionId }) + '\0');
  });
  return {
    async open(address, { width, height = 900, dark = false }) {
      const { targetId } = await send('Target.createTarget', { url: 'about:blank' });
      const { sessionId } = await send('Target.attachToTarget', { targetId, flatten: true });
      const page = new Page((method, params) => send(method, params, sessionId));
      listeners.push((message) => message.sessionId === sessionId && page.hear(message));
      await page.prepare(width, height, dark);
      await page.load(address);
      page.close = () => send('Target.closeTarget', { targetId });
      return page;
    },
    async stop() {
      const ended = new Promise((resolve) => child.on('exit', resolve));
      send('Browser.close').catch(() => {});
      await Promise.race([ended, new Promise((resolve) => setTimeout(resolve, 5000).unref())]);
      child.kill();
      rmSync(profile, { recursive: true, force: true, maxRetries: 3 });
    },
  };
}

class Page {
  constructor(send) {
    this.send = send;
    this.faults = []; // what a console shows as an error, and uncaught exceptions
    this.requests = []; // addresses asked for, the page itself apart
  }

  hear({ method, params }) {
    if (method === 'Runtime.exceptionThrown') {
      this.faults.push(params.exceptionDetails.exception?.description || params.exceptionDetails.text);
    } else if (method === 'Runtime.consoleAPICalled' && ['error', 'warning', 'assert'].includes(params.type)) {
      this.faults.push(params.args.map((a) => a.value ?? a.description).join(' '));
    } else if (method === 'Log.entryAdded' && params.entry.level === 'error') {
      this.faults.push(params.entry.text);
    } else if (method === 'Network.requestWillBeSent' && params.type !== 'Document' && !params.request.url.startsWith('data:')) {
      this.requests.push(params.request.url);
    } else if (method === 'Page.loadEventFired') {
      this.loaded?.();
    }
  }

  async prepare(width, height, dark) {
    for (const domain of ['Page', 'Runtime', 'Log', 'Network']) { await this.send(domain + '.enable'); }
    await this.send('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 1, mobile: width < 600 });
    await this.send('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value: dark ? 'dark' : 'light' }] });
  }

  async load(address) {
    const loaded = new Promise((resolve) => { this.loaded = resolve; });
    await this.send('Page.navigate', { url: address });
    await loaded;
  }

  /** The value of an expression in the page. */
  async value(expression) {
    const { result, exceptionDetails } = await this.send('Runtime.evaluate', { expression, returnByValue: true, awaitPromise: true });
    if (exceptionDetails) { throw new Error(exceptionDetails.exception?.description || exceptionDetails.text); }
    return result.value;
  }

  async key(name, code, modifiers = 0) {
    const base = { key: name, code: name, windowsVirtualKeyCode: code, modifiers };
    await this.send('Input.dispatchKeyEvent', { type: name === 'Enter' ? 'keyDown' : 'rawKeyDown', text: name === 'Enter' ? '\r' : undefined, ...base });
    await this.send('Input.dispatchKeyEvent', { type: 'keyUp', ...base });
  }

  /** A picture of the whole page, base64. */
  async picture() {
    const { cssContentSize } = await this.send('Page.getLayoutMetrics');
    const { data } = await this.send('Page.captureScreenshot', { captureBeyondViewport: true,
      clip: { x: 0, y: 0, width: cssContentSize.width, height: cssContentSize.height, scale: 1 } });
    return data;
  }

  async print() {
    const { data } = await this.send('Page.printToPDF', { printBackground: true, preferCSSPageSize: true });
    return Buffer.from(data, 'base64');
  }
}
