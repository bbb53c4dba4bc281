// Firefox as a person has it: on a screen of its own (Xvfb), with its real folder dialog, mouse and keyboard by xdotool.
// What the page shows is read over Marionette, Firefox's own remote protocol: `LENGTH:JSON` over TCP, commands
// `[0, id, name, parameters]`, answers `[1, id, error, result]`.

import { execFileSync, spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import net from "node:net";
import path from "node:path";
import { PATIENCE, WORK } from "./stand.mjs";

/** No first-run pages, no portal in place of the dialog, and none of the settings that loosen file:// for automation. */
const SETTINGS = {
  "marionette.port": 0,
  "remote.prefs.recommended": false,
  "security.fileuri.strict_origin_policy": true,
  "widget.use-xdg-desktop-portal.file-picker": 0,
  "browser.aboutwelcome.enabled": false,
  "browser.shell.checkDefaultBrowser": false,
  "browser.startup.homepage_override.mstone": "ignore",
  "datareporting.policy.dataSubmissionEnabled": false,
  "termsofuse.bypassNotification": true,
  "network.captive-portal-service.enabled": false,
  "network.connectivity-service.enabled": false,
  "app.normandy.enabled": false,
};

/** Asks again and again until the answer is something, and gives it back. */
export const until = async (what, ask, limit = PATIENCE) => {
  const end = Date.now() + limit;
  for (;;) {
    const answer = await ask();
    if (answer) return answer;
    if (Date.now() > end) throw new Error(`waited ${limit / 1000} s in vain: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
};

const startScreen = async () => {
  const process = spawn("Xvfb", ["-displayfd", "3", "-screen", "0", "1280x1000x24", "-nolisten", "tcp"], { stdio: ["ignore", "ignore", "ignore", "pipe"] });
  let display = "";
  process.stdio[3].on("data", (some) => { display += some; });
  await until("a screen", () => display.endsWith("\n"));
  return { process, display: `:${display.trim()}` };
};

/** Speaks Marionette. */
const connect = async (port) => {
  const socket = net.connect(port, "127.0.0.1");
  const waiting = new Map();
  let received = Buffer.alloc(0);
  let count = 0;
  const next = () => {
    const colon = received.indexOf(":");
    const end = colon + 1 + Number(received.subarray(0, Math.max(colon, 0)));
    if (colon < 0 || received.length < end) return null;
    const message = JSON.parse(received.subarray(colon + 1, end));
    received = received.subarray(end);
    return message;
  };
  const greeting = new Promise((resolve, reject) => {
    socket.on("error", reject);
    socket.on("data", (some) => {
      received = Buffer.concat([received, some]);
      for (let message = next(); message; message = next()) {
        if (!Array.isArray(message)) { resolve(); continue; }
        const [, id, fault, result] = message;
        const asked = waiting.get(id);
        waiting.delete(id);
        if (fault) asked.reject(new Error(`${fault.error}: ${fault.message}`));
        else asked.resolve(result);
      }
    });
  });
  await greeting;
  const send = (name, parameters = {}) => new Promise((resolve, reject) => {
    count += 1;
    waiting.set(count, { resolve, reject });
    const text = Buffer.from(JSON.stringify([0, count, name, parameters]));
    socket.write(Buffer.concat([Buffer.from(`${text.length}:`), text]));
  });
  return { send, end: () => socket.destroy() };
};

/** Starts Firefox on a screen of its own. */
export const startFirefox = async () => {
  const home = path.join(WORK, "firefox");
  const profile = path.join(home, "profile");
  rmSync(home, { recursive: true, force: true });
  mkdirSync(profile, { recursive: true });
  writeFileSync(path.join(profile, "user.js"), Object.entries(SETTINGS).map((pair) => `user_pref(${pair.map((one) => JSON.stringify(one)).join(", ")});\n`).join(""));
  const screen = await startScreen();
  const env = { ...process.env, DISPLAY: screen.display, HOME: home, GTK_USE_PORTAL: "0", NO_AT_BRIDGE: "1" };
  const program = spawn(process.env.FIREFOX ?? "firefox-esr", ["--marionette", "--remote-allow-system-access", "--no-remote", "--profile", profile, "about:blank"], { env, stdio: "ignore" });
  const portFile = path.join(profile, "MarionetteActivePort");
  const port = await until("Firefox", () => existsSync(portFile) && Number(readFileSync(portFile, "utf8")));
  const marionette = await connect(port);
  // The question before an "upload" must stay until it is answered by hand.
  const session = await marionette.send("WebDriver:NewSession", { unhandledPromptBehavior: "ignore" });
  await marionette.send("WebDriver:SetTimeouts", { pageLoad: PATIENCE, script: PATIENCE });
  return {
    version: session.capabilities.browserVersion,
    send: marionette.send,
    hands: (...words) => execFileSync("xdotool", words, { env, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }).trim(),
    end: () => {
      marionette.end();
      program.kill();
      screen.process.kill();
    },
  };
};
