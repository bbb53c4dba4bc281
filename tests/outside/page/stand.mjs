// What the checks stand on: packages made by the project's own code, copies of them damaged on purpose, and a browser.

import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

export const ROOT = path.resolve(import.meta.dirname, "../../..");
export const WORK = path.join(ROOT, "target", "page");
export const SHOTS = path.join(WORK, "screenshots");
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** Starts Debian's Chromium. */
export const startBrowser = () => chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: FLAGS });

/** How long anything may take before it counts as never: a loaded machine is slow, and a check that is right must not fail for it. */
export const PATIENCE = 120000;

/** Makes a package of one kind below target/ and returns its folder. */
export const makePackage = (kind) => {
  const folder = path.join(WORK, "made", kind);
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  execFileSync("cargo", ["run", "--quiet", "--example", "page-package", "--", folder, kind], { cwd: ROOT, stdio: "inherit" });
  return folder;
};

/** Copies a package, so that the copy can be damaged. */
export const copyOf = (folder, name) => {
  const copy = path.join(WORK, "copies", name, path.basename(folder));
  rmSync(path.dirname(copy), { recursive: true, force: true });
  cpSync(folder, copy, { recursive: true });
  return copy;
};

/** Opens a package's page, after what is to be done before its own script. Every request that is not for a file on this disk, and every fault of the script, is kept. */
export const open = async (browser, folder, options = {}, before = null, given = undefined) => {
  const context = await browser.newContext({ viewport: { width: 1360, height: 1000 }, ...options });
  context.setDefaultTimeout(PATIENCE);
  const page = await context.newPage();
  page.strangers = [];
  page.faults = [];
  page.on("request", (request) => {
    if (!/^(file|blob):/.test(request.url())) page.strangers.push(request.url());
  });
  page.on("pageerror", (fault) => page.faults.push(String(fault)));
  page.on("console", (message) => {
    if (message.type() === "error") page.faults.push(message.text());
  });
  for (const act of [before].flat().filter(Boolean)) await page.addInitScript(act, given);
  await page.goto(pathToFileURL(path.join(folder, "START-HERE.html")).href);
  return page;
};

/** Chooses a folder in the page and returns the words of the verdict. */
export const choose = async (page, folder, limit = PATIENCE) => {
  await forgetVerdict(page);
  await page.setInputFiles("#chooser", folder, { timeout: limit });
  return verdict(page, limit);
};

/** Marks the verdict that stands there, so that it cannot be taken for the next one. */
export const forgetVerdict = (page) => page.evaluate(() => document.querySelector("#verdict h3")?.setAttribute("data-old", ""));

/** Waits for a new verdict and returns its words. */
export const verdict = async (page, limit = PATIENCE) => {
  await page.waitForSelector("#verdict:not([hidden]) h3:not([data-old])", { timeout: limit });
  return page.evaluate(() => {
    const box = document.getElementById("verdict");
    return {
      outcome: box.querySelector("h3").textContent,
      text: box.innerText,
      lines: [...box.querySelectorAll("h4")].map((head) => ({
        head: head.textContent,
        files: [...head.nextElementSibling.nextElementSibling.querySelectorAll("li")].map((line) => line.innerText.replace(/\n/g, " ")),
      })),
      focused: document.activeElement === box,
      spoken: document.getElementById("spoken").textContent,
    };
  });
};

/** Drops a folder from outside on the page, as a person does. */
export const drop = async (page, folder) => {
  await forgetVerdict(page);
  const session = await page.context().newCDPSession(page);
  const place = await page.locator("#drop").boundingBox();
  const event = { x: place.x + place.width / 2, y: place.y + place.height / 2, data: { items: [], files: [folder], dragOperationsMask: 1 } };
  for (const type of ["dragEnter", "dragOver"]) await session.send("Input.dispatchDragEvent", { type, ...event });
  // Let go only when the page has said that it takes the folder.
  await page.waitForSelector("#drop.is-over");
  await session.send("Input.dispatchDragEvent", { type: "drop", ...event });
  return verdict(page);
};

/** Makes every picture load, also those far below, and waits until all of them are there. */
export const allPictures = (page) => page.evaluate(async () => {
  await Promise.all([...document.images].map((picture) => {
    picture.loading = "eager";
    return picture.decode();
  }));
});

/** Returns how many times as long one thing takes as another, both measured by turns, again while it is above the limit: other work on the machine only ever adds. */
export const ratio = async (limit, ours, other, times = 6) => {
  let [least, reference] = [Infinity, Infinity];
  do {
    least = Math.min(least, await ours());
    reference = Math.min(reference, await other());
    times -= 1;
  } while (times > 0 && least > limit * reference);
  return least / reference;
};

/** Has every entry laid out: what the browser leaves until it is scrolled to has another place each time that it is asked for. */
const layOut = (page) => page.evaluate(async () => {
  document.querySelectorAll(".entry").forEach((entry) => { entry.style.contentVisibility = "visible"; });
  await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
});

/** Returns what axe finds wrong, in the whole page or in one part of it: WCAG 2.0 to 2.2, A and AA, and best practice. */
export const axe = async (page, part = undefined) => {
  await layOut(page);
  await page.evaluate(AXE);
  const result = await page.evaluate((part) =>
    window.axe.run(part ?? document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }),
  part);
  return result.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(" ")).join(", ")}`);
};
