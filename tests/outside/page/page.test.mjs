// The page of a package in a real browser: what it shows, and what its check says of packages damaged on purpose.

import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { createHash, randomBytes } from "node:crypto";
import { mkdirSync, openSync, closeSync, existsSync, readFileSync, readdirSync, renameSync, rmSync, statSync, symlinkSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import { after, before, describe, test } from "node:test";
import { PATIENCE, ROOT, SHOTS, WORK, allPictures, axe, choose, copyOf, drop, makePackage, open, ratio, startBrowser, verdict } from "./stand.mjs";

let browser;
let ordinary;
let hostile;
let many;

before(async () => {
  rmSync(SHOTS, { recursive: true, force: true });
  mkdirSync(SHOTS, { recursive: true });
  ordinary = makePackage("ordinary");
  hostile = makePackage("hostile");
  many = makePackage("many");
  browser = await startBrowser();
});
after(async () => {
  await browser?.close();
});

const FRONT = "data/portraits/A-001/A-001-front-0.jpg";
const BACK = "data/portraits/A-001/A-001-back-1.jpg";
const VIEWING = "data/viewing/A-002-front-5.jpg";

const flip = (file, at = 200) => {
  const bytes = readFileSync(file);
  bytes[at] ^= 1;
  writeFileSync(file, bytes);
};
const sha256 = (bytes) => createHash("sha256").update(bytes).digest("hex");
const filesBelow = (folder) => readdirSync(folder, { recursive: true, withFileTypes: true }).filter((one) => one.isFile()).length;

/** Every case: what is done to a copy, and what the check must say of it. `heads` are the groups, worst first. */
const CASES = {
  "intact": { outcome: "Sound", heads: [], says: [/^Sound\s+All \d+ files are there and unchanged\. Read in full: \d+ files/] },
  "one flipped byte": { harm: (at) => flip(at(FRONT)), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/^no\. A-001, front .*A-001-front-0\.jpg$/] },
  "cut short": { harm: (at) => truncateSync(at(FRONT), 999), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/A-001, front .* shorter than it was: 999 instead of \d{1,3}(,\d{3})+ bytes/] },
  "grown longer": { harm: (at) => writeFileSync(at(FRONT), "x", { flag: "a" }), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/longer than it was/] },
  "emptied": { harm: (at) => truncateSync(at(BACK), 0), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/A-001, back .* It is empty\./] },
  "missing": { harm: (at) => rmSync(at(BACK)), outcome: "Damaged", heads: ["Missing: 1 file"], lines: [/^no\. A-001, back .*A-001-back-1\.jpg$/] },
  "extra": { harm: (at) => writeFileSync(at("data/portraits/holiday.jpg"), "new"), outcome: "Not in order", heads: ["Not listed: 1 file"], lines: [/holiday\.jpg/] },
  "renamed": { harm: (at) => renameSync(at(BACK), at("data/portraits/A-001/reverse.jpg")), outcome: "Damaged", heads: ["Renamed, contents unchanged: 1 file"], lines: [/A-001, back .*reverse\.jpg It was called data\/portraits\/A-001\/A-001-back-1\.jpg/] },
  "front and back swapped": {
    harm: (at) => { renameSync(at(FRONT), at("x")); renameSync(at(BACK), at(FRONT)); renameSync(at("x"), at(BACK)); },
    outcome: "Damaged", heads: ["Changed: 2 files"], lines: [/A-001, back .* now holds what .*front-0\.jpg should hold/, /A-001, front .* now holds what .*back-1\.jpg should hold/],
  },
  "harmless litter": {
    harm: (at) => { writeFileSync(at("data/Thumbs.db"), "t"); writeFileSync(at(".DS_Store"), "d"); writeFileSync(at("data/viewing/._a.jpg"), "a"); },
    outcome: "Not in order", heads: ["Harmless litter: 3 files"], says: [/does no harm/],
  },
  "payload and manifest rewritten": {
    harm: (at) => {
      flip(at(FRONT));
      const manifest = readFileSync(at("manifest-sha256.txt"), "utf8");
      writeFileSync(at("manifest-sha256.txt"), manifest.replace(new RegExp(`^[0-9a-f]{64}(?=  ${FRONT})`, "m"), sha256(readFileSync(at(FRONT)))));
    },
    outcome: "Damaged", heads: ["Changed: 2 files"], lines: [/A-001, front/, /manifest-sha256\.txt .*not the seal on this page/],
  },
  "manifest gone": { harm: (at) => rmSync(at("manifest-sha256.txt")), outcome: "Damaged", heads: ["Missing: 1 file"], lines: [/^manifest-sha256\.txt$/] },
  "tag manifest gone": { harm: (at) => rmSync(at("tagmanifest-sha256.txt")), outcome: "Not in order", heads: ["Missing: 1 file"], lines: [/^tagmanifest-sha256\.txt Outside .* only the list of files was checked\./] },
  "viewing picture changed": { harm: (at) => flip(at(VIEWING), 400), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/A-002, front .*viewing/] },
  "bag-info changed": { harm: (at) => writeFileSync(at("bag-info.txt"), "x", { flag: "a" }), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/^bag-info\.txt/] },
  "page changed": { harm: (at) => writeFileSync(at("START-HERE.html"), "<!-- note -->\n", { flag: "a" }), outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/^START-HERE\.html/] },
  "several harms at once": {
    harm: (at) => { flip(at(FRONT)); rmSync(at(BACK)); writeFileSync(at("data/new.txt"), "n"); },
    outcome: "Damaged", heads: ["Missing: 1 file", "Changed: 1 file", "Not listed: 1 file"],
  },
};

const assertVerdict = (found, wanted) => {
  assert.equal(found.outcome, wanted.outcome, found.text);
  assert.deepEqual(found.lines.map((one) => one.head), wanted.heads, found.text);
  const lines = found.lines.flatMap((one) => one.files);
  (wanted.lines ?? []).forEach((pattern, position) => assert.match(lines[position], pattern));
  (wanted.says ?? []).forEach((pattern) => assert.match(found.text, pattern));
  assert.ok(found.focused, "the verdict has the focus");
  assert.match(found.spoken, new RegExp(`^${wanted.outcome}`));
};

/** Runs the program and returns what it prints; damage found is an answer too. */
const kithbag = (...words) => {
  const program = process.env.KITHBAG ?? path.join(ROOT, "target/debug/kithbag");
  const { stdout, stderr, status } = spawnSync(program, words, { encoding: "utf8", env: { ...process.env, NO_COLOR: "1" } });
  assert.ok(status === 0 || status === 1, `kithbag ${words.join(" ")}: ${status} ${stderr}`);
  return stdout;
};

/** Where the program and the page know the same, they say the same, word for word. */
const SAME_WORDS = ["intact", "one flipped byte", "cut short", "grown longer", "missing", "extra", "renamed", "front and back swapped", "viewing picture changed", "bag-info changed", "page changed", "several harms at once"];

/** Returns the line of `audit` that says it all, up to how much was read. */
const lineOfAudit = (folder) => /^((?:Sound|Damaged|Not in order): .*?\.) Read in full/m.exec(kithbag("audit", folder))?.[1];

/** What holds of every verdict: accessible, in the whole page or the part that differs; no fault, nothing asked of any network. Keeps a picture of it. */
const lookAt = async (page, name, part = undefined) => {
  assert.deepEqual(await axe(page, part), []);
  assert.deepEqual(page.strangers, []);
  assert.deepEqual(page.faults, []);
  await page.locator("#verdict").scrollIntoViewIfNeeded();
  await page.screenshot({ path: path.join(SHOTS, `verdict ${name}.png`) });
};

describe("the verdict, by choosing the folder", () => {
  for (const [name, wanted] of Object.entries(CASES)) {
    test(name, async () => {
      const copy = copyOf(ordinary, name.replace(/ /g, "-"));
      wanted.harm?.((file) => path.join(copy, file));
      const page = await open(browser, copy);
      const found = await choose(page, copy);
      assertVerdict(found, wanted);
      if (SAME_WORDS.includes(name)) assert.equal(lineOfAudit(copy)?.toLowerCase(), found.spoken.toLowerCase());
      // The one that says most is looked at with the whole page.
      await lookAt(page, name, name === "several harms at once" ? undefined : "#verdict");
      await page.context().close();
    });
  }

  test("the folder above, with another package beside it", async () => {
    const copy = copyOf(ordinary, "above");
    const other = path.join(path.dirname(copy), "another");
    mkdirSync(other);
    writeFileSync(path.join(other, "bagit.txt"), "BagIt-Version: 1.0\n");
    const page = await open(browser, copy);
    assertVerdict(await choose(page, path.dirname(copy)), { outcome: "Sound", heads: [], says: [/Folder: above\/ordinary/] });
    await page.context().close();
  });

  test("only data/ chosen: nothing was checked", async () => {
    const page = await open(browser, ordinary);
    const found = await choose(page, path.join(ordinary, "data"));
    assertVerdict(found, { outcome: "Cannot tell", heads: [], says: [/nothing was checked.*part of the package/i] });
    await lookAt(page, "only a part", "#verdict");
    await page.context().close();
  });

  test("a folder without a package: nothing was checked", async () => {
    const folder = path.join(WORK, "copies", "stranger");
    mkdirSync(folder, { recursive: true });
    writeFileSync(path.join(folder, "letter.txt"), "dear");
    const page = await open(browser, ordinary);
    assertVerdict(await choose(page, folder), { outcome: "Cannot tell", heads: [], says: [/Nothing was checked.*no package/] });
    await lookAt(page, "no package", "#verdict");
    await page.context().close();
  });

  test("the page of one copy checks another copy", async () => {
    const copy = copyOf(ordinary, "second");
    const page = await open(browser, ordinary);
    assertVerdict(await choose(page, copy), { outcome: "Sound", heads: [] });
    await page.context().close();
  });

  test("another package is called another package, not damaged", async () => {
    const page = await open(browser, ordinary);
    assertVerdict(await choose(page, hostile), { outcome: "Cannot tell", heads: [], says: [/another package/] });
    await lookAt(page, "another package", "#verdict");
    await page.context().close();
  });

  test("choosing again after a verdict", async () => {
    const copy = copyOf(ordinary, "again");
    const page = await open(browser, copy);
    assertVerdict(await choose(page, copy), CASES.intact);
    flip(path.join(copy, FRONT));
    assertVerdict(await choose(page, copy), CASES["one flipped byte"]);
    await page.context().close();
  });

  test("cancelled: nothing was checked", async () => {
    const page = await open(browser, ordinary);
    await page.dispatchEvent("#chooser", "cancel");
    assert.match((await verdict(page)).text, /^Cannot tell\s+Nothing was checked/);
    await lookAt(page, "cancelled", "#verdict");
    await page.context().close();
  });
});

/** Makes reading a part of one file fail or come short, as when a stick is pulled out. */
const breakReading = ({ size, how }) => {
  const slice = Blob.prototype.slice;
  Blob.prototype.slice = function (...range) {
    const part = slice.apply(this, range);
    if (this.size === size && this instanceof File) {
      part.arrayBuffer = how === "fails" ? () => Promise.reject(new DOMException("gone", "NotReadableError")) : () => new Blob([slice.call(part, 0, part.size - 1)]).arrayBuffer();
    }
    return part;
  };
};

describe("what cannot be read is never called damaged", () => {
  for (const how of ["fails", "comes short"]) {
    test(`reading ${how}`, async () => {
      const size = statSync(path.join(ordinary, FRONT)).size;
      const page = await open(browser, ordinary, {}, breakReading, { size, how });
      const found = await choose(page, ordinary);
      assertVerdict(found, { outcome: "Cannot tell", heads: ["Unreadable: 1 file"], lines: [/A-001, front/], says: [/not everything could be read/i, /That is not damage/] });
      await lookAt(page, `unreadable, ${how}`, "#verdict");
      await page.context().close();
    });
  }
});

/** Ways in which a browser may lack what the check would like to have. */
const LACKS = {
  "no Worker": () => { delete self.Worker; },
  "a Worker that may not start": () => { self.Worker = class { constructor() { throw new DOMException("no", "SecurityError"); } }; },
  "a Worker that dies at once": () => { const Real = self.Worker; self.Worker = class extends Real { constructor() { super(URL.createObjectURL(new Blob(["throw new Error('dead')"]))); } }; },
  "a Worker that never answers": () => { self.Worker = class { postMessage() {} terminate() {} }; },
  "no crypto.subtle": () => { Object.defineProperty(Crypto.prototype, "subtle", { value: undefined }); },
  "a crypto.subtle that fails": () => { SubtleCrypto.prototype.digest = () => Promise.reject(new Error("no")); },
  "a crypto.subtle that never answers": () => { SubtleCrypto.prototype.digest = () => new Promise(() => {}); },
  "neither": () => { delete self.Worker; Object.defineProperty(Crypto.prototype, "subtle", { value: undefined }); },
  "no subtle and a silent Worker": () => { self.Worker = class { postMessage() {} terminate() {} }; Object.defineProperty(Crypto.prototype, "subtle", { value: undefined }); },
};

/** Where nothing ever answers, the page need not wait for it as long as it would at home. */
const hurry = () => {
  const wait = self.setTimeout.bind(self);
  self.setTimeout = (act, time, ...more) => wait(act, time < 10000 ? time : time / 10, ...more);
};

describe("the same verdict whatever the browser lacks", () => {
  for (const [name, lack] of Object.entries(LACKS)) {
    test(name, async () => {
      const copy = copyOf(ordinary, "lacks");
      const first = /never|silent/.test(name) ? [hurry, lack] : lack;
      const page = await open(browser, copy, {}, first);
      assertVerdict(await choose(page, copy), CASES.intact);
      await page.context().close();
      flip(path.join(copy, FRONT));
      const second = await open(browser, copy, {}, first);
      assertVerdict(await choose(second, copy), CASES["one flipped byte"]);
      await second.context().close();
    });
  }
});

describe("the folder is dropped", () => {
  for (const name of ["intact", "several harms at once"]) {
    test(name, async () => {
      const copy = copyOf(ordinary, `dropped-${name.replace(/ /g, "-")}`);
      CASES[name].harm?.((file) => path.join(copy, file));
      const page = await open(browser, copy);
      assertVerdict(await drop(page, copy), CASES[name]);
      await page.context().close();
    });
  }
});

describe("checksums", () => {
  test("the page's own SHA-256 equals the native one: lengths 0 to 300, parts of any size, published vectors", async () => {
    const page = await open(browser, ordinary);
    const source = readFileSync(path.join(import.meta.dirname, "../../../src/format/page/check.js"), "utf8");
    const own = source.slice(source.indexOf("function sha256()"), source.indexOf("/** What the worker runs"));
    const samples = [Buffer.from("abc"), Buffer.from("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"), Buffer.alloc(1000000, "a"), randomBytes(5_000_011)];
    for (let length = 0; length <= 300; length += 1) samples.push(randomBytes(length));
    for (const sample of samples) {
      const got = await page.evaluate(`(() => {
        ${own}
        const bytes = Uint8Array.from(atob("${sample.toString("base64")}"), (one) => one.charCodeAt(0));
        const running = sha256();
        for (let at = 0, step = 1; at < bytes.length; at += step, step = (step * 7 + 3) % 1009 + 1) running.update(bytes.subarray(at, at + step));
        return running.finish();
      })()`);
      assert.equal(got, sha256(sample), `length ${sample.length}`);
    }
    // FIPS 180-4 examples.
    assert.equal(sha256(samples[0]), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert.equal(sha256(samples[1]), "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    await page.context().close();
  });

  test("a file above 32 MiB goes the streaming way", async () => {
    const copy = copyOf(ordinary, "large");
    const bytes = randomBytes(40 * 1024 * 1024 + 17);
    await addToPage(copy, "data/large.bin", sha256(bytes), bytes.length);
    writeFileSync(path.join(copy, "data/large.bin"), bytes);
    const page = await open(browser, copy);
    assertVerdict(await choose(page, copy), { outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/^START-HERE\.html/] });
    await page.context().close();
    flip(path.join(copy, "data/large.bin"), 39 * 1024 * 1024);
    const second = await open(browser, copy);
    assertVerdict(await choose(second, copy), { outcome: "Damaged", heads: ["Changed: 2 files"], lines: [/^START-HERE\.html/, /large\.bin/] });
    await second.context().close();
  });

  test("a sparse file above 4 GiB", async () => {
    const copy = copyOf(ordinary, "huge");
    const length = 4100 * 1024 * 1024;
    const hash = createHash("sha256");
    const zeros = Buffer.alloc(4 * 1024 * 1024);
    for (let at = 0; at < length; at += zeros.length) hash.update(zeros);
    await addToPage(copy, "data/huge.bin", hash.digest("hex"), length);
    closeSync(openSync(path.join(copy, "data/huge.bin"), "w"));
    truncateSync(path.join(copy, "data/huge.bin"), length);
    const page = await open(browser, copy);
    const renderers = await rendererProcesses();
    const memory = memoryOf(renderers);
    let peak = memory;
    const watch = setInterval(() => { peak = Math.max(peak, memoryOf(renderers)); }, 250);
    const found = await choose(page, copy, 10 * PATIENCE).finally(() => clearInterval(watch));
    assertVerdict(found, { outcome: "Damaged", heads: ["Changed: 1 file"], lines: [/^START-HERE\.html/] });
    const growth = (peak - memory) / 1e6;
    console.log(`4,100 MiB: the renderers grew by ${growth.toFixed(0)} MB`);
    assert.ok(growth < 600, `${growth} MB`);
    await page.context().close();
    rmSync(copy, { recursive: true });
  });
});

/** Returns the numbers of this browser's renderer processes. */
const rendererProcesses = async () => {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = await session.send("SystemInfo.getProcessInfo");
  await session.detach();
  const renderers = processInfo.filter((one) => one.type === "renderer").map((one) => one.id);
  assert.ok(renderers.length > 0, "no renderer");
  return renderers;
};

/** Returns the memory of all these processes together, in bytes. */
const memoryOf = (processes) => processes.filter((process) => existsSync(`/proc/${process}`)).reduce((sum, process) => {
  const [, kilobytes] = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${process}/status`, "utf8"));
  return sum + Number(kilobytes) * 1024;
}, 0);

/** Adds a file to what the page expects. The page itself then differs from the tag manifest, which the check must say. */
const addToPage = async (folder, file, hex, bytes) => {
  const html = path.join(folder, "START-HERE.html");
  writeFileSync(html, readFileSync(html, "utf8").replace('"files":[', `"files":[[0,"${file.slice("data/".length)}","${Buffer.from(hex, "hex").toString("base64")}",${bytes}],`));
};

describe("hostile text", () => {
  test("nothing runs, no element is added, nothing is asked of any network", async () => {
    const page = await open(browser, hostile);
    await page.evaluate(() => document.querySelectorAll(".pictures a").forEach((link) => link.focus()));
    const seen = await page.evaluate(() => ({
      ranIt: window.ranIt,
      strange: document.querySelectorAll("iframe, object, embed, form, base, link, body img:not(.pictures img), script:not([type]):not(:last-of-type), [onerror], [onload], [onfocus], [style]").length,
      scripts: document.scripts.length,
      styles: document.querySelectorAll("style").length,
      addresses: [...document.querySelectorAll("[href], [src]")].map((one) => one.getAttribute("href") ?? one.getAttribute("src")).filter((one) => !/^(#|data\/|LABELS\.html$)/.test(one)),
      text: document.body.innerText,
      title: document.title,
    }));
    assert.equal(seen.ranIt, undefined);
    assert.equal(seen.strange, 0);
    assert.equal(seen.scripts, 2);
    assert.equal(seen.styles, 2);
    assert.deepEqual(seen.addresses, []);
    for (const literal of ["<script>window.ranIt=1</script>", "\"><img src=x onerror=\"window.ranIt=2\">", "<iframe src=//example.invalid></iframe> &lt;b&gt; &"]) {
      assert.ok(seen.text.includes(literal), literal);
    }
    const found = await choose(page, hostile);
    assertVerdict(found, { outcome: "Sound", heads: [] });
    assert.equal(await page.evaluate(() => window.ranIt), undefined);
    assert.deepEqual(page.strangers, []);
    assert.deepEqual(page.faults, []);
    assert.deepEqual(await axe(page), []);
    await page.context().close();
  });

  test("hostile names of files are shown as text in the verdict", async () => {
    const copy = copyOf(hostile, "hostile-names");
    writeFileSync(path.join(copy, "data", "<img src=x onerror=window.ranIt=9>.jpg"), "x");
    const page = await open(browser, copy);
    const found = await choose(page, copy);
    assertVerdict(found, { outcome: "Not in order", heads: ["Not listed: 1 file"], lines: [/<img src=x onerror=window\.ranIt=9>\.jpg/] });
    assert.equal(await page.evaluate(() => window.ranIt ?? document.querySelectorAll("#verdict img").length), 0);
    await page.context().close();
  });

  test("a script put into the page does not run", async () => {
    const copy = copyOf(ordinary, "injected");
    const html = path.join(copy, "START-HERE.html");
    writeFileSync(html, readFileSync(html, "utf8").replace("<main", "<script>window.ranIt=10</script><main"));
    const page = await open(browser, copy);
    assert.equal(await page.evaluate(() => window.ranIt), undefined);
    await page.context().close();
  });
});

describe("everybody can read it", () => {
  const LOOKS = {
    "desk": { viewport: { width: 1360, height: 1500 }, colorScheme: "light" },
    "dark": { viewport: { width: 1360, height: 1500 }, colorScheme: "dark" },
    "phone": { viewport: { width: 390, height: 844 }, colorScheme: "light" },
    "narrow": { viewport: { width: 320, height: 800 }, colorScheme: "light" },
    "forced colours": { viewport: { width: 1360, height: 1500 }, forcedColors: "active" },
  };
  for (const [name, look] of Object.entries(LOOKS)) {
    test(`${name}: no fault of accessibility, no sideways scroll`, async () => {
      const page = await open(browser, ordinary, look);
      assert.deepEqual(await axe(page), []);
      const [wide, window] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      assert.ok(wide <= window, `${wide} in ${window}`);
      await page.screenshot({ path: path.join(SHOTS, `${name}.png`) });
      await page.evaluate(() => {
        const sheet = new CSSStyleSheet();
        sheet.replaceSync(".entry { content-visibility: visible; }");
        document.adoptedStyleSheets = [sheet];
      });
      await allPictures(page);
      await page.screenshot({ path: path.join(SHOTS, `${name}, whole.png`), fullPage: true });
      await page.context().close();
    });
  }

  for (const colorScheme of ["light", "dark"]) {
    test(`looking closely, ${colorScheme}`, async () => {
      const page = await open(browser, ordinary, { colorScheme });
      const link = page.locator(".pictures a").first();
      await link.focus();
      await page.keyboard.press("Enter");
      await page.waitForSelector("dialog[open]");
      assert.equal(await page.locator("dialog img").count(), 2);
      assert.match(await page.locator("#closely-title").innerText(), /A-001\s+Unidentified man/);
      await allPictures(page);
      assert.deepEqual(await axe(page), []);
      await page.screenshot({ path: path.join(SHOTS, `closely, ${colorScheme}.png`) });
      await page.click("#closely-larger");
      assert.deepEqual(await axe(page), []);
      await page.click("#closely-after");
      assert.match(await page.locator("#closely-title").innerText(), /A-002/);
      await page.keyboard.press("Escape");
      await page.waitForSelector("dialog:not([open])", { state: "attached" });
      await page.waitForFunction((one) => one === document.activeElement, await link.elementHandle());
      await page.context().close();
    });
  }

  test("a keyboard alone reaches a verdict", async () => {
    const page = await open(browser, ordinary);
    // Asked for before the first key: a key pressed while the browser is still being told to hand the dialog over opens the real one.
    const chosen = page.waitForEvent("filechooser");
    for (let steps = 0; steps < 8; steps += 1) {
      await page.keyboard.press("Tab");
      if (await page.evaluate(() => document.activeElement.id === "choose")) break;
    }
    assert.equal(await page.evaluate(() => document.activeElement.id), "choose");
    await page.keyboard.press("Enter");
    const chooser = await chosen;
    await chooser.setFiles(ordinary);
    assertVerdict(await verdict(page), CASES.intact);
    await page.context().close();
  });

  test("without JavaScript everything is there and no control is dead", async () => {
    const page = await open(browser, ordinary, { javaScriptEnabled: false });
    assert.equal(await page.locator("article.entry").count(), 5);
    assert.equal(await page.locator("button:visible, input:visible, select:visible").count(), 0);
    assert.ok(await page.getByText("sha256sum --quiet -c manifest-sha256.txt").isVisible());
    await page.screenshot({ path: path.join(SHOTS, "without script.png") });
    await page.context().close();
  });

  test("search folds accents, and the filter knows how sure a name is", async () => {
    let page;
    const searched = async () => {
      await page?.context().close();
      page = await open(browser, many);
      const times = await page.evaluate(() => ["lucja orsted", "LUCJA"].map((words) => {
        const field = document.getElementById("search");
        field.value = words;
        const start = performance.now();
        field.dispatchEvent(new Event("input"));
        return performance.now() - start;
      }));
      console.log(`search in 1,000 portraits: first ${times[0].toFixed(0)} ms, then ${times[1].toFixed(0)} ms`);
      return Math.max(...times);
    };
    const foldedOnce = () => page.evaluate(() => {
      const start = performance.now();
      document.querySelectorAll("article").forEach((entry) => entry.textContent.normalize("NFD").toLowerCase());
      return performance.now() - start;
    });
    const slower = await ratio(10, searched, foldedOnce);
    assert.ok(slower <= 10, `searching takes ${slower} times as long as folding all text once`);
    assert.match(await page.locator("#count").innerText(), /^2 of 1,000/);
    await page.fill("#search", "");
    await page.selectOption("#sure", "probable");
    assert.equal(await page.locator("article.entry:visible").count(), await page.locator('article[data-sure="probable"]').count());
    await page.fill("#search", "no such word anywhere");
    assert.ok(await page.locator("#none-found").isVisible());
    await page.click("#clear");
    assert.match(await page.locator("#count").innerText(), /^1,000 portraits/);
    await page.context().close();
  });
});

describe("a thousand portraits", () => {
  test("at most 3 MB, there hardly later than its text without style and script", async () => {
    const html = readFileSync(path.join(many, "START-HERE.html"));
    assert.ok(html.length <= 3_000_000, `${html.length} bytes`);
    const bare = path.join(WORK, "copies", "bare");
    rmSync(bare, { recursive: true, force: true });
    mkdirSync(bare, { recursive: true });
    symlinkSync(path.join(many, "data"), path.join(bare, "data"));
    writeFileSync(path.join(bare, "START-HERE.html"), html.toString().replace(/<(style|script)\b[^]*?<\/\1>/g, ""));
    let page;
    const loaded = async (folder) => {
      await page?.context().close();
      page = await open(browser, folder);
      await page.waitForFunction(() => performance.getEntriesByType("navigation")[0].loadEventEnd > 0);
      return page.evaluate(() => performance.getEntriesByType("navigation")[0].loadEventEnd);
    };
    const ours = async () => {
      const time = await loaded(many);
      console.log(`1,000 portraits: loaded in ${time.toFixed(0)} ms`);
      return time;
    };
    const slower = await ratio(1.5, ours, () => loaded(bare));
    assert.ok(slower <= 1.5, `loading takes ${slower} times as long as the bare text`);
    await page.context().close();
    page = await open(browser, many);
    const started = Date.now();
    assertVerdict(await choose(page, many), { outcome: "Sound", heads: [], says: [/^Sound\s+All \d,\d{3} files/] });
    console.log(`1,000 portraits: ${filesBelow(many)} files checked in ${Date.now() - started} ms`);
    await page.context().close();
  });
});

/** Returns the words of each sheet of a PDF. */
const sheetsOf = (file) => execFileSync("pdftotext", ["-raw", file, "-"], { encoding: "utf8" }).split("\f").filter((sheet) => sheet.trim());

/** Returns the width of the first "Trevanick" of a PDF, the one in the title, in points. */
const titleWidth = (file) => {
  const [, from, to] = /xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)"[^>]*>Trevanick</.exec(execFileSync("pdftotext", ["-bbox", file, "-"], { encoding: "utf8" }));
  return to - from;
};

describe("what the program itself writes", () => {
  for (const sample of ["trevanick-pair", "ravelock-gift"]) {
    test(`the package of ${sample}: every picture, every link, sound`, async () => {
      const into = path.join(WORK, "packed");
      const folder = path.join(into, `${sample}-family-2026-11-25`);
      rmSync(into, { recursive: true, force: true });
      mkdirSync(into, { recursive: true });
      kithbag("pack", path.join(ROOT, "samples", sample), "--for", "family", "--into", into, "--as-of", "2026-11-25", "--quiet");
      const page = await open(browser, folder);
      await allPictures(page);
      const links = await page.evaluate(() => [...document.querySelectorAll("a[href]")].map((one) => one.getAttribute("href")).filter((one) => !one.startsWith("#")));
      assert.ok(links.some((one) => one.startsWith("data/viewing/captioned/")));
      links.forEach((link) => assert.ok(existsSync(path.join(folder, decodeURIComponent(link))), link));
      assertVerdict(await choose(page, folder), { outcome: "Sound", heads: [] });
      assert.equal(lineOfAudit(folder).replace(/\d+/, "N"), "Sound: all N files are there and unchanged.");
      await lookAt(page, sample);
      for (const format of sample === "trevanick-pair" ? ["A4", "Letter"] : []) {
        const file = path.join(SHOTS, `print, ${sample}, ${format}.pdf`);
        await page.pdf({ path: file, format, printBackground: true });
        assert.ok(titleWidth(file) > 85, `${format} is shrunk`);
      }
      await page.context().close();
    });
  }

  const weighed = path.join(WORK, "weighed");
  before(() => {
    rmSync(weighed, { recursive: true, force: true });
    mkdirSync(weighed, { recursive: true });
    kithbag("weigh", path.join(ROOT, "samples/trevanick-pair"), "--page", path.join(weighed, "START-HERE.html"), "--as-of", "2026-11-25", "--quiet");
  });
  for (const [name, options] of Object.entries({ light: {}, dark: { colorScheme: "dark" }, narrow: { viewport: { width: 320, height: 800 } } })) {
    test(`the page of weigh, ${name}: its pictures show, and no fault of accessibility`, async () => {
      const page = await open(browser, weighed, options);
      await allPictures(page);
      assert.equal(await page.locator("article img").count(), 3);
      assert.deepEqual(await axe(page), []);
      const [wide, window] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      assert.ok(wide <= window, `${wide} in ${window}`);
      assert.deepEqual(page.strangers.filter((one) => !one.startsWith("data:image/jpeg;base64,")), []);
      assert.deepEqual(page.faults, []);
      await page.screenshot({ path: path.join(SHOTS, `weighed, ${name}.png`), fullPage: true });
      await page.context().close();
    });
  }
});

describe("labels", () => {
  const openLabels = async (folder, options) => {
    const page = await open(browser, folder, options);
    await page.click('a[href="LABELS.html"]');
    await page.waitForSelector(".labels");
    return page;
  };

  for (const [name, options] of Object.entries({ light: {}, dark: { colorScheme: "dark" }, narrow: { viewport: { width: 320, height: 800 } }, "forced colours": { forcedColors: "active" } })) {
    test(`${name}: no fault of accessibility, no sideways scroll`, async () => {
      const page = await openLabels(ordinary, options);
      assert.deepEqual(await axe(page), []);
      const [wide, window] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      assert.ok(wide <= window, `${wide} in ${window}`);
      await page.screenshot({ path: path.join(SHOTS, `labels, ${name}.png`), fullPage: true });
      await page.context().close();
    });
  }

  for (const format of ["A4", "Letter"]) {
    test(`${format}: no label is cut by the end of a sheet`, async () => {
      const page = await openLabels(many);
      const file = path.join(format === "A4" ? SHOTS : WORK, `labels ${format}.pdf`);
      await page.pdf({ path: file, format, printBackground: true, pageRanges: "1-12" });
      await page.context().close();
      const sheets = sheetsOf(file);
      assert.equal(sheets.length, 12);
      let labels = 0;
      sheets.forEach((sheet, position) => {
        const numbers = [...sheet.matchAll(/^(M-\d{4})$/gm)].map((one) => one[1]);
        numbers.forEach((number) => assert.match(sheet, new RegExp(`^${number} +\\S`, "m"), `${number} is whole on sheet ${position + 1}`));
        labels += numbers.length;
      });
      assert.ok(labels >= 60, `${labels} labels on 12 sheets`);
    });
  }

  test("hostile text stays text", async () => {
    const page = await openLabels(hostile);
    assert.equal(await page.evaluate(() => window.ranIt ?? document.querySelectorAll("script, img, iframe, [style], [onfocus]").length), 0);
    assert.deepEqual(page.strangers, []);
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });
});

/** Returns the number of pictures that a PDF shows. */
const picturesIn = (file) => execFileSync("pdfimages", ["-list", file], { encoding: "utf8", maxBuffer: 1e8 }).split("\n").filter((line) => / image /.test(line)).length;

describe("print", () => {
  for (const format of ["A4", "Letter"]) {
    test(`${format}: every picture, and the seal at the foot of each sheet`, async () => {
      const page = await open(browser, ordinary);
      const file = path.join(SHOTS, `print ${format}.pdf`);
      await page.pdf({ path: file, format, printBackground: true });
      await page.context().close();
      const sheets = sheetsOf(file);
      const seal = sha256(readFileSync(path.join(ordinary, "manifest-sha256.txt"))).match(/.{8}/g).join(" ");
      sheets.forEach((sheet, position) => assert.ok(sheet.includes(`seal ${seal}`), `sheet ${position + 1}`));
      for (const number of ["A-001", "A-002", "A-003", "A-004", "A-005"]) {
        const begins = sheets.findIndex((sheet) => new RegExp(`^ *${number}$`, "m").test(sheet));
        // A line may end behind the hyphen.
        const ends = sheets.findIndex((sheet) => new RegExp(`no\\.\\s+${number.replace("-", "-\\s*")},\\s+in`).test(sheet));
        assert.ok(begins >= 0 && begins === ends, `${number} begins on sheet ${begins + 1} and ends on ${ends + 1}`);
      }
      assert.equal(picturesIn(file), 13);
      assert.ok(titleWidth(file) > 85, "the sheet is not shrunk");
    });
  }

  test("a thousand portraits: every picture is printed", async () => {
    const page = await open(browser, many, {}, () => { self.print = () => { self.printed = true; }; });
    const file = path.join(WORK, "many.pdf");
    await page.click("#print");
    await page.waitForFunction(() => self.printed);
    await page.pdf({ path: file, format: "A4", printBackground: true, timeout: 2 * PATIENCE });
    await page.context().close();
    assert.equal(picturesIn(file), 2000);
  });
});
