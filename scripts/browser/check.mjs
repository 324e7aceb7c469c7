// Opens a page of a lesson, or another one in its manner, in a real browser and checks it.
//
// usage: node check.mjs PAGE.html [--most N] [--screenshots DIR] [--views light|none]
//
// The page loads without a console message or a request; it is valid HTML; axe has no serious
// finding in light and dark, wide and narrow; nothing is wider than a phone. Printed on A4 and
// Letter its parts come in order, what has a page of its own at the top of one, every diagram is whole, no page but the last is
// used by less than a half, and there are at most N pages. It is looked at in light views only, or in none, where --views says so.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, existsSync, mkdirSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

import axe from "axe-core";
import { HtmlValidate } from "html-validate";
import { chromium } from "playwright-core";

const [file, ...options] = process.argv.slice(2);
const given = {};
for (let at = 0; at < options.length; at += 2) given[options[at]] = options[at + 1];
const known = ["--most", "--screenshots", "--views"];
if (!file || options.length % 2 || Object.keys(given).some((name) => !known.includes(name))) {
  console.error("usage: node check.mjs PAGE.html [--most N] [--screenshots DIR] [--views light|none]");
  process.exit(2);
}
const most = Number(given["--most"] ?? Infinity);
const folder = given["--screenshots"];
const stem = basename(file, ".html");
const browserPath = process.env.CHROMIUM ?? "/usr/bin/chromium";
const url = pathToFileURL(resolve(file)).href;
const faults = [];
const check = (holds, fault) => holds || faults.push(fault);
const say = (line) => process.stdout.write(`${line}\n`);

const VIEWS = [
  { name: "desktop-light", width: 1280, height: 900, colorScheme: "light" },
  { name: "desktop-dark", width: 1280, height: 900, colorScheme: "dark" },
  { name: "phone-light", width: 390, height: 812, colorScheme: "light" },
  { name: "phone-dark", width: 390, height: 812, colorScheme: "dark" },
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
    await page.screenshot({ path: join(folder, `${stem}-${view.name}-top.png`) });
    for (const [name, selector] of [["trap", "section.trap, section.entry"], ["quiz", "section.quiz"]]) {
      const part = page.locator(selector).first();
      if (await part.count()) await part.screenshot({ path: join(folder, `${stem}-${view.name}-${name}.png`) });
    }
  }
  await context.close();
}

// The words of each printed page.
function printed(path) {
  const text = execFileSync("pdftotext", ["-layout", path, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  return text.split("\f").slice(0, -1);
}

// How far down each page is used, as shares of the height between its margins.
function used(path, margin) {
  const boxes = execFileSync("pdftotext", ["-bbox", path, "-"], { encoding: "utf8", maxBuffer: 1 << 28 });
  return boxes.split("<page ").slice(1).map((page) => {
    const height = Number(page.match(/height="([\d.]+)"/)[1]);
    const ends = [...page.matchAll(/yMax="([\d.]+)"/g)].map((end) => Number(end[1]));
    return (Math.max(0, ...ends) - margin) / (height - 2 * margin);
  });
}

async function print(browser, format) {
  const page = await browser.newPage();
  await page.goto(url);
  const work = mkdtempSync(join(tmpdir(), "lesson-"));
  const path = join(folder ?? work, `${stem}-${format}.pdf`);
  await page.pdf({ path, format, preferCSSPageSize: false });
  const outline = await page.evaluate(() => ({
    heads: [...document.querySelectorAll("section.trap.whole h2, section.quiz.apart h2")].map((node) => node.textContent.trim()),
    diagrams: document.querySelectorAll("svg.board").length,
  }));
  const pages = printed(path);
  check(pages.length <= most, `${format}: ${pages.length} pages, more than ${most}`);
  const words = (text) => text.split(/\s+/).filter(Boolean);
  const firstLine = (text) => text.trim().split("\n")[0].replace(/\s+/g, " ");
  // What has a page of its own begins one, in order.
  let at = 0;
  for (const heading of outline.heads) {
    const start = heading.replace(/\s+/g, " ").slice(0, 40);
    const found = pages.findIndex((text, place) => place > at && firstLine(text).startsWith(start));
    check(found > 0, `${format}: "${start}" does not begin a page behind page ${at + 1}`);
    at = found > 0 ? found : at;
  }
  const margin = (12 / 25.4) * 72;
  const shares = used(path, margin);
  shares.slice(0, -1).forEach((share, place) => {
    check(share >= 0.5, `${format}: page ${place + 1} is used to ${Math.round(100 * share)} %`);
  });
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
  const least = Math.round(100 * Math.min(...shares.slice(0, -1)));
  say(`${format}: ${pages.length} pages, the emptiest but the last used to ${least} %, ${whole} of ${outline.diagrams} diagrams whole`);
  rmSync(work, { recursive: true });
  await page.close();
}

// What takes a browser: looks and prints.
async function examine() {
  const browser = await chromium.launch({
    executablePath: browserPath,
    args: [
      "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ],
  });
  try {
    const views = VIEWS.filter(({ name }) => !given["--views"] || name.endsWith(given["--views"]));
    for (const view of views) await look(browser, view);
    for (const format of ["A4", "Letter"]) await print(browser, format);
  } finally {
    await browser.close();
  }
}

if (!existsSync(browserPath)) {
  console.error(`there is no browser at ${browserPath}`);
  process.exit(2);
}
await validate();
const valid = faults.length;
// A browser that dies says nothing about the page: another is started, twice at the most.
for (let left = 2; ; left--) {
  try {
    await examine();
    break;
  } catch (error) {
    const died = /has been closed|crashed|Target closed|Failed to launch/.test(error.message);
    if (!died || left === 0) throw error;
    console.error(`the browser died and is started again: ${error.message.split("\n")[0]}`);
    faults.length = valid;
  }
}
const different = [...new Set(faults)];
for (const fault of different.slice(0, 30)) console.error(fault);
say(faults.length ? `${different.length} faults` : `${basename(file)} is sound`);
process.exit(faults.length ? 1 : 0);
