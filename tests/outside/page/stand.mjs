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

/** Opens a package's page. Every request that is not for a file on this disk, and every fault of the script, is kept. */
export const open = async (browser, folder, options = {}, before = null) => {
  const context = await browser.newContext({ viewport: { width: 1360, height: 1000 }, ...options });
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
  if (before) await page.addInitScript(before);
  await page.goto(pathToFileURL(path.join(folder, "START-HERE.html")).href);
  return page;
};

/** Chooses a folder in the page and returns the words of the verdict. */
export const choose = async (page, folder, limit = 60000) => {
  await page.setInputFiles("#chooser", folder);
  return verdict(page, limit);
};

/** Waits for the verdict and returns its words. */
export const verdict = async (page, limit = 60000) => {
  await page.waitForSelector("#verdict:not([hidden])", { timeout: limit });
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
  const session = await page.context().newCDPSession(page);
  const place = await page.locator("#drop").boundingBox();
  const event = { x: place.x + place.width / 2, y: place.y + place.height / 2, data: { items: [], files: [folder], dragOperationsMask: 1 } };
  for (const type of ["dragEnter", "dragOver", "drop"]) await session.send("Input.dispatchDragEvent", { type, ...event });
  return verdict(page);
};

/** Returns what axe finds wrong: WCAG 2.0 to 2.2, A and AA, and best practice. */
export const axe = async (page) => {
  await page.evaluate(AXE);
  const result = await page.evaluate(() =>
    window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }),
  );
  return result.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(" ")).join(", ")}`);
};
