// The page's own check in Firefox, through the real folder dialog and the real question about "uploading", and its print.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { after, before, describe, test } from "node:test";
import { pathToFileURL } from "node:url";
import { SHOTS, WORK, copyOf, makePackage } from "./stand.mjs";
import { startFirefox, until } from "./marionette.mjs";

let firefox;
let ordinary;

before(async () => {
  mkdirSync(SHOTS, { recursive: true });
  ordinary = makePackage("ordinary");
  firefox = await startFirefox();
  await firefox.send("Marionette:SetContext", { value: "chrome" });
  await run(LISTEN, ASKED);
  await firefox.send("Marionette:SetContext", { value: "content" });
  console.log(`Firefox ${firefox.version}`);
});
after(() => firefox?.end());

const run = async (script, ...args) => (await firefox.send("WebDriver:ExecuteScript", { script, args })).value;

/** Where Firefox writes down what it asks, once its buttons may be pressed. While a question stands, no script may be run. */
const ASKED = path.join(WORK, "firefox", "question.json");

/** Run in Firefox's own window: waits for every question and writes down its words and the places of its buttons on the screen. */
const LISTEN = `
  const file = arguments[0];
  Services.obs.addObserver((asking) => {
    const dialog = asking.document.getElementById("commonDialog");
    const timer = asking.setInterval(() => {
      const [accept, cancel] = ["accept", "cancel"].map((name) => dialog.getButton(name));
      if (accept.disabled || !accept.getBoundingClientRect().width) return;
      asking.clearInterval(timer);
      const place = (button) => {
        const box = button.getBoundingClientRect();
        return [asking.mozInnerScreenX + box.x + box.width / 2, asking.mozInnerScreenY + box.y + box.height / 2];
      };
      const text = asking.document.getElementById("infoBody").textContent;
      asking.IOUtils.writeJSON(file, { text, accept: place(accept), cancel: place(cancel) }, { tmpPath: file + ".part" });
    }, 50);
  }, "common-dialog-loaded");
`;

const open = (folder) => firefox.send("WebDriver:Navigate", { url: pathToFileURL(path.join(folder, "START-HERE.html")).href });

const click = ([x, y]) => {
  firefox.hands("mousemove", String(Math.round(x)), String(Math.round(y)));
  firefox.hands("click", "1");
};

/** Returns the number of the folder dialog's window, or nothing. */
const dialog = () => {
  try {
    return firefox.hands("search", "--onlyvisible", "--name", "^Select Folder").split("\n")[0];
  } catch {
    return "";
  }
};

/** Clicks on the page's button until the dialog is there. */
const openDialog = async () => {
  const place = await run(`
    const button = document.getElementById("choose");
    button.scrollIntoView({ block: "center", behavior: "instant" });
    const box = button.getBoundingClientRect();
    return [mozInnerScreenX + box.x + box.width / 2, mozInnerScreenY + box.y + box.height / 2];
  `);
  click(place);
  const window = await until("the folder dialog", dialog);
  firefox.hands("windowfocus", "--sync", window);
  return window;
};

/** Presses a button of the question until the question is gone. */
const press = async (place) => {
  await until("the question is answered", async () => {
    try {
      await firefox.send("WebDriver:GetAlertText");
    } catch (fault) {
      if (/^no such alert/.test(fault.message)) return true;
      throw fault;
    }
    click(place);
    return false;
  });
};

/** Types a folder's path into the dialog and answers the question that follows. */
const choose = async (folder, answer = "accept") => {
  const asked = await reach(folder);
  assert.match(asked.text, new RegExp(`upload all files from .${path.basename(folder)}.`));
  await press(asked[answer]);
};

/** The dialog completes what is typed, sometimes into a folder further in: then everything is left again, and typed anew. */
const reach = async (folder) => {
  for (let time = 0; time < 5; time += 1) {
    rmSync(ASKED, { force: true });
    const window = await openDialog();
    firefox.hands("key", "ctrl+l");
    firefox.hands("type", "--delay", "40", folder);
    firefox.hands("key", "Delete");
    firefox.hands("key", "Return");
    await until("the dialog closes", () => closed(window, "Return"));
    const asked = await until("the question", () => existsSync(ASKED) && JSON.parse(readFileSync(ASKED, "utf8")));
    if (asked.text.includes(path.basename(folder))) return asked;
    await press(asked.cancel);
  }
  throw new Error("the dialog never chose the folder");
};

/** Tells whether the dialog is gone; if not, presses a key in it. */
const closed = (window, key) => {
  if (!dialog()) return true;
  try {
    firefox.hands("windowfocus", "--sync", window);
    firefox.hands("key", key);
  } catch {
    // It went in this moment.
  }
  return false;
};

const verdict = () => until("a verdict", () => run(`
  const box = document.getElementById("verdict");
  if (box.hidden) return null;
  return {
    outcome: box.querySelector("h3").textContent,
    text: box.innerText,
    heads: [...box.querySelectorAll("h4")].map((one) => one.textContent),
    lines: [...box.querySelectorAll("li")].map((one) => one.innerText.replace(/\\n/g, " ")),
    focused: document.activeElement === box,
    strict: location.origin,
  };
`));

const shot = async (name) => {
  const { value } = await firefox.send("WebDriver:TakeScreenshot", { full: false });
  writeFileSync(path.join(SHOTS, `firefox ${name}.png`), Buffer.from(value, "base64"));
};

const tell = (name, found) => console.log(`${name}: ${found.text.split("\n").filter(Boolean).slice(0, 2).join(" / ")}`);

describe("the check in Firefox", () => {
  test("intact", async () => {
    const copy = copyOf(ordinary, "firefox-intact");
    await open(copy);
    await choose(copy);
    const found = await verdict();
    tell("intact", found);
    assert.equal(found.outcome, "Sound");
    assert.deepEqual(found.heads, []);
    assert.match(found.text, /All \d+ files are there and unchanged\. Read in full: \d+ files/);
    assert.ok(found.focused);
    assert.equal(found.strict, "null");
    await shot("intact");
  });

  test("damaged and missing", async () => {
    const copy = copyOf(ordinary, "firefox-damaged");
    const front = path.join(copy, "data/portraits/A-001/A-001-front-0.jpg");
    const bytes = readFileSync(front);
    bytes[200] ^= 1;
    writeFileSync(front, bytes);
    rmSync(path.join(copy, "data/portraits/A-001/A-001-back-1.jpg"));
    await open(copy);
    await choose(copy);
    const found = await verdict();
    tell("damaged and missing", found);
    assert.equal(found.outcome, "Damaged");
    assert.deepEqual(found.heads, ["Missing: 1 file", "Changed: 1 file"]);
    assert.match(found.lines[0], /^no\. A-001, back .*A-001-back-1\.jpg$/);
    assert.match(found.lines[1], /^no\. A-001, front .*A-001-front-0\.jpg$/);
    await shot("damaged and missing");
  });

  test("cancelled in the folder dialog", async () => {
    await open(ordinary);
    const window = await openDialog();
    await until("the dialog closes", () => closed(window, "Escape"));
    const found = await verdict();
    tell("cancelled in the folder dialog", found);
    assert.match(found.text, /^Cannot tell\s+Nothing was checked\. No folder was chosen\./);
    await shot("cancelled");
  });

  // Firefox tells a page nothing of this Cancel, so the page can say nothing either; it must not have claimed anything, and go on.
  test("cancelled at the question about uploading, then chosen again", async () => {
    await open(ordinary);
    await choose(ordinary, "cancel");
    const [hidden, waiting] = await run(`return [document.getElementById("verdict").hidden, document.getElementById("choose").disabled]`);
    assert.deepEqual([hidden, waiting], [true, false]);
    await choose(ordinary);
    const found = await verdict();
    tell("cancelled at the question, then chosen again", found);
    assert.equal(found.outcome, "Sound");
  });
});

describe("print in Firefox", () => {
  for (const [name, width, height] of [["A4", 21, 29.7], ["Letter", 21.59, 27.94]]) {
    test(`${name}: the seal at the foot of each sheet, and no entry on two sheets`, async () => {
      await open(ordinary);
      const { value } = await firefox.send("WebDriver:Print", { background: true, shrinkToFit: false, page: { width, height }, margin: {} });
      const file = path.join(SHOTS, `firefox print ${name}.pdf`);
      writeFileSync(file, Buffer.from(value, "base64"));
      const sheets = execFileSync("pdftotext", ["-layout", file, "-"], { encoding: "utf8" }).split("\f").filter((one) => one.trim());
      const seal = await run(`return document.querySelector(".sheet-foot").textContent`);
      console.log(`${name}: ${sheets.length} sheets`);
      sheets.forEach((sheet, at) => assert.match(sheet.trim().split("\n").pop(), new RegExp(seal), `sheet ${at + 1}`));
      for (const number of ["A-001", "A-002", "A-003", "A-004", "A-005"]) {
        const begins = sheets.findIndex((sheet) => new RegExp(`^ *${number} *$`, "m").test(sheet));
        assert.ok(begins >= 0, number);
        assert.match(sheets[begins], new RegExp(`no\\.\\s+${number},`), `${number} is whole on sheet ${begins + 1}`);
      }
    });
  }
});
