"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const data = JSON.parse(byId("package-data").textContent);
  const entries = [...document.querySelectorAll("article.entry")];

  /** Makes an element; text is only ever text, never markup. */
  const make = (name, text, className) => {
    const element = document.createElement(name);
    if (text !== undefined) element.textContent = text;
    if (className) element.className = className;
    return element;
  };
  const hexOf = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  /** Digits in groups of three, as the program writes them. */
  const grouped = (number) => String(number).replace(/\B(?=(\d{3})+$)/g, ",");
  const counted = (number, one, many) => `${grouped(number)} ${number === 1 ? one : many}`;
  const files = (number) => counted(number, "file", "files");
  const size = (bytes) => {
    for (const [unit, name] of [[1e9, "GB"], [1e6, "MB"], [1e3, "kB"]]) {
      if (bytes >= unit) return `${(Math.floor((bytes * 10) / unit) / 10).toFixed(1)} ${name}`;
    }
    return counted(bytes, "byte", "bytes");
  };

  // ---------------------------------------------------------------- search and filter

  /** Letters that do not come apart into a plain letter and an accent. */
  const WHOLE = { ł: "l", ø: "o", þ: "th", ð: "d", ß: "ss", æ: "ae", œ: "oe", đ: "d", ħ: "h", ı: "i", ŧ: "t", ŋ: "n", ĸ: "k", "’": "'", ʼ: "'" };
  const fold = (text) =>
    text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replace(/[łøþðßæœđħıŧŋĸ’ʼ]/g, (letter) => WHOLE[letter]);
  let folded = null;

  const foldAll = () => { folded = folded || entries.map((entry) => fold(entry.textContent)); };
  const narrow = () => {
    foldAll();
    const words = fold(byId("search").value).split(/\s+/).filter(Boolean);
    const sure = byId("sure").value;
    let shown = 0;
    entries.forEach((entry, position) => {
      const fits = (!sure || entry.dataset.sure === sure) && words.every((word) => folded[position].includes(word));
      entry.hidden = !fits;
      if (fits) shown += 1;
    });
    byId("none-found").hidden = shown > 0;
    const all = counted(entries.length, "portrait", "portraits");
    byId("count").textContent = shown === entries.length ? all : `${grouped(shown)} of ${all}`;
  };
  (self.requestIdleCallback || setTimeout)(foldAll);
  byId("search").addEventListener("input", narrow);
  byId("sure").addEventListener("change", narrow);
  byId("clear").addEventListener("click", () => {
    byId("search").value = "";
    byId("sure").value = "";
    narrow();
    byId("search").focus();
  });
  byId("print").addEventListener("click", async () => {
    const pictures = [...document.querySelectorAll("article.entry:not([hidden]) img")];
    await Promise.all(pictures.map((picture) => {
      picture.loading = "eager";
      return picture.decode().catch(() => {});
    }));
    print();
  });
  // A link from the index must not lead to a portrait that the search has hidden.
  addEventListener("hashchange", () => {
    const aim = location.hash && document.getElementById(location.hash.slice(1));
    if (!aim?.hidden) return;
    byId("clear").click();
    aim.scrollIntoView();
  });

  // ---------------------------------------------------------------- looking closely

  const closely = byId("closely");
  let lookedAt = null;

  const show = (entry, link) => {
    const mounted = [...entry.querySelectorAll(".mat a")];
    const pair = mounted.includes(link) || !link ? mounted : [mounted[0], link];
    lookedAt = entry;
    byId("closely-title").replaceChildren(
      ...[entry.querySelector(".number"), entry.querySelector("h3")].flatMap((part) => [make("bdi", part.textContent), " "]),
    );
    byId("closely-pictures").replaceChildren(
      ...pair.filter(Boolean).map((link) => {
        const figure = make("figure");
        const picture = make("img");
        picture.src = link.href;
        picture.alt = link.querySelector("img").alt;
        figure.append(picture, make("figcaption", link.parentElement.querySelector("figcaption").textContent));
        return figure;
      }),
    );
    byId("closely-pictures").scrollTo(0, 0);
  };
  const step = (by) => {
    const shown = entries.filter((entry) => !entry.hidden && entry.querySelector(".mat a"));
    const next = shown[(shown.indexOf(lookedAt) + by + shown.length) % shown.length];
    if (next) show(next);
  };
  const larger = (on) => {
    closely.classList.toggle("is-larger", on);
    byId("closely-larger").setAttribute("aria-pressed", String(on));
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.(".pictures a");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button !== 0 || !closely.showModal) return;
    event.preventDefault();
    larger(false);
    show(link.closest("article"), link);
    closely.showModal();
  });
  byId("closely-before").addEventListener("click", () => step(-1));
  byId("closely-after").addEventListener("click", () => step(1));
  byId("closely-larger").addEventListener("click", () => larger(!closely.classList.contains("is-larger")));
  byId("closely-close").addEventListener("click", () => closely.close());
  closely.addEventListener("keydown", (event) => {
    if (event.key === "ArrowRight" || event.key === "ArrowLeft") step(event.key === "ArrowRight" ? 1 : -1);
  });

  // ---------------------------------------------------------------- SHA-256 [FIPS 180-4, 6.2]

  /** Self-contained, because the worker is made from its text. */
  function sha256() {
    const K = new Uint32Array(64);
    const state = new Uint32Array(8);
    const W = new Uint32Array(64);
    const root = (value, power) => (Math.pow(value, 1 / power) % 1) * 4294967296;
    for (let candidate = 2, count = 0; count < 64; candidate += 1) {
      let prime = true;
      for (let divisor = 2; divisor * divisor <= candidate; divisor += 1) if (candidate % divisor === 0) prime = false;
      if (!prime) continue;
      if (count < 8) state[count] = root(candidate, 2);
      K[count] = root(candidate, 3);
      count += 1;
    }
    const rest = new Uint8Array(64);
    let filled = 0;
    let total = 0;
    const block = (bytes, at) => {
      for (let i = 0; i < 16; i += 1, at += 4) W[i] = (bytes[at] << 24) | (bytes[at + 1] << 16) | (bytes[at + 2] << 8) | bytes[at + 3];
      for (let i = 16; i < 64; i += 1) {
        const x = W[i - 15];
        const y = W[i - 2];
        W[i] = (W[i - 16] + W[i - 7] + (((x >>> 7) | (x << 25)) ^ ((x >>> 18) | (x << 14)) ^ (x >>> 3)) + (((y >>> 17) | (y << 15)) ^ ((y >>> 19) | (y << 13)) ^ (y >>> 10))) | 0;
      }
      let a = state[0] | 0, b = state[1] | 0, c = state[2] | 0, d = state[3] | 0;
      let e = state[4] | 0, f = state[5] | 0, g = state[6] | 0, h = state[7] | 0;
      for (let i = 0; i < 64; i += 1) {
        const one = (h + (((e >>> 6) | (e << 26)) ^ ((e >>> 11) | (e << 21)) ^ ((e >>> 25) | (e << 7))) + ((e & f) ^ (~e & g)) + K[i] + W[i]) | 0;
        const two = ((((a >>> 2) | (a << 30)) ^ ((a >>> 13) | (a << 19)) ^ ((a >>> 22) | (a << 10))) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
        h = g; g = f; f = e; e = (d + one) | 0;
        d = c; c = b; b = a; a = (one + two) | 0;
      }
      [a, b, c, d, e, f, g, h].forEach((value, i) => { state[i] += value; });
    };
    const update = (bytes) => {
      total += bytes.length;
      let at = 0;
      if (filled) {
        at = Math.min(64 - filled, bytes.length);
        rest.set(bytes.subarray(0, at), filled);
        filled += at;
        if (filled < 64) return;
        block(rest, 0);
        filled = 0;
      }
      for (; at + 64 <= bytes.length; at += 64) block(bytes, at);
      rest.set(bytes.subarray(at));
      filled = bytes.length - at;
    };
    const finish = () => {
      const length = total;
      const end = new Uint8Array((filled < 56 ? 64 : 128) - filled);
      end[0] = 128;
      const view = new DataView(end.buffer);
      view.setUint32(end.length - 8, Math.floor(length / 536870912));
      view.setUint32(end.length - 4, (length % 536870912) * 8);
      update(end);
      return Array.from(state, (value) => value.toString(16).padStart(8, "0")).join("");
    };
    return { update, finish };
  }

  /** What the worker runs: one running checksum for each job. */
  function work(start) {
    const running = new Map();
    self.onmessage = ({ data: { job, chunk } }) => {
      if (!running.has(job)) running.set(job, start());
      if (chunk) {
        running.get(job).update(new Uint8Array(chunk));
        self.postMessage({ job });
      } else {
        self.postMessage({ job, hex: running.get(job).finish() });
        running.delete(job);
      }
    };
  }

  const SMALL = 32 * 1024 * 1024;
  const CHUNK = 4 * 1024 * 1024;
  const LANES = 4;
  const READ_LIMIT = 60000;
  const WORK_LIMIT = 15000;

  class Unreadable extends Error {}
  class Stopped extends Error {}
  class NoHelp extends Error {}

  const within = (promise, limit, fault) => {
    let timer;
    const late = new Promise((_, reject) => { timer = setTimeout(() => reject(new fault()), limit); });
    return Promise.race([promise, late]).finally(() => clearTimeout(timer));
  };

  /** A worker that answers in time, or else fails for good. */
  const hireWorker = () => {
    const address = URL.createObjectURL(new Blob([`"use strict";(${work})(${sha256})`], { type: "text/javascript" }));
    const worker = new Worker(address);
    const waiting = new Map();
    let dead = false;
    const fail = () => {
      dead = true;
      waiting.forEach(({ reject }) => reject(new NoHelp()));
      waiting.clear();
    };
    worker.onerror = fail;
    worker.onmessageerror = fail;
    worker.onmessage = ({ data: answer }) => {
      const asked = waiting.get(answer.job);
      waiting.delete(answer.job);
      asked?.resolve(answer.hex);
    };
    const ask = (job, chunk) => {
      if (dead) return Promise.reject(new NoHelp());
      const answer = new Promise((resolve, reject) => waiting.set(job, { resolve, reject }));
      worker.postMessage({ job, chunk }, chunk ? [chunk] : []);
      return within(answer, WORK_LIMIT, NoHelp).catch((fault) => { fail(); throw fault; });
    };
    return { ask, end: () => { worker.terminate(); URL.revokeObjectURL(address); } };
  };

  /** Everything that one check needs: counting, stopping, and three ways to work out a checksum. */
  class Reader {
    constructor(told) {
      this.total = 0;
      this.told = told;
      this.done = 0;
      this.filesRead = 0;
      this.bytesRead = 0;
      this.stopped = false;
      this.jobs = 0;
      this.subtle = self.crypto?.subtle;
      try {
        this.worker = hireWorker();
      } catch {
        this.worker = null;
      }
    }

    end() {
      this.worker?.end();
    }

    count(bytes, name) {
      if (this.stopped) throw new Stopped();
      this.done += bytes;
      this.told(this.done, this.total, name);
    }

    /** Reads a part; a part that comes short is a fault of reading, not a change. */
    async part(file, from, to) {
      if (this.stopped) throw new Stopped();
      let bytes;
      try {
        bytes = await within(file.slice(from, to).arrayBuffer(), READ_LIMIT, Unreadable);
      } catch {
        throw new Unreadable();
      }
      if (bytes.byteLength !== to - from) throw new Unreadable();
      return bytes;
    }

    /** Gives a file part by part; with a name, what was used is counted. */
    async *parts(file, name) {
      for (let at = 0; at < file.size; at += CHUNK) {
        const part = await this.part(file, at, Math.min(at + CHUNK, file.size));
        const length = part.byteLength;
        yield part;
        if (name) this.count(length, name);
      }
    }

    async digest(file, name) {
      const before = this.done;
      const ways = [];
      if (this.subtle && file.size <= SMALL) ways.push(() => this.atOnce(file, name));
      if (this.worker) ways.push(() => this.inWorker(file, name));
      ways.push(() => this.onPage(file, name));
      for (const way of ways) {
        this.done = Math.min(this.done, before);
        try {
          const hex = await way();
          this.filesRead += 1;
          this.bytesRead += file.size;
          return hex;
        } catch (fault) {
          if (!(fault instanceof NoHelp)) throw fault;
        }
      }
      throw new Unreadable();
    }

    async atOnce(file, name) {
      const whole = new Uint8Array(file.size);
      let at = 0;
      for await (const part of this.parts(file, name)) {
        whole.set(new Uint8Array(part), at);
        at += part.byteLength;
      }
      try {
        const value = await within(this.subtle.digest("SHA-256", whole), WORK_LIMIT, NoHelp);
        return hexOf(new Uint8Array(value));
      } catch {
        this.subtle = null;
        throw new NoHelp();
      }
    }

    async inWorker(file, name) {
      const job = (this.jobs += 1);
      const worker = this.worker;
      try {
        for await (const part of this.parts(file, name)) await worker.ask(job, part);
        return await worker.ask(job);
      } catch (fault) {
        if (fault instanceof NoHelp) this.worker = null;
        throw fault;
      }
    }

    async onPage(file, name) {
      const running = sha256();
      for await (const part of this.parts(file, name)) running.update(new Uint8Array(part));
      return running.finish();
    }
  }

  // ---------------------------------------------------------------- comparing

  let payload = null;

  /** The files of the payload: path, checksum, length, place of the portrait on the page, view. Each comes as the number of letters that its path shares with the one before, the rest of it, and its checksum in base64. */
  const payloadFiles = () => {
    let before = "";
    payload = payload || data.files.map(([shared, rest, sum, bytes, place = null, view]) => {
      before = before.slice(0, shared) + rest;
      return [`data/${before}`, hexOf(Uint8Array.from(atob(sum), (one) => one.charCodeAt(0))), bytes, place, data.views[view]];
    });
    return payload;
  };
  const MANIFEST = "manifest-sha256.txt";
  const TAG_MANIFEST = "tagmanifest-sha256.txt";
  const plain = (path) => path.normalize("NFC");

  const isLitter = (path) => {
    const { files: names, starts, folders } = data.litter;
    const parts = path.toLowerCase().split("/");
    const name = parts[parts.length - 1];
    return names.includes(name) || starts.some((start) => name.startsWith(start)) || parts.some((part) => folders.includes(part));
  };

  /** Reads the lines of a manifest. [RFC8493 2.1.3] */
  const manifestLines = (text) => {
    const lines = new Map();
    for (const line of text.replace(/^\ufeff/, "").split(/\r\n|\n|\r/)) {
      const found = /^([0-9a-f]{64})[ \t]+\*?(.+)$/i.exec(line);
      if (!found) continue;
      const path = found[2].replace(/%0a/gi, "\n").replace(/%0d/gi, "\r").replace(/%25/g, "%").replace(/^\.\//, "");
      lines.set(plain(path), found[1].toLowerCase());
    }
    return lines;
  };

  /** Finds the package among the files: the shallowest folder whose manifest is this page's, or else that looks like one. */
  const findRoot = async (chosen, reader) => {
    const marks = ["bagit.txt", MANIFEST, "START-HERE.html"];
    const roots = new Set();
    for (const path of chosen.keys()) {
      const at = path.lastIndexOf("/") + 1;
      if (marks.includes(path.slice(at))) roots.add(path.slice(0, at));
    }
    const depth = (root) => root.split("/").length;
    const sorted = [...roots].sort((one, other) => depth(one) - depth(other) || (one < other ? -1 : 1));
    for (const root of sorted.slice(0, 50)) {
      const manifest = chosen.get(root + MANIFEST);
      if (!manifest || manifest.size > SMALL) continue;
      const hex = await reader.digest(manifest, MANIFEST).catch((fault) => {
        if (fault instanceof Stopped) throw fault;
        return "";
      });
      if (hex === data.seal) return root;
    }
    return sorted.find((root) => chosen.has(`${root}bagit.txt`)) ?? sorted[0];
  };

  const textOf = async (file, reader) => {
    if (!file || file.size > 4 * SMALL) return null;
    try {
      const parts = [];
      for await (const part of reader.parts(file)) parts.push(part);
      return await new Blob(parts).text();
    } catch (fault) {
      if (fault instanceof Stopped) throw fault;
      return null;
    }
  };

  const nothingChecked = (outcome, sentence) => ({ outcome, sentence, findings: [] });

  const noPackage = (chosen) => {
    const isPart = payloadFiles().some(([path]) => {
      const below = path.slice("data/".length);
      return [...chosen.keys()].some((one) => `/${one}`.endsWith(`/${below}`));
    });
    const what = isPart ? "This is only a part of the package, from inside it" : "There is no package in what you chose";
    return `nothing was checked. ${what}. Choose the folder in which START-HERE.html lies.`;
  };

  /** Returns what every file of the package must be: path to checksum, length, portrait, view. */
  const expectations = (tagLines) => {
    const expected = new Map();
    for (const [path, hex, bytes, place, view] of payloadFiles()) {
      const portrait = place === null ? "" : entries[place].querySelector(".number").textContent;
      expected.set(plain(path), { path, hex, bytes, portrait, view });
    }
    expected.set("bagit.txt", { path: "bagit.txt" });
    for (const [path, hex] of tagLines || []) if (!path.startsWith("data/")) expected.set(path, { path, hex });
    expected.set(MANIFEST, { path: MANIFEST, hex: data.seal });
    if (!tagLines) expected.set(TAG_MANIFEST, { path: TAG_MANIFEST });
    return expected;
  };

  const hashAll = async (list, reader) => {
    const queue = [...list];
    const found = new Map();
    const lane = async () => {
      for (let next = queue.shift(); next; next = queue.shift()) {
        const [path, file] = next;
        try {
          found.set(path, await reader.digest(file, path));
        } catch (fault) {
          if (!(fault instanceof Unreadable)) throw fault;
          found.set(path, null);
        }
      }
    };
    await Promise.all(Array.from({ length: LANES }, lane));
    return found;
  };

  const check = async (chosen, reader) => {
    const root = await findRoot(chosen, reader);
    if (root === undefined) return nothingChecked("cannot-tell", noPackage(chosen));
    const here = new Map();
    chosen.forEach((file, path) => { if (path.startsWith(root)) here.set(plain(path.slice(root.length)), file); });
    const manifestText = await textOf(here.get(MANIFEST), reader);
    // Packages of different portraits may still share files such as schemas.
    const own = new Set(payloadFiles().filter(([, , , place]) => place !== null).map(([, hex]) => hex));
    const lines = manifestText === null ? null : manifestLines(manifestText);
    if (lines && lines.size && own.size && ![...lines.values()].some((hex) => own.has(hex))) {
      return nothingChecked("cannot-tell", "this is another package. Its list of files has nothing in common with this page’s, so nothing was checked. Open the START-HERE.html that lies in it.");
    }
    const tagText = await textOf(here.get(TAG_MANIFEST), reader);
    const expected = expectations(tagText === null ? null : manifestLines(tagText));
    reader.done = reader.filesRead = reader.bytesRead = 0;
    reader.total = [...here.values()].reduce((sum, file) => sum + file.size, 0);
    // No manifest may list a manifest of its own kind; and without that manifest nothing tells what a tag file should be.
    const isKnownTag = (path) => /^tagmanifest-[a-z0-9]+\.txt$/.test(path) || (tagText === null && !path.startsWith("data/"));
    const toRead = [...here].filter(([path]) => expected.has(path) || !(isLitter(path) || isKnownTag(path)));
    const found = await hashAll(toRead, reader);
    return compare(root, here, expected, found, isKnownTag);
  };

  const compare = (root, here, expected, found, isKnownTag) => {
    const findings = [];
    const add = (verdict, path, detail) => {
      const known = expected.get(path) || {};
      findings.push({ verdict, path, detail, portrait: known.portrait, view: known.view });
    };
    const missing = new Map();
    const owner = new Map();
    expected.forEach(({ path, hex }) => { if (hex && !owner.has(hex)) owner.set(hex, path); });
    let unchanged = 0;
    expected.forEach(({ hex, bytes }, path) => {
      const file = here.get(path);
      if (!file) {
        missing.set(path, hex);
      } else if (found.get(path) === null) {
        add("unreadable", path);
      } else if (found.get(path) === hex) {
        unchanged += 1;
      } else if (hex) {
        add("changed", path, howChanged(path, file.size, bytes, owner.get(found.get(path))));
      }
    });
    here.forEach((file, path) => {
      if (expected.has(path) || isKnownTag(path)) return;
      if (isLitter(path)) return add("litter", path);
      const hex = found.get(path);
      if (hex === null) return add("unreadable", path, "It is not listed either.");
      const old = [...missing].find(([, wanted]) => wanted && wanted === hex);
      if (!old) return add("not-listed", path);
      missing.delete(old[0]);
      const known = expected.get(old[0]);
      findings.push({ verdict: "renamed", path, detail: `It was called ${old[0]}.`, portrait: known.portrait, view: known.view });
    });
    missing.forEach((_, path) => add("missing", path, path === TAG_MANIFEST && "Outside “data” only the list of files was checked."));
    return summary(root, unchanged, findings);
  };

  const howChanged = (path, now, then, belongsTo) => {
    if (belongsTo) return `It now holds what ${belongsTo} should hold.`;
    if (path === MANIFEST) return "The list of files is not the one that this page was made with: another edition of the package, or somebody rewrote it. Its seal is not the seal on this page.";
    if (now === 0) return "It is empty.";
    if (then === undefined || then === now) return "";
    return `It is ${now < then ? "shorter" : "longer"} than it was: ${grouped(now)} instead of ${counted(then, "byte", "bytes")}.`;
  };

  const WORST_FIRST = ["missing", "changed", "renamed", "unreadable", "not-listed", "litter"];

  const summary = (root, unchanged, findings) => {
    const count = (verdict) => findings.filter((finding) => finding.verdict === verdict).length;
    // The first three are damage; but without its tag manifest a package is still complete and valid. [RFC8493 3]
    const damaged = findings.some((one) => WORST_FIRST.indexOf(one.verdict) < 3 && one.path !== TAG_MANIFEST);
    const outcome = damaged ? "damaged" : count("unreadable") ? "cannot-tell" : findings.length ? "not-in-order" : "sound";
    const short = (verdict) => data.words[verdict][0].split(",")[0];
    const parts = WORST_FIRST.filter(count).map((verdict) => `${files(count(verdict))} ${short(verdict)}`);
    let sentence = `all ${files(unchanged)} are there and unchanged`;
    if (outcome === "cannot-tell") sentence = `not everything could be read: ${parts.join(", ")}, ${files(unchanged)} unchanged. That is not damage: put the stick or disk in again, or unpack the zip again, and check once more`;
    else if (outcome === "not-in-order") sentence = `${files(unchanged)} ${unchanged === 1 ? "is" : "are"} unchanged, ${parts.join(", ")}`;
    else if (findings.length) sentence = `${parts.join(", ")}, ${files(unchanged)} unchanged`;
    return { outcome, sentence: `${sentence}.`, findings, root };
  };

  // ---------------------------------------------------------------- showing

  const verdictBox = byId("verdict");

  const finding = ({ path, detail, portrait, view }) => {
    const line = make("li");
    if (portrait) {
      line.append("no. ", make("bdi", portrait), view ? `, ${view}` : "");
      line.append(make("br"));
    }
    line.append(make("bdi", path));
    if (detail) line.append(make("span", detail, "quiet"));
    return line;
  };

  const showVerdict = ({ outcome, sentence, findings, root }, reader) => {
    const look = { sound: "is-good", damaged: "is-bad" }[outcome];
    verdictBox.className = `verdict ${look || ""}`;
    const read = reader?.filesRead && root !== undefined ? ` Read in full: ${files(reader.filesRead)}, ${size(reader.bytesRead)}.` : "";
    const parts = [make("h3", data.outcomes[outcome]), make("p", sentence[0].toUpperCase() + sentence.slice(1) + read)];
    const folder = root?.replace(/\/$/, "");
    if (folder) {
      const where = make("p", "Folder: ", "quiet");
      where.append(make("bdi", folder));
      parts.push(where);
    }
    for (const verdict of WORST_FIRST) {
      const list = findings.filter((one) => one.verdict === verdict);
      if (!list.length) continue;
      const [words, explained] = data.words[verdict];
      const lines = make("ul");
      list.sort((one, other) => (one.path < other.path ? -1 : 1)).slice(0, 500).forEach((one) => lines.append(finding(one)));
      parts.push(make("h4", `${words[0].toUpperCase()}${words.slice(1)}: ${files(list.length)}`), make("p", explained), lines);
      if (list.length > 500) parts.push(make("p", `… and ${files(list.length - 500)} more.`));
    }
    verdictBox.replaceChildren(...parts);
    verdictBox.hidden = false;
    byId("progress").hidden = true;
    byId("choose").disabled = false;
    byId("spoken").textContent = `${data.outcomes[outcome]}: ${sentence}`;
    verdictBox.focus({ preventScroll: true });
    verdictBox.scrollIntoView({ block: "nearest" });
  };

  const plainly = (sentence) => showVerdict(nothingChecked("cannot-tell", sentence));

  let current = null;

  const begin = async (collect) => {
    if (current) return;
    byId("choose").disabled = true;
    verdictBox.hidden = true;
    byId("progress").hidden = false;
    byId("progress-bar").value = 0;
    byId("progress-words").textContent = "Looking at the names of the files …";
    let spokenTo = 0;
    const reader = new Reader((done, total, name) => {
      if (!total) return;
      const share = Math.min(1, done / total);
      byId("progress-bar").value = Math.round(share * 1000);
      byId("progress-words").replaceChildren(`${Math.floor(share * 100)} % of ${size(total)} read: `, make("bdi", name));
      if (share >= spokenTo + 0.2) {
        spokenTo = Math.floor(share * 5) / 5;
        byId("spoken").textContent = `${Math.round(spokenTo * 100)} % read`;
      }
    });
    current = reader;
    try {
      const chosen = await collect(reader);
      const result = chosen.size ? await check(chosen, reader) : nothingChecked("cannot-tell", "nothing was checked. There is no file in what you chose.");
      showVerdict(result, reader);
    } catch (fault) {
      plainly(fault instanceof Stopped ? "the check was stopped before its end, so nothing is decided." : `the check could not be finished (${fault?.message || "no reason was given"}). Try again, or check by hand as this page says at its end.`);
    } finally {
      reader.end();
      current = null;
    }
  };

  byId("controls").hidden = false;
  // A package without these checksums cannot be checked here.
  if (!byId("check-live")) return;
  const chooser = byId("chooser");
  byId("choose").addEventListener("click", () => {
    chooser.value = "";
    chooser.click();
  });
  chooser.addEventListener("change", () => {
    const list = [...chooser.files];
    begin(async () => new Map(list.map((file) => [file.webkitRelativePath || file.name, file])));
  });
  chooser.addEventListener("cancel", () => plainly("nothing was checked. No folder was chosen."));
  byId("stop").addEventListener("click", () => { if (current) current.stopped = true; });

  // ---------------------------------------------------------------- dropping

  const walkHandle = async (handle, path, chosen, reader) => {
    if (reader.stopped) throw new Stopped();
    if (handle.kind === "file") {
      chosen.set(path, await handle.getFile());
      return;
    }
    for await (const child of handle.values()) await walkHandle(child, `${path}/${child.name}`, chosen, reader);
  };
  const walkEntry = async (entry, path, chosen, reader) => {
    if (reader.stopped) throw new Stopped();
    if (entry.isFile) {
      chosen.set(path, await new Promise((resolve, reject) => entry.file(resolve, reject)));
      return;
    }
    const folder = entry.createReader();
    for (;;) {
      const some = await new Promise((resolve, reject) => folder.readEntries(resolve, reject));
      if (!some.length) return;
      for (const child of some) await walkEntry(child, `${path}/${child.name}`, chosen, reader);
    }
  };
  const drop = byId("drop");
  const isOver = (on) => drop.classList.toggle("is-over", on);
  const carriesFiles = (event) => event.dataTransfer && [...event.dataTransfer.types].includes("Files");
  addEventListener("dragover", (event) => {
    if (!carriesFiles(event)) return;
    event.preventDefault();
    isOver(true);
  });
  addEventListener("dragleave", (event) => { if (!event.relatedTarget) isOver(false); });
  addEventListener("drop", (event) => {
    if (!carriesFiles(event)) return;
    event.preventDefault();
    isOver(false);
    // Everything must be asked for before the event ends.
    const items = [...event.dataTransfer.items].filter((item) => item.kind === "file");
    const handles = items.map((item) => (item.getAsFileSystemHandle ? item.getAsFileSystemHandle() : null));
    const older = items.map((item) => (item.webkitGetAsEntry ? item.webkitGetAsEntry() : null));
    begin(async (reader) => {
      const chosen = new Map();
      for (let at = 0; at < items.length; at += 1) {
        const handle = await Promise.resolve(handles[at]).catch(() => null);
        if (handle) await walkHandle(handle, handle.name, chosen, reader);
        else if (older[at]) await walkEntry(older[at], older[at].name, chosen, reader);
      }
      return chosen;
    });
  });

  byId("check-live").hidden = false;
})();
