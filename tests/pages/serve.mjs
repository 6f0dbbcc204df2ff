// Uses the page of `whomay serve` as its readers do, and attacks it. Fails on a flow that does not
// work, on any console message, on any request to another host, and on any serious or critical fault
// that axe-core finds.
//
//   node serve.mjs PROGRAM [SCREENSHOTS [FLOW...]]
//
// CHROMIUM names the browser where it is not /usr/bin/chromium.

import { execFileSync, spawn } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import http from "node:http";
import net from "node:net";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { barred, crooked } from "./looks.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const samples = resolve(here, "../../samples");
const program = resolve(process.argv[2] ?? join(here, "../../target/debug/whomay"));
const shots = process.argv[3] && process.argv[3] !== "-" && resolve(process.argv[3]);
const work = mkdtempSync(join(tmpdir(), "whomay-serve-"));
if (shots) mkdirSync(shots, { recursive: true });

const faults = [];
const fault = (where, what) => {
  faults.push(`${where}: ${what}`);
  console.log(`FAULT ${where}: ${what}`);
};
const check = (where, holds, what) => {
  if (!holds) fault(where, what);
};

const server = spawn(program, ["serve", "--no-open"], {
  env: { ...process.env, XDG_RUNTIME_DIR: work },
  stdio: ["ignore", "pipe", "inherit"],
});
const address = await new Promise((found, lost) => {
  let said = "";
  server.stdout.on("data", (data) => {
    said += data;
    const line = /^http:\S+/.exec(said);
    if (line && said.includes("\n")) found(line[0]);
  });
  server.on("exit", () => lost(new Error("the program ended")));
});

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-dev-shm-usage"],
});

const sizes = {
  phone: { width: 360, height: 740 },
  laptop: { width: 1280, height: 800 },
  // a laptop at 200 %
  zoomed: { width: 640, height: 400 },
};

/** A page that watches itself. */
async function open(name, size = "laptop", scheme = "light", more = {}) {
  const context = await browser.newContext({ viewport: sizes[size], colorScheme: scheme, ...more });
  const page = await context.newPage();
  page.on("console", (message) => fault(name, `console: ${message.text()}`));
  page.on("pageerror", (error) => fault(name, `error: ${error}`));
  page.on("request", (request) => {
    const url = request.url();
    if (!url.startsWith(address) && !url.startsWith("data:")) fault(name, `asks for ${url}`);
  });
  await page.goto(address);
  return page;
}

/** Nothing wider than the page, nothing that keeps people out. */
async function look(page, name) {
  // an element may stand on the page before the style sheet that lays it out
  await page.waitForLoadState("load");
  for (const what of await crooked(page)) fault(name, what);
  for (const { grave, what } of await barred(page)) {
    if (grave) fault(name, what);
    else console.log(`note  ${name}: ${what}`);
  }
  if (shots) {
    const { width } = page.viewportSize();
    const clip = { x: 0, y: 0, width, height: 2600 };
    await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true, clip });
    await page.screenshot({ path: join(shots, `${name}-fold.png`) });
  }
}

const sample = (name) => join(samples, name);

/** The command line's word for the same letter and facts. */
function told(files, ...more) {
  const names = files.map((file) => file.replace(/^.*\//, ""));
  const cwd = dirname(files[0]);
  return execFileSync(program, ["read", ...names, "--quiet", ...more], { cwd, maxBuffer: 1 << 26 }).toString();
}

/** Hands files over and waits for the report; the time it took. */
async function hand(page, files, wanted = "#answer table") {
  await page.setInputFiles("#file", files);
  const begun = performance.now();
  await page.click("#one button[type=submit]");
  await page.waitForSelector(wanted, { timeout: 120000 });
  return performance.now() - begun;
}

const rows = (page) => page.$$eval("#answer tbody tr", (all) =>
  Object.fromEntries(all.map((row) => [row.cells[0].textContent, row.cells[1].textContent])));

const fetched = async (page, file) => {
  const href = await page.$eval(`#ask a[href*="/${file}"]`, (a) => a.href);
  const answer = await fetch(href);
  return { text: await answer.text(), headers: answer.headers };
};

/** An HTTP request by hand: any header, any path as it is. */
function raw(path, { method = "GET", headers = {}, body, port } = {}) {
  const to = new URL(address);
  return new Promise((found) => {
    const request = http.request(
      { host: "127.0.0.1", port: port ?? to.port, path, method, headers: { host: to.host, ...headers } },
      (response) => {
        let text = "";
        response.on("data", (data) => (text += data));
        response.on("end", () => found({ status: response.statusCode, headers: response.headers, text }));
        response.on("error", () => found({ status: 0 }));
      },
    );
    request.on("error", () => found({ status: 0 }));
    request.end(body);
  });
}

function form(parts) {
  const edge = "----edge4711";
  const body = Buffer.concat([
    ...parts.flatMap(([name, file, bytes]) => [
      Buffer.from(`--${edge}\r\nContent-Disposition: form-data; name="${name}"; filename="${file}"\r\n\r\n`),
      Buffer.from(bytes),
      Buffer.from("\r\n"),
    ]),
    Buffer.from(`--${edge}--\r\n`),
  ]);
  return { headers: { "content-type": `multipart/form-data; boundary=${edge}`, "content-length": body.length }, body };
}

const base = new URL(address).pathname;
const flows = {
  async start() {
    for (const [size, scheme] of [["laptop", "light"], ["phone", "dark"], ["zoomed", "light"]]) {
      const page = await open("start", size, scheme);
      await look(page, `start-${size}-${scheme}`);
      await page.context().close();
    }
  },

  async text() {
    const page = await open("text");
    await hand(page, sample("open-list-f.txt"));
    await page.goto(address);
    const took = await hand(page, sample("open-list-f.txt"));
    console.log(`text letter: ${took.toFixed(0)} ms`);
    await look(page, "text-laptop-light");
    const height = await page.$eval("#dispute", (e) => e.getBoundingClientRect().height);
    check("text", height <= sizes.laptop.height, `the dispute is ${height} pixels high`);
    const before = await rows(page);
    check("text", before["Light-sport repairman, inspection"].startsWith("open"), JSON.stringify(before));
    await page.check("#q-owner-self");
    await page.waitForFunction(() => document.getElementById("told").textContent);
    await page.focus("#q-trained");
    await page.selectOption("#q-trained", "airplane/single-engine-land");
    await page.waitForFunction(() => /both ratings: in dispute/.test(document.getElementById("told").textContent));
    check("text", page.url().includes("owner=self"), page.url());
    check("text", (await page.evaluate(() => document.activeElement?.id)) === "q-trained", "the focus is lost");
    check("text", await page.isChecked("#q-owner-self"), "the answer is not kept");
    await page.fill("#q-inspected", "2026-03-14");
    await page.waitForSelector("#ask a[href*='inspection.ics']");
    check("text", (await page.textContent("#ask")).includes("Mar 31, 2027"), "no day on which it runs out");
    const files = [sample("open-list-f.txt")];
    const facts = ["--owner", "self", "--trained", "airplane/single-engine-land"];
    // the page asks about today; the command line has to be asked about the same day
    const on = await page.inputValue("#q-on");
    const same = async (file, format) => {
      const here = (await fetched(page, file)).text;
      const there = told(files, ...facts, "--format", format, "--on", on);
      check("text", here === there, `${file} is not what the command line writes`);
    };
    await same("report.json", "json");
    await same("report.html", "html");
    await same("report.md", "markdown");
    const request = await fetched(page, "request.md");
    check("text", request.text.includes("65.109") || request.text.length > 500, "no draft request");
    check("text", /attachment/.test(request.headers.get("content-disposition")), "the draft is no download");
    const entry = await fetched(page, "inspection.ics");
    check("text", entry.text.includes("DTSTART;VALUE=DATE:20270331"), "no calendar entry");
    await page.selectOption("#q-holder", "mechanic");
    await page.waitForFunction(() => document.querySelectorAll("#answer tbody tr").length === 1);
    await page.reload();
    check("text", (await page.$eval("[name=trained]", (e) => e.value)) === "airplane/single-engine-land", "a reload forgets");
    const letter = new URL(page.url()).pathname;
    await page.click("text=Forget this now");
    await page.waitForSelector("#one");
    check("text", (await raw(letter)).status === 410, "a forgotten letter is there");
    await page.context().close();
    const phone = await open("text", "phone", "dark");
    await hand(phone, sample("open-list-f.txt"));
    await look(phone, "text-phone-dark");
    await phone.context().close();
    const zoomed = await open("text", "zoomed", "light");
    await hand(zoomed, sample("closed-list.txt"));
    await look(zoomed, "text-zoomed-light");
    await zoomed.context().close();
  },

  /** Every control is changed, changed again and set back; the answer follows each time. */
  async controls() {
    for (const javaScriptEnabled of [true, false]) {
      const how = javaScriptEnabled ? "controls" : "controls without script";
      const page = await open(how, "laptop", "light", { javaScriptEnabled });
      await hand(page, sample("open-list-f.txt"));
      const asked = (name) => new URL(page.url()).searchParams.getAll(name);
      const turn = async (change, name, value) => {
        await change();
        if (!javaScriptEnabled) await page.click("text=Show the answer");
        const arrived = (url) => {
          const given = url.searchParams.getAll(name);
          return value === "" ? given.every((v) => v === "") : given.at(-1) === value;
        };
        await page.waitForURL(arrived, { timeout: 20000 }).catch(() =>
          fault(how, `${name} is ${asked(name)} where ${value || "nothing"} was chosen`));
        if (javaScriptEnabled) await page.waitForFunction(() => !document.querySelector(".busy"));
      };
      const shown = async (name) => page.$eval(`#q-${name}`, (e) => e.value);
      for (const [value, row] of [["mechanic", /^Mechanic/], ["repair-station", /^Repair station/],
        ["owner", /^Owner/], ["light-sport-repairman-inspection", /^Light-sport repairman, inspection/]]) {
        await turn(() => page.selectOption("#q-holder", value), "holder", value);
        const names = Object.keys(await rows(page));
        check(how, names.length === 1 && row.test(names[0]), `${value} was chosen, ${names} is shown`);
        check(how, (await shown("holder")) === value, `the menu shows ${await shown("holder")}, not ${value}`);
        check(how, asked("holder").length === 1, `the address has ${asked("holder").length} persons`);
      }
      await turn(() => page.selectOption("#q-holder", ""), "holder", "");
      check(how, Object.keys(await rows(page)).length > 3, "not everybody comes back");
      for (const day of ["2024-05-01", "2026-11-25", "2026-12-24"]) {
        await turn(() => page.fill("#q-on", day), "on", day);
        check(how, (await shown("on")) === day, `the day is ${await shown("on")}, not ${day}`);
      }
      const inspection = async () =>
        Object.entries(await rows(page)).find(([who]) => /Light-sport repairman/.test(who))[1];
      for (const [id, value, answer] of [["self", "self", /open.*if you are trained/], ["notowner", "not-owner", /^no/],
        ["company", "company", /./], ["", "", /open.*if you own it/]]) {
        await turn(() => page.check(`#q-owner-${id}`), "owner", value);
        check(how, await page.isChecked(`#q-owner-${id}`), `owner: ${id} does not stay`);
        check(how, answer.test(await inspection()), `owner ${value}: ${await inspection()}`);
      }
      for (const value of ["airplane/single-engine-land", "glider", ""]) {
        await turn(() => page.selectOption("#q-trained", value), "trained", value);
        check(how, (await shown("trained")) === value, `trained is ${await shown("trained")}, not ${value}`);
      }
      for (const [day, until] of [["2026-03-14", "Mar 31, 2027"], ["2026-05-02", "May 31, 2027"], ["2026-01-31", "Jan 31, 2027"]]) {
        await turn(() => page.fill("#q-inspected", day), "inspected", day);
        await page.waitForFunction((said) => document.getElementById("ask").textContent.includes(said), until)
          .catch(() => fault(how, `no ${until} after ${day}`));
      }
      await page.context().close();
    }
  },

  async short() {
    const page = await open("short", "phone");
    await page.context().grantPermissions(["clipboard-read", "clipboard-write"]);
    await hand(page, sample("open-list-f.txt"));
    check("short", await page.isVisible(".jump a[href='#take']"), "no way to what can be taken along");
    const top = await page.$eval(".jump a[href='#take']", (e) => e.getBoundingClientRect().top);
    check("short", top < 1.5 * sizes.phone.height, `it is ${top} pixels down`);
    await page.click("summary:has-text('A short answer')");
    await page.click("#copy");
    await page.waitForFunction(() => document.getElementById("copied").textContent);
    const copied = await page.evaluate(() => navigator.clipboard.readText());
    check("short", /Clause 26/.test(copied) && /Not legal advice/.test(copied) && !/[*_\\]/.test(copied), copied);
    check("short", !/--[a-z]|whomay (who|read|request)/.test(await page.textContent("main")), "a command stands on the page");
    const print = await fetched(page, "request.html");
    check("short", /<h1>Draft request/.test(print.text), "no draft to print");
    await page.context().close();
  },

  async told() {
    // Four claims one after the other; the letter and what was said of it stay.
    for (const javaScriptEnabled of [true, false]) {
      const how = `told, ${javaScriptEnabled ? "with" : "without"} script`;
      const page = await open(how, "phone", "light", { javaScriptEnabled });
      await hand(page, sample("open-list-f.txt"));
      for (const [words, said] of [
        ["Only a mechanic may perform the condition inspection.", /is not what the letter says/i],
        ["The builder certificated as a repairman for this aircraft or an appropriately rated mechanic may perform the condition inspection.", /fits the letter/i],
        ["<b>Only</b> the builder may perform the condition inspection.", /is not what the letter says/i],
      ]) {
        await page.fill("#claim", words);
        await page.click("#told-you button");
        await page.waitForSelector("#claim-1");
        check(how, said.test(await page.textContent("#claim-1")), `${words}: ${await page.textContent("#claim-1")}`);
        check(how, (await page.inputValue("#claim")) === words, "the words are lost");
      }
      await page.click("a:has-text('Back to the letter')");
      await page.waitForSelector("#answer table");
      await page.context().close();
    }
  },

  async year() {
    // The next limit, the sheet and a log entry, with and without script; what was said stays.
    for (const javaScriptEnabled of [true, false]) {
      const how = `year, ${javaScriptEnabled ? "with" : "without"} script`;
      for (const [size, scheme] of [["laptop", "light"], ["phone", "dark"]]) {
        const page = await open(how, size, scheme, { javaScriptEnabled });
        await hand(page, sample("open-list-g.txt"));
        await page.click("text=Everything that runs out in the year");
        await page.waitForSelector("#of-year");
        await page.fill("#q-inspected", "2026-03-14");
        await page.fill("#q-on", "2026-11-25");
        await page.fill("#q-transponder", "2024-12-02");
        await page.selectOption("#q-ifr", "no");
        await page.click("#of-year button");
        await page.waitForSelector("a[href*='year.md']");
        const said = await page.textContent("h1");
        check(how, /2026-12-31|Dec 31, 2026/.test(said), said);
        check(how, (await page.inputValue("#q-transponder")) === "2024-12-02", "a day is lost");
        if (javaScriptEnabled) await look(page, `year-${size}-${scheme}`);
        await page.click("a:has-text('Back to the letter')");
        await page.waitForSelector("#answer table");
        check(how, page.url().includes("transponder=2024-12-02"), page.url());
        check(how, (await page.textContent("#ask")).includes("Dec 31, 2026"), "no next limit beside the letter");
        await page.click("text=One page for the inspector");
        await page.waitForSelector("a[href*='sheet.md']");
        if (javaScriptEnabled) await look(page, `sheet-${size}-${scheme}`);
        await page.click("a:has-text('Back to the letter')");
        await page.fill("#entry", "7/14/26 TT 1211.0. Condition inspection in accordance with the scope and detail of appendix D to part 43, <b>found</b> to be in a condition for safe operation. Ada Borrow, A&P 0000042");
        await page.click("#log-entry button");
        await page.waitForSelector("a:has-text('Back to the letter')");
        check(how, /^Current/.test(await page.textContent("h1")), await page.textContent("h1"));
        check(how, (await page.inputValue("#entry")).includes("<b>found</b>"), "the entry is lost");
        check(how, !page.url().includes("Borrow"), "the entry stands in the address");
        if (javaScriptEnabled) await look(page, `entry-${size}-${scheme}`);
        await page.context().close();
      }
    }
  },

  async keyboard() {
    const page = await open("keyboard");
    const focused = () => page.evaluate(() => document.activeElement?.id || document.activeElement?.localName);
    const tab = async (to) => {
      for (let n = 0; n < 40; n += 1) {
        await page.keyboard.press("Tab");
        if ((await focused()) === to) return;
      }
      fault("keyboard", `no way to ${to}`);
    };
    await tab("summary");
    await page.keyboard.press("Enter");
    await tab("text");
    await page.keyboard.insertText(readFileSync(sample("open-list-g.txt"), "utf8"));
    await tab("button");
    await page.keyboard.press("Enter");
    await page.waitForSelector("#answer table");
    await tab("q-owner-");
    await page.keyboard.press("ArrowUp");
    await page.waitForFunction(() => /light-sport/i.test(document.getElementById("told").textContent));
    check("keyboard", (await focused()) === "q-owner-notowner", `the focus is at ${await focused()}`);
    await page.context().close();
  },

  async drop() {
    const page = await open("drop");
    const transfer = await page.evaluateHandle((words) => {
      const data = new DataTransfer();
      data.items.add(new File([words], "dropped.txt", { type: "text/plain" }));
      return data;
    }, readFileSync(sample("closed-list.txt"), "utf8"));
    await page.dispatchEvent("#one", "dragenter", { dataTransfer: transfer });
    check("drop", await page.$("#one.over"), "nothing shows where to drop");
    await page.dispatchEvent("#one", "drop", { dataTransfer: transfer });
    await page.waitForSelector("#answer table");
    check("drop", (await page.textContent("#about")).includes("dropped.txt"), "the name is lost");
    await page.context().close();
  },

  async pdf() {
    const page = await open("pdf");
    await hand(page, sample("open-list-f.pdf"));
    const on = await page.inputValue("#q-on");
    const there = told([sample("open-list-f.pdf")], "--format", "json", "--on", on);
    check("pdf", (await fetched(page, "report.json")).text === there, "JSON is not what the command line writes");
    await page.context().close();
  },

  async scan() {
    const page = await open("scan");
    await page.setInputFiles("#file", sample("scans/open-list-f-page-5-scanned.pdf"));
    await page.click("#one button[type=submit]");
    // A page that is read at once has nobody wait, or goes on while it is looked at.
    await page.waitForSelector("#wait, #answer table");
    try {
      if (await page.$("#wait")) await look(page, "wait-laptop-light");
    } catch (gone) {
      if (!/navigation/.test(gone.message)) throw gone;
    }
    await page.waitForSelector("#answer table", { timeout: 120000 });
    check("scan", (await page.$$("#rest figure image")).length === 1, "the scanned page is not shown");
    check("scan", (await page.$$("#rest .outline")).length > 0, "no clause is outlined");
    await look(page, "scan-laptop-light");
    await page.context().close();
  },

  async long() {
    const page = await open("long");
    const file = sample("scans/open-list-g-300-gray.pdf");
    await page.setInputFiles("#file", file);
    const begun = performance.now();
    await page.click("#one button[type=submit]");
    await page.waitForSelector("#wait");
    await page.waitForFunction(() => /1 of 3|2 of 3/.test(document.querySelector("#wait [role=status]").textContent));
    await page.waitForSelector("#answer table", { timeout: 120000 });
    const took = performance.now() - begun;
    const again = performance.now();
    const on = await page.inputValue("#q-on");
    const there = told([file], "--format", "json", "--on", on);
    const alone = performance.now() - again;
    console.log(`three scanned pages: ${took.toFixed(0)} ms, on the command line ${alone.toFixed(0)} ms`);
    check("long", (await fetched(page, "report.json")).text === there, "JSON is not what the command line writes");
    check("long", (await page.$$("#rest figure image")).length === 3, "the pages are not shown");
    const loads = await page.$$eval("#rest figure image", (all) => Promise.all(all.map(async (image) => {
      const picture = new Image();
      picture.src = image.getAttribute("href");
      await picture.decode();
      return picture.naturalWidth;
    })));
    check("long", loads.every((width) => width >= 800), `pictures are ${loads} wide`);
    if (shots) {
      await page.locator("#letter figure").last().screenshot({ path: join(shots, "scan-figure.png") });
    }
    const whole = (await fetched(page, "report.html")).text;
    check("long", whole.includes("data:image/jpeg;base64,"), "the report has no pictures");
    console.log(`report of three scanned pages: ${(whole.length / 1024).toFixed(0)} KiB`);
    await page.context().close();
  },

  async photos() {
    const page = await open("photos", "phone");
    await page.setInputFiles("#file", [sample("scans/open-and-100-hour-photo-2.jpg"), sample("scans/open-and-100-hour-photo-1.jpg")]);
    await page.click("#one button[type=submit]");
    await page.waitForFunction(() => /1 of 2/.test(document.querySelector("#wait [role=status]")?.textContent), null, { timeout: 120000 });
    await page.waitForSelector("#answer table", { timeout: 120000 });
    check("photos", (await rows(page))["Mechanic, airframe and powerplant"].startsWith("yes"), "no answer");
    await look(page, "photos-phone-light");
    await page.context().close();
  },

  async doubt() {
    // A page on which a word that decides is misprinted, as a picture.
    const pages = readFileSync(sample("open-list-f.txt"), "utf8").split("\f");
    const words = (pages[0].split("\n").slice(0, 24).join("\n") + pages[4])
      .replace(/&/g, "&amp;").replace(/</g, "&lt;")
      .replace(/(rated\s+FAA-certificated\s+)mechanic/, "$1mechanlc");
    const paper = await browser.newPage({ viewport: { width: 1100, height: 1720 } });
    await paper.setContent(`<body style="margin:70px;font:19px/1.4 'Liberation Serif'"><pre style="font:inherit;white-space:pre-wrap">${words}</pre>`);
    const file = join(work, "misprinted.png");
    await paper.screenshot({ path: file });
    await paper.context().close();
    let letter;
    for (const size of ["laptop", "phone"]) {
      const page = await open("doubt", size);
      if (letter) await page.goto(letter);
      else await hand(page, file);
      letter = page.url();
      const mechanic = async () => (await rows(page))["Mechanic, airframe and powerplant"];
      check("doubt", (await mechanic()).startsWith("open"), `the answer is ${await mechanic()}`);
      check("doubt", await page.$(".cutout image"), "no cut-out of the scan");
      await look(page, `doubt-${size}-light`);
      await page.check("text=It says “mechanic”");
      await page.click("text=Take what I read");
      await page.waitForFunction(() => /Mechanic.*: yes/.test(document.getElementById("told").textContent));
      check("doubt", (await mechanic()).startsWith("yes"), `the answer is ${await mechanic()}`);
      const json = JSON.parse((await fetched(page, "report.json")).text);
      check("doubt", json.notes.some((n) => n.id === "read-by-person"), "JSON does not say that a person read it");
      check("doubt", /a person looked and read/.test(await page.textContent("#gaps")), "the report does not say it");
      await page.fill(".word input[type=text]", "<b>nobody</b>");
      await page.click("text=Take what I read");
      await page.waitForFunction(() => !/Mechanic.*: yes/.test(document.getElementById("told").textContent));
      check("doubt", !(await mechanic()).startsWith("yes"), "other words change nothing");
      check("doubt", (await page.$$("#content b")).length === 0, "words became markup");
      await page.check("text=I cannot tell either");
      await page.click("text=Take what I read");
      await page.waitForFunction(() => /open.*letter is not clear/.test(document.querySelector("#answer tbody")?.textContent));
      await page.context().close();
    }
  },

  async wrong() {
    const page = await open("wrong", "phone");
    const registration = join(work, "registration.txt");
    writeFileSync(registration, "UNITED STATES OF AMERICA\nDEPARTMENT OF TRANSPORTATION - FEDERAL AVIATION ADMINISTRATION\nCERTIFICATE OF AIRCRAFT REGISTRATION\nThis certificate must be in the aircraft when operated.\nNationality and registration marks N0WHO\nAircraft serial no. 000\n");
    await hand(page, registration, ".notice");
    check("wrong", /registration/.test(await page.textContent(".notice")), await page.textContent(".notice"));
    await look(page, "wrong-phone-light");
    page.removeAllListeners("console");
    for (const [name, bytes, says] of [
      ["empty.pdf", "", /empty/],
      ["letter.pdf", "%PDF-1.4\nbroken", /damaged/],
      ["film.heic", "\0\0\0\x18ftypheic", /share or save it as JPEG/],
    ]) {
      const file = join(work, name);
      writeFileSync(file, bytes);
      await page.goto(address);
      await hand(page, file, "h1:has-text('could not be read')");
      check("wrong", says.test(await page.textContent("main")), `${name}: ${await page.textContent("main")}`);
    }
    await look(page, "failed-phone-light");
    await page.goto(address);
    await page.click("#one button[type=submit]");
    check("wrong", /Choose a file/.test(await page.textContent("#one .fault")), "nothing is said of no file");
    await page.context().close();
  },

  async two() {
    const page = await open("two");
    await page.setInputFiles("#old", sample("open-list-f.txt"));
    await page.setInputFiles("#new", sample("repair-stations.txt"));
    await page.click("#two button[type=submit]");
    await page.waitForSelector("#clauses");
    check("two", /repair station.*in dispute.*yes/is.test(await page.textContent("#answers")), "no answer changes");
    await look(page, "two-laptop-light");
    const on = await page.inputValue("#q-on");
    const there = execFileSync(program, ["compare", "open-list-f.txt", "repair-stations.txt", "--format", "json", "--on", on, "--quiet"], { cwd: samples }).toString();
    check("two", (await fetched(page, "changes.json")).text === there, "JSON is not what the command line writes");
    check("two", (await fetched(page, "changes.html")).text.includes("<ins>"), "no page to take along");
    await page.fill("#q-on", "2024-05-01");
    await page.waitForFunction(() => document.querySelector("#answers").textContent.includes("2024-05-01"));
    await page.context().close();
    const phone = await open("two", "phone", "dark");
    await phone.setInputFiles("#old", sample("closed-list.txt"));
    await phone.setInputFiles("#new", sample("open-list-g.txt"));
    await phone.click("#two button[type=submit]");
    await phone.waitForSelector("#clauses");
    await look(phone, "two-phone-dark");
    await phone.context().close();
  },

  async survey() {
    const page = await open("survey");
    await page.setInputFiles("#many", ["open-list-f.txt", "closed-list.txt", "not-a-letter.txt"].map(sample));
    await page.click("#club button[type=submit]");
    await page.waitForSelector("#letters");
    check("survey", /3 files surveyed/.test(await page.textContent("h1")), "not all letters count");
    check("survey", (await fetched(page, "survey.csv")).text.split("\r\n").length >= 4 || (await fetched(page, "survey.csv")).text.split("\n").length >= 4, "rows are missing");
    await look(page, "survey-laptop-light");
    await page.context().close();
  },

  async hostile() {
    const page = await open("hostile");
    const file = join(work, "a<b>&\"'\u202ex<script>document.title='steered'<\u2215script>.txt");
    copyFileSync(join(here, "nasty.txt"), file);
    await hand(page, file);
    const steered = await page.evaluate(() => ({
      title: document.title,
      scripts: document.querySelectorAll("main script, iframe, object, embed").length,
      handlers: [...document.querySelectorAll("main *")].flatMap((e) => [...e.attributes])
        .filter((a) => a.name.startsWith("on") || a.name === "style").length,
    }));
    check("hostile", steered.title !== "steered" && !steered.scripts && !steered.handlers, JSON.stringify(steered));
    await look(page, "hostile-laptop-light");
    await page.context().close();
  },

  async still() {
    // Without scripts every form works by its button.
    const page = await open("still", "laptop", "light", { javaScriptEnabled: false });
    await page.setInputFiles("#file", sample("open-list-g.txt"));
    await page.click("#one button[type=submit]");
    await page.waitForSelector("#answer table");
    await page.check("#q-owner-notowner");
    await page.click("text=Show the answer");
    await page.waitForURL(/owner=not-owner/);
    check("still", /no/.test((await rows(page))["Light-sport repairman, inspection"]), "the answer stays");
    await page.context().close();
  },

  async guard() {
    const own = new URL(address).origin;
    for (const [what, status, path, more] of [
      ["the page", 200, base, {}],
      ["a foreign host", 403, base, { headers: { host: "rebound.example" } }],
      ["a foreign host with the port", 403, base, { headers: { host: `rebound.example:${new URL(address).port}` } }],
      ["no token", 404, "/", {}],
      ["another token", 404, `/${"0".repeat(32)}/`, {}],
      ["half a token", 404, base.slice(0, -2), {}],
      ["a spent key", 404, "/open/0", {}],
      ["a foreign origin", 403, `${base}letters`, { method: "POST", headers: { origin: "http://elsewhere.example" } }],
      ["no origin of its own", 403, `${base}letters`, { method: "POST", headers: { origin: "null" } }],
      ["a cross-site post", 403, `${base}letters`, { method: "POST", headers: { "sec-fetch-site": "cross-site" } }],
      ["another site's picture", 403, base, { headers: { "sec-fetch-site": "cross-site" } }],
      ["another method", 403, base, { method: "DELETE" }],
      ["a way up", 404, `${base}../../etc/passwd`, {}],
      ["a hidden way up", 404, `${base}%2e%2e/%2e%2e/etc/passwd`, {}],
      ["a way up among files", 404, `${base}letters/1/..%2f..%2freport.json`, {}],
      ["a number without end", 404, `${base}letters/${"9".repeat(40)}`, {}],
      ["no number", 404, `${base}letters/-1`, {}],
      ["a letter that never was", 404, `${base}letters/9999`, {}],
    ]) {
      const answer = await raw(path, more);
      check("guard", answer.status === status, `${what}: ${answer.status} instead of ${status}`);
      check("guard", !answer.text?.includes(base) || answer.status === 200 || path.startsWith(base), `${what} tells the token`);
      check("guard", /default-src 'none'/.test(answer.headers?.["content-security-policy"] ?? ""), `${what}: no policy`);
    }
    const plain = form([["file", "a.txt", readFileSync(sample("closed-list.txt"))]]);
    const ours = await raw(`${base}letters`, { method: "POST", ...plain, headers: { ...plain.headers, origin: own } });
    check("guard", ours.status === 303, `an upload of our own: ${ours.status}`);
    const other = await raw(`${base}letters`, { method: "POST", ...plain, headers: { ...plain.headers, origin: "http://127.0.0.1:1" } });
    check("guard", other.status === 403, `an upload from another port: ${other.status}`);

    // A page of somebody else, in the same browser.
    const foreign = http.createServer((request, response) => {
      response.setHeader("content-type", "text/html");
      response.end(`<form method="post" action="${address}letters" enctype="multipart/form-data"><textarea name="text">x</textarea><button>go</button></form><iframe src="${address}"></iframe>`);
    });
    await new Promise((up) => foreign.listen(0, "127.0.0.1", up));
    const context = await browser.newContext();
    const page = await context.newPage();
    await page.goto(`http://127.0.0.1:${foreign.address().port}/`);
    const framed = page.frames().find((frame) => frame !== page.mainFrame());
    check("guard", !(await framed?.content().catch(() => ""))?.includes("Read the letter"), "a foreign page frames ours");
    const [answer] = await Promise.all([page.waitForResponse((r) => r.request().method() === "POST"), page.click("button")]);
    check("guard", answer.status() === 403, `a foreign form: ${answer.status()}`);
    await context.close();
    foreign.close();
  },

  async large() {
    const head = { "content-type": "multipart/form-data; boundary=x" };
    const told = await raw(`${base}letters`, { method: "POST", headers: { ...head, "content-length": String(1 << 30) } });
    check("large", [413, 0].includes(told.status), `a body of a GiB: ${told.status}`);
    // An upload without end: the server hangs up.
    const to = new URL(address);
    const sent = await new Promise((over) => {
      const socket = net.connect(Number(to.port), "127.0.0.1");
      let sent = 0;
      const chunk = Buffer.from(`${(1 << 20).toString(16)}\r\n${"a".repeat(1 << 20)}\r\n`);
      const pour = () => {
        while (!socket.destroyed && sent < 1 << 29) {
          sent += 1 << 20;
          if (!socket.write(chunk)) {
            socket.once("drain", pour);
            return;
          }
        }
      };
      socket.on("error", () => {});
      socket.on("close", () => over(sent));
      socket.on("data", () => {});
      socket.write(`POST ${base}letters HTTP/1.1\r\nHost: ${to.host}\r\nContent-Type: multipart/form-data; boundary=x\r\nTransfer-Encoding: chunked\r\n\r\n`);
      const start = "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"endless\"\r\n\r\n";
      socket.write(`${start.length.toString(16)}\r\n${start}\r\n`);
      pour();
    });
    check("large", sent < 200 << 20, `${sent >> 20} MiB of an upload without end were taken`);
    const many = form(Array.from({ length: 80 }, (_, n) => ["file", `${n}.txt`, "x"]));
    const answer = await raw(`${base}letters`, { method: "POST", ...many });
    check("large", answer.status === 413, `80 files: ${answer.status}`);
  },

  async crowd() {
    const bytes = readFileSync(sample("contradiction.txt"));
    const begun = performance.now();
    const all = await Promise.all(Array.from({ length: 200 }, async (_, n) => {
      const up = await raw(`${base}letters`, { method: "POST", ...form([["file", `letter-${n}.txt`, bytes]]) });
      if (up.status !== 303) return up.status;
      for (let tries = 0; tries < 600; tries += 1) {
        const page = await raw(up.headers.location);
        if (page.status !== 200) return page.status;
        if (page.text.includes(`letter-${n}.txt`) && page.text.includes("id=\"answer\"")) return 0;
        await new Promise((later) => setTimeout(later, 100));
      }
      return -1;
    }));
    const failed = all.filter((status) => status !== 0);
    check("crowd", failed.length === 0, `${failed.length} of 200 failed: ${failed.slice(0, 5)}`);
    console.log(`200 uploads at once: ${((performance.now() - begun) / 1000).toFixed(1)} s`);
  },

  /** Ten minutes of uploads, 200 at once, with a scan now and then; the memory each minute. */
  async siege() {
    const memory = () => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${server.pid}/status`, "utf8"))[1]) / 1024;
    const letters = ["open-list-f.txt", "closed-list.txt", "lettered.pdf", "light-sport.txt", "scans/open-list-f-page-5-scanned.pdf"];
    const files = letters.map((name) => [name.replace(/^.*\//, ""), readFileSync(sample(name))]);
    const minutes = Number(process.env.MINUTES ?? 10);
    const end = performance.now() + minutes * 60000;
    let [done, minute] = [0, 0];
    const seen = [memory()];
    const failed = [];
    const one = async (n) => {
      while (performance.now() < end) {
        // scans are read one after the other: one upload in two hundred is one
        const [name, bytes] = files[n === 0 ? 4 : (n + done) % 4];
        const up = await raw(`${base}letters`, { method: "POST", ...form([["file", name, bytes]]) });
        if (up.status !== 303) failed.push(up.status);
        for (let text = ""; up.status === 303 && !text.includes("id=\"answer\"");) {
          const page = await raw(up.headers.location);
          text = page.text ?? "";
          if (page.status !== 200) {
            failed.push(page.status);
            break;
          }
          if (text.includes("data-events")) await new Promise((later) => setTimeout(later, 300));
        }
        done += 1;
        if (performance.now() - end + minutes * 60000 > (minute + 1) * 60000) {
          minute += 1;
          seen.push(memory());
          console.log(`minute ${minute}: ${done} letters, ${seen.at(-1).toFixed(0)} MiB`);
        }
      }
    };
    await Promise.all(Array.from({ length: 200 }, (_, n) => one(n)));
    check("siege", failed.length === 0, `${failed.length} of ${done} failed: ${failed.slice(0, 5)}`);
    const half = seen.slice(1, 1 + seen.length / 2);
    check("siege", seen.at(-1) < 1.15 * Math.max(...half), `memory grows: ${seen.map(Math.round)}`);
  },
};

const wanted = process.argv.slice(4);
const run = async (names) => {
  for (const name of names.filter((n) => !wanted.length || wanted.includes(n))) {
    const begun = performance.now();
    await flows[name]().catch((error) => fault(name, error.message.split("\n").slice(0, 6).join(" | ")));
    console.log(`${name}: ${((performance.now() - begun) / 1000).toFixed(1)} s`);
  }
};
try {
  // Pictures are read while other pages are looked at.
  const slow = ["scan", "photos", "doubt"];
  const alone = ["crowd", "long", "siege"];
  await Promise.all([
    run(slow),
    run(Object.keys(flows).filter((name) => !slow.includes(name) && !alone.includes(name))),
  ]);
  await run(wanted.length ? alone : ["crowd"]);
} finally {
  await browser.close();
  server.kill("SIGINT");
  const code = await new Promise((ended) => {
    const late = setTimeout(() => ended("late"), 3000);
    server.on("exit", (code) => { clearTimeout(late); ended(code); });
  });
  check("end", code === 0, `Ctrl-C ends it with ${code}`);
  rmSync(work, { recursive: true, force: true });
}
console.log(faults.length ? `${faults.length} faults` : "no faults");
process.exitCode = faults.length ? 1 : 0;
