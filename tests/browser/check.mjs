// Looks at HTML reports in headless Chromium: on a phone of 360 pixels, on a
// desk and on paper, light and dark.
//
//   node tests/browser/check.mjs REPORT.html …      (CHROMIUM names the browser)
//
// Wants: no message on the console, nothing fetched, nothing wider than the
// page, every text of a picture inside the box kept for it and on no other,
// every line that opens something reached and opened by the keyboard alone, and
// nothing that axe-core finds against WCAG 2.2 AA (where `npm ci` brought it); of a
// field sheet that it prints on one page of A4, in black and white alone.
// Pictures of the pages go to tests/browser/shots to be looked at.

import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const shots = join(here, "shots");
mkdirSync(shots, { recursive: true });
const axePath = join(here, "node_modules/axe-core/axe.min.js");
const axe = existsSync(axePath) ? readFileSync(axePath, "utf8") : null;
if (!axe) console.log("!!! axe-core is not there (npm ci in tests/browser): accessibility was NOT checked");

const browser = spawn(
  process.env.CHROMIUM ?? "chromium",
  ["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--remote-debugging-pipe",
   `--user-data-dir=${mkdtempSync(join(tmpdir(), "forebore-browser-"))}`, "about:blank"],
  { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] },
);
const [, , , into, outOf] = browser.stdio;
let buffer = "";
let lastId = 0;
const waiting = new Map();
let events = [];
outOf.on("data", (data) => {
  buffer += data;
  let end;
  while ((end = buffer.indexOf("\0")) >= 0) {
    const message = JSON.parse(buffer.slice(0, end));
    buffer = buffer.slice(end + 1);
    if (message.id) waiting.get(message.id)?.(message);
    else events.push(message);
  }
});
const send = (method, params = {}, sessionId) =>
  new Promise((done, fail) => {
    const id = ++lastId;
    waiting.set(id, (m) => (m.error ? fail(new Error(`${method}: ${m.error.message}`)) : done(m.result)));
    into.write(JSON.stringify({ id, method, params, sessionId }) + "\0");
  });

const VIEWS = [
  { name: "phone", width: 360, height: 740, media: "screen", scheme: "light", mobile: true },
  { name: "phone-dark", width: 360, height: 740, media: "screen", scheme: "dark", mobile: true },
  { name: "desk", width: 1200, height: 900, media: "screen", scheme: "light", mobile: false, keys: true },
  { name: "desk-dark", width: 1200, height: 900, media: "screen", scheme: "dark", mobile: false },
  { name: "paper", width: 794, height: 1123, media: "print", scheme: "light", mobile: false },
];

// Runs in the page; gives sentences on what is wrong.
function look() {
  const wrong = [];
  const root = document.documentElement;
  if (root.scrollWidth > window.innerWidth) wrong.push(`the page is ${root.scrollWidth} wide, the window ${window.innerWidth}`);
  if (!root.lang) wrong.push("no language is set");
  for (const svg of document.querySelectorAll("figure svg")) {
    const placed = [];
    for (const text of svg.querySelectorAll("text")) {
      const [x, y, w, h] = text.getAttribute("data-box").split(" ").map(Number);
      const box = text.getBBox();
      if (box.width === 0) continue;
      const out = Math.max(x - box.x, box.x + box.width - x - w, y - box.y, box.y + box.height - y - h);
      if (out > 1) wrong.push(`"${text.textContent}" runs ${out.toFixed(1)} out of its box`);
      for (const other of placed) {
        const b = other.box;
        const apart = box.x >= b.x + b.width - 0.5 || b.x >= box.x + box.width - 0.5 ||
          box.y >= b.y + b.height - 1 || b.y >= box.y + box.height - 1;
        if (!apart) wrong.push(`"${text.textContent}" covers "${other.text}"`);
      }
      placed.push({ box, text: text.textContent });
    }
  }
  for (const e of document.querySelectorAll("td, th, p, li, summary, h1, h2")) {
    const scrolls = e.closest(".scroll");
    if (!scrolls && e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) wrong.push(`cut: ${e.textContent.slice(0, 60)}`);
  }
  return wrong;
}

// Runs in a field sheet: colours other than black and white.
function colours() {
  const plain = new Set(["rgb(0, 0, 0)", "rgb(255, 255, 255)", "rgba(0, 0, 0, 0)"]);
  const parts = ["color", "backgroundColor", "borderTopColor", "borderBottomColor", "borderLeftColor", "borderRightColor"];
  const found = new Set();
  for (const e of document.querySelectorAll("body, body *")) {
    const style = getComputedStyle(e);
    for (const part of parts) if (!plain.has(style[part])) found.add(`${part} ${style[part]}`);
    if (style.opacity !== "1") found.add(`opacity ${style.opacity}`);
  }
  return [...found];
}

const pagesOf = (pdf) => (pdf.toString("latin1").match(/\/Type\s*\/Page(?!s)/g) ?? []).length;

// Walks the page by the Tab key and opens every line it comes to with Enter;
// gives those that were not reached or did not open.
async function byKeyboard(tell, run) {
  const press = async (key, code, text) => {
    const what = { key, code: key, windowsVirtualKeyCode: code };
    await tell("Input.dispatchKeyEvent", { type: "keyDown", ...what, ...(text ? { text } : {}) });
    await tell("Input.dispatchKeyEvent", { type: "keyUp", ...what });
  };
  await run("document.querySelectorAll('details').forEach((d) => (d.open = false)); document.activeElement.blur(); scrollTo(0, 0)");
  const most = await run("document.querySelectorAll('a, summary, [tabindex]').length + 5");
  let unseen = 0;
  for (let n = 0; n < most; n++) {
    await press("Tab", 9);
    const at = await run(`(() => {
      const e = document.activeElement;
      if (!e || e === document.body) return "end";
      const style = getComputedStyle(e);
      const seen = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
      e.dataset.reached = "yes";
      return (e.localName === "summary" ? "opens" : "other") + (seen ? "" : " unseen");
    })()`);
    if (at === "end") break;
    if (at.endsWith("unseen")) unseen += 1;
    if (at.startsWith("opens")) await press("Enter", 13, "\r");
  }
  const missed = await run(`[...document.querySelectorAll("summary")]
    .filter((s) => !s.dataset.reached || !s.parentElement.open).map((s) => s.textContent.slice(0, 60))`);
  const said = missed.map((m) => `the keyboard does not open: ${m}`);
  if (unseen > 0) said.push(`${unseen} places have the focus without showing it`);
  return said;
}

const wrong = [];
for (const file of process.argv.slice(2)) {
  const { targetId } = await send("Target.createTarget", { url: "about:blank" });
  const { sessionId } = await send("Target.attachToTarget", { targetId, flatten: true });
  const tell = (method, params) => send(method, params, sessionId);
  const run = async (expression) => {
    const done = await tell("Runtime.evaluate", { expression, awaitPromise: true, returnByValue: true });
    if (done.exceptionDetails) throw new Error(done.exceptionDetails.exception?.description ?? "failed in the page");
    return done.result.value;
  };
  for (const domain of ["Page", "Runtime", "Log", "Network"]) await tell(`${domain}.enable`);
  for (const view of VIEWS) {
    events = [];
    await tell("Emulation.setDeviceMetricsOverride",
      { width: view.width, height: view.height, deviceScaleFactor: 1, mobile: view.mobile });
    await tell("Emulation.setEmulatedMedia",
      { media: view.media, features: [{ name: "prefers-color-scheme", value: view.scheme }] });
    await tell("Page.navigate", { url: pathToFileURL(resolve(file)).href });
    while (!events.some((e) => e.method === "Page.loadEventFired")) await new Promise((r) => setTimeout(r, 20));
    const note = (what) => wrong.push(`${basename(file)}, ${view.name}: ${what}`);
    for (const phase of ["closed", "open"]) {
      if (phase === "open") await run("document.querySelectorAll('details').forEach((d) => (d.open = true))");
      (await run(`(${look})()`)).forEach((w) => note(`${phase}: ${w}`));
      if (phase === "closed" || view.name === "phone") {
        const height = Math.min(await run("document.documentElement.scrollHeight"), 12000);
        const clip = { x: 0, y: 0, width: view.width, height, scale: 1 };
        const shot = await tell("Page.captureScreenshot", { captureBeyondViewport: true, clip });
        writeFileSync(join(shots, `${basename(file, ".html")}-${view.name}-${phase}.png`), Buffer.from(shot.data, "base64"));
      }
    }
    for (const e of events) {
      if (e.method === "Runtime.exceptionThrown" || e.method === "Runtime.consoleAPICalled" || e.method === "Log.entryAdded") {
        note(`console: ${JSON.stringify(e.params).slice(0, 200)}`);
      }
      if (e.method === "Network.requestWillBeSent" && !e.params.request.url.startsWith("file:")) {
        note(`fetches ${e.params.request.url.slice(0, 120)}`);
      }
    }
    if (view.media === "print" && (await run("document.body.classList.contains('sheet')"))) {
      (await run(`(${colours})()`)).forEach((c) => note(`neither black nor white: ${c}`));
      const pages = pagesOf(Buffer.from((await tell("Page.printToPDF", { preferCSSPageSize: true })).data, "base64"));
      if (pages !== 1) note(`prints on ${pages} pages`);
    }
    if (view.keys) (await byKeyboard(tell, run)).forEach(note);
    if (axe && view.media === "screen") {
      await run(axe);
      const found = await run(
        "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })" +
        ".then((r) => r.violations.map((v) => `${v.id}: ${v.help} (${v.nodes.length}) ${v.nodes[0].html.slice(0, 160)}`))");
      found.forEach((f) => note(`axe: ${f}`));
    }
  }
  await send("Target.closeTarget", { targetId });
  console.log(`looked at ${file}`);
}
browser.kill();
wrong.forEach((w) => console.log(`WRONG ${w}`));
const files = process.argv.length - 2;
console.log(`${files} reports in ${VIEWS.length} views: ${wrong.length} faults`);
process.exit(wrong.length === 0 && files > 0 ? 0 : 1);
