// Opens a lesson, or another page in its manner, in a real browser and checks it.
//
// usage: node check.mjs PAGE.html [--screenshots DIR]
//
// The page loads without a console message or a request; it is valid HTML; axe has no serious
// finding in light and dark, wide and narrow; nothing is wider than a phone; printed on A4 and
// Letter the parts come in order, each on a page of its own, and every diagram is whole.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, existsSync, mkdirSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

import axe from "axe-core";
import { HtmlValidate } from "html-validate";
import { chromium } from "playwright-core";

const [file, option, folder] = process.argv.slice(2);
if (!file || (option && (option !== "--screenshots" || !folder))) {
  console.error("usage: node check.mjs PAGE.html [--screenshots DIR]");
  process.exit(2);
}
const browserPath = process.env.CHROMIUM ?? "/usr/bin/chromium";
const url = pathToFileURL(resolve(file)).href;
const faults = [];
const check = (holds, fault) => holds || faults.push(fault);
const say = (line) => process.stdout.write(`${line}\n`);

const VIEWS = [
  { name: "desktop-light", width: 1100, height: 900, colorScheme: "light" },
  { name: "desktop-dark", width: 1100, height: 900, colorScheme: "dark" },
  { name: "phone-light", width: 375, height: 812, colorScheme: "light" },
  { name: "phone-dark", width: 375, height: 812, colorScheme: "dark" },
];

async function validate() {
  const html = new HtmlValidate({
    extends: ["html-validate:recommended"],
    rules: {
      // Case and line ends are style; inline SVG attributes keep their case.
      "doctype-style": "off",
      "no-trailing-whitespace": "off",
      "long-title": "off",
      // Both are for wrappers that scroll and must be reached by keyboard.
      "prefer-native-element": ["error", { exclude: ["group"] }],
    },
  });
  const report = await html.validateString(readFileSync(file, "utf8"), file);
  for (const result of report.results) {
    for (const message of result.messages.slice(0, 10)) {
      faults.push(`HTML ${message.line}:${message.column} ${message.ruleId}: ${message.message}`);
    }
  }
  say(`html-validate: ${report.errorCount} errors, ${report.warningCount} warnings`);
}

async function look(browser, view) {
  const context = await browser.newContext({
    viewport: { width: view.width, height: view.height },
    colorScheme: view.colorScheme,
  });
  const page = await context.newPage();
  page.on("console", (message) => faults.push(`${view.name}: console: ${message.text()}`));
  page.on("pageerror", (error) => faults.push(`${view.name}: error: ${error.message}`));
  page.on("request", (request) => check(request.url() === url, `${view.name}: asks for ${request.url()}`));
  await page.goto(url);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  check(wide <= 0, `${view.name}: the page is ${wide} pixels too wide`);
  const styled = await page.evaluate(() => getComputedStyle(document.body).maxWidth);
  check(styled !== "none", `${view.name}: the style sheet does not apply`);
  await page.evaluate(axe.source);
  const { violations } = await page.evaluate(() => globalThis.axe.run());
  for (const { id, impact, help, nodes } of violations) {
    const line = `${view.name}: axe ${impact} ${id}: ${help} (${nodes.length}, first ${nodes[0].html.slice(0, 120)})`;
    if (["serious", "critical"].includes(impact)) faults.push(line);
    else say(line);
  }
  say(`${view.name}: loaded, ${violations.length} findings by axe`);
  if (folder) {
    mkdirSync(folder, { recursive: true });
    await page.screenshot({ path: join(folder, `${view.name}-top.png`) });
    for (const [name, selector] of [["trap", "section.trap"], ["quiz", "section.quiz"]]) {
      const part = page.locator(selector).first();
      if (await part.count()) await part.screenshot({ path: join(folder, `${view.name}-${name}.png`) });
    }
  }
  await context.close();
}

// The words of each printed page, with the words of one diagram's edges counted.
function printed(path) {
  const text = execFileSync("pdftotext", ["-layout", path, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  return text.split("\f").slice(0, -1);
}

async function print(browser, format) {
  const page = await browser.newPage();
  await page.goto(url);
  const work = mkdtempSync(join(tmpdir(), "lesson-"));
  const path = join(folder ?? work, `print-${format}.pdf`);
  await page.pdf({ path, format, preferCSSPageSize: false });
  const outline = await page.evaluate(() => ({
    traps: [...document.querySelectorAll("section.trap h2")].map((node) => node.textContent.trim()),
    quiz: [...document.querySelectorAll("section.quiz h2, section.solutions h2")].map((node) => node.textContent.trim()),
    diagrams: document.querySelectorAll("svg.board").length,
  }));
  const pages = printed(path);
  const words = (text) => text.split(/\s+/).filter(Boolean);
  const firstLine = (text) => text.trim().split("\n")[0].replace(/\s+/g, " ");
  // Each part begins a page, in order.
  let at = 0;
  for (const heading of [...outline.traps, ...outline.quiz]) {
    const start = heading.replace(/\s+/g, " ").slice(0, 40);
    const found = pages.findIndex((text, place) => place > at && firstLine(text).startsWith(start));
    check(found > 0, `${format}: "${start}" does not begin a page behind page ${at + 1}`);
    at = found > 0 ? found : at;
  }
  // A whole diagram has its letters a to h and its digits 1 to 8 on one page.
  let whole = 0;
  pages.forEach((text, place) => {
    const on = words(text);
    const counts = [..."abcdefgh"].map((letter) => on.filter((word) => word === letter).length);
    check(Math.min(...counts) >= counts[7], `${format}: page ${place + 1} has part of a diagram`);
    const captions = on.filter((word) => word === "h").length;
    whole += captions;
    const ranks = on.filter((word) => word === "8").length;
    check(ranks >= captions, `${format}: page ${place + 1} has a diagram without its upper edge`);
  });
  check(whole === outline.diagrams, `${format}: ${whole} of ${outline.diagrams} diagrams are whole`);
  say(`${format}: ${pages.length} pages, ${whole} of ${outline.diagrams} diagrams whole`);
  rmSync(work, { recursive: true });
  await page.close();
}

check(existsSync(browserPath), `there is no browser at ${browserPath}`);
const browser = await chromium.launch({
  executablePath: browserPath,
  args: [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
  ],
});
try {
  await validate();
  for (const view of VIEWS) await look(browser, view);
  for (const format of ["A4", "Letter"]) await print(browser, format);
} finally {
  await browser.close();
}
const different = [...new Set(faults)];
for (const fault of different.slice(0, 30)) console.error(fault);
say(faults.length ? `${different.length} faults` : "the page is sound");
process.exit(faults.length ? 1 : 0);
