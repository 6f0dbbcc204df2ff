// Opens the pages that the program writes, as readers do: on a phone, on a laptop, on paper, in
// light and dark. Fails on anything wider than the page, any console message, any request that
// leaves the page, and any serious or critical fault that axe-core finds.
//
//   node check.mjs PROGRAM [SCREENSHOTS]
//
// CHROMIUM names the browser where it is not /usr/bin/chromium.

import { execFileSync } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { barred, crooked } from "./looks.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const samples = resolve(here, "../../samples");
const program = resolve(process.argv[2] ?? join(here, "../../target/debug/whomay"));
const shots = process.argv[3] && resolve(process.argv[3]);
const work = mkdtempSync(join(tmpdir(), "whomay-pages-"));
if (shots) mkdirSync(shots, { recursive: true });

// A letter whose words and whose file name try to become markup.
const hostile = join(work, "a<b>&\"'\u202ex.txt");
copyFileSync(join(here, "nasty.txt"), hostile);

const day = ["--on", "2026-11-25"];
const pages = [
  { name: "pdf", arguments: ["read", join(samples, "open-list-f.pdf"), ...day] },
  // The longest sample: 28 clauses.
  { name: "text", arguments: ["read", join(samples, "open-list-f.txt"), ...day], most: { printed: 8, bytes: 60_000, tall: 9000 } },
  { name: "closed", arguments: ["read", join(samples, "closed-list.txt"), ...day] },
  { name: "contradiction", arguments: ["read", join(samples, "contradiction.txt"), ...day] },
  { name: "no-letter", arguments: ["read", join(samples, "not-a-letter.txt"), ...day] },
  { name: "several", arguments: ["read", "--same-aircraft", join(samples, "lettered.txt"), join(samples, "names-nobody.txt"), ...day] },
  { name: "two-letters", arguments: ["compare", join(samples, "open-list-f.txt"), join(samples, "closed-list.txt"), ...day] },
  { name: "sides", arguments: ["compare", join(samples, "open-list-f.txt"), join(samples, "open-list-g.txt"), "--beside", ...day] },
  { name: "wordings", arguments: ["compare", join(samples, "open-list-g.txt")] },
  { name: "claim", arguments: ["compare", join(samples, "open-list-f.txt"), "--claim", "Only a mechanic must perform the <b>condition inspection</b> every 24 calendar months."] },
  { name: "who", arguments: ["who", join(samples, "open-list-g.txt"), "--holder", "mechanic", ...day] },
  { name: "memo", arguments: ["who", join(samples, "open-list-f.txt"), "--memo", ...day], most: { printed: 2 } },
  { name: "memo-hostile", arguments: ["who", hostile, "--memo", ...day] },
  { name: "hostile", arguments: ["read", hostile, ...day] },
  { name: "survey", arguments: ["survey", samples, hostile, "--ocr", "off", ...day] },
];

// Pages that a test of the library leaves there: the picture of a scanned page.
const pictured = resolve(here, "../../target/tmp/pictured.html");
if (existsSync(pictured)) pages.push({ name: "pictured", ready: pictured });

const sizes = [
  { name: "phone", width: 360, height: 740, media: "screen" },
  { name: "laptop", width: 1280, height: 800, media: "screen" },
  { name: "letter", width: 680, height: 900, media: "print" },
  { name: "a4", width: 658, height: 980, media: "print" },
];

const faults = [];
const fault = (where, what) => {
  faults.push(`${where}: ${what}`);
  console.log(`FAULT ${where}: ${what}`);
};

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-dev-shm-usage"],
});

async function look(page, url, name, size, scheme) {
  const where = `${name}, ${size.name}, ${scheme}`;
  for (const what of await crooked(page)) fault(where, what);
  const steered = await page.evaluate(() => ({
    title: document.title,
    scripts: document.querySelectorAll("script, iframe, object, embed, form, link").length,
    handlers: [...document.querySelectorAll("*")].flatMap((e) => [...e.attributes])
      .filter((a) => a.name.startsWith("on") || a.name === "style").length,
    out: [...document.querySelectorAll("[href], [src]")]
      .map((e) => e.getAttribute("href") ?? e.getAttribute("src"))
      .filter((to) => !to.startsWith("#") && !to.startsWith("data:image/png;")),
  }));
  if (steered.title === "steered" || steered.scripts || steered.handlers) {
    fault(where, `words became markup: ${JSON.stringify(steered)}`);
  }
  if (steered.out.length) fault(where, `leads out: ${steered.out[0]}`);
  if (size.media === "screen") {
    for (const { grave, what } of await barred(page)) {
      if (grave) fault(where, what);
      else console.log(`note  ${where}: ${what}`);
    }
  }
  if (shots && (scheme === "light" || size.name === "laptop")) {
    await page.screenshot({ path: join(shots, `${name}-${size.name}-${scheme}.png`), fullPage: true });
  }
}

/** Pages of a PDF as the browser writes it. */
function sheets(pdf) {
  return pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
}

/** The eyes themselves: a page made bad on purpose must have all its faults found. */
async function eyes() {
  const page = await browser.newPage({ viewport: { width: 360, height: 640 } });
  await page.setContent(`<!doctype html><html><title>bad</title><body><p id="a">x</p><p id="a">y</p>
    <a href="#nowhere">z</a><div style="width: 900px">wide</div><img src="data:,"></body></html>`);
  const found = [...await crooked(page), ...(await barred(page)).filter((f) => f.grave).map((f) => f.what)];
  for (const sign of ["wider", "#nowhere", "the id a", "image-alt", "html-has-lang"]) {
    if (!found.some((what) => what.includes(sign))) fault("a bad page", `was not told of: ${sign}`);
  }
  await page.close();
}

try {
  await eyes();
  for (const { name, arguments: told, ready, most = {} } of pages) {
    const file = ready ?? join(work, `${name}.html`);
    if (told) execFileSync(program, [...told, "--format", "html", "-o", file, "--quiet"]);
    const url = pathToFileURL(file).href;
    for (const size of sizes) {
      for (const scheme of size.name === "laptop" ? ["light", "dark"] : ["light"]) {
        const context = await browser.newContext({
          viewport: { width: size.width, height: size.height },
          colorScheme: scheme,
        });
        const page = await context.newPage();
        const where = `${name}, ${size.name}, ${scheme}`;
        page.on("console", (message) => fault(where, `console: ${message.text()}`));
        page.on("pageerror", (error) => fault(where, `error: ${error}`));
        page.on("request", (request) => {
          if (request.url() !== url && !request.url().startsWith("data:")) {
            fault(where, `asks for ${request.url()}`);
          }
        });
        await page.emulateMedia({ media: size.media, colorScheme: scheme });
        await page.goto(url);
        await look(page, url, name, size, scheme);
        if (size.media === "print" && (shots || most.printed)) {
          const format = size.name === "a4" ? "A4" : "Letter";
          const path = shots && join(shots, `${name}-${size.name}.pdf`);
          const printed = sheets(await page.pdf({ path, format }));
          console.log(`${where}: ${printed} sheets`);
          if (printed > (most.printed ?? Infinity)) fault(where, `${printed} sheets of paper`);
        }
        if (size.name === "phone" && most.tall) {
          const tall = await page.evaluate(() => {
            const end = document.getElementById("letter") ?? document.querySelector("footer");
            return Math.round(end.getBoundingClientRect().top + scrollY);
          });
          console.log(`${where}: ${tall} pixels before the letter`);
          if (tall > most.tall) fault(where, `${tall} pixels before the letter`);
        }
        await context.close();
      }
    }
    const { size: bytes } = statSync(file);
    console.log(`${name}: ${bytes} bytes`);
    if (bytes > (most.bytes ?? Infinity)) fault(name, `${bytes} bytes`);
  }
} finally {
  await browser.close();
  rmSync(work, { recursive: true, force: true });
}
console.log(faults.length ? `${faults.length} faults` : "no faults");
process.exitCode = faults.length ? 1 : 0;
