// Opens the pages that the program writes, as readers do: on a phone, on a laptop, on paper, in
// light and dark. Fails on anything wider than the page, any console message, any request that
// leaves the page, and any serious or critical fault that axe-core finds.
//
//   node check.mjs PROGRAM [SCREENSHOTS]
//
// CHROMIUM names the browser where it is not /usr/bin/chromium.

import { execFileSync } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
const samples = resolve(here, "../../samples");
const program = resolve(process.argv[2] ?? join(here, "../../target/debug/whomay"));
const shots = process.argv[3] && resolve(process.argv[3]);
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const work = mkdtempSync(join(tmpdir(), "whomay-pages-"));
if (shots) mkdirSync(shots, { recursive: true });

// A letter whose words and whose file name try to become markup.
const hostile = join(work, "a<b>&\"'\u202ex.txt");
copyFileSync(join(here, "nasty.txt"), hostile);

const day = ["--on", "2026-11-25"];
const pages = [
  { name: "pdf", arguments: ["read", join(samples, "open-list-f.pdf"), ...day] },
  { name: "closed", arguments: ["read", join(samples, "closed-list.txt"), ...day] },
  { name: "contradiction", arguments: ["read", join(samples, "contradiction.txt"), ...day] },
  { name: "no-letter", arguments: ["read", join(samples, "not-a-letter.txt"), ...day] },
  { name: "several", arguments: ["read", join(samples, "lettered.txt"), join(samples, "names-nobody.txt"), ...day] },
  { name: "two-letters", arguments: ["compare", join(samples, "open-list-f.txt"), join(samples, "closed-list.txt"), ...day] },
  { name: "sides", arguments: ["compare", join(samples, "open-list-f.txt"), join(samples, "open-list-g.txt"), "--side-by-side", ...day] },
  { name: "wordings", arguments: ["compare", join(samples, "open-list-g.txt")] },
  { name: "claim", arguments: ["compare", join(samples, "open-list-f.txt"), "--claim", "Only a mechanic must perform the <b>condition inspection</b> every 24 calendar months."] },
  { name: "who", arguments: ["who", join(samples, "open-list-g.txt"), "--holder", "mechanic", ...day] },
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
  const wide = await page.evaluate(() => {
    const edge = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= edge) return [];
    return [...document.querySelectorAll("body *")]
      .filter((e) => e.getBoundingClientRect().right > edge + 1)
      .slice(0, 3)
      .map((e) => `<${e.localName} class="${e.className}"> ${e.textContent.slice(0, 40)}`);
  });
  for (const what of wide) fault(where, `wider than the page: ${what}`);
  const steered = await page.evaluate(() => ({
    title: document.title,
    scripts: document.querySelectorAll("script, iframe, object, embed, form, link").length,
    handlers: [...document.querySelectorAll("*")].flatMap((e) => [...e.attributes])
      .filter((a) => a.name.startsWith("on") || a.name === "style").length,
    out: [...document.querySelectorAll("[href], [src]")]
      .map((e) => e.getAttribute("href") ?? e.getAttribute("src"))
      .filter((to) => !to.startsWith("#") && !to.startsWith("data:image/png;")),
    dead: [...document.querySelectorAll("a[href^='#']")]
      .map((e) => e.getAttribute("href").slice(1))
      .filter((id) => !document.getElementById(id)),
    twice: [...document.querySelectorAll("[id]")].map((e) => e.id)
      .filter((id, n, all) => all.indexOf(id) !== n),
  }));
  if (steered.title === "steered" || steered.scripts || steered.handlers) {
    fault(where, `words became markup: ${JSON.stringify(steered)}`);
  }
  if (steered.out.length) fault(where, `leads out: ${steered.out[0]}`);
  if (steered.dead.length) fault(where, `leads nowhere: #${steered.dead[0]}`);
  if (steered.twice.length) fault(where, `two have the id ${steered.twice[0]}`);
  if (size.media === "screen") {
    await page.evaluate(axe);
    const found = await page.evaluate(() => window.axe.run(document));
    for (const violation of found.violations) {
      const what = `${violation.id} (${violation.impact}): ${violation.help}; ${violation.nodes[0].html.slice(0, 120)}`;
      if (["serious", "critical"].includes(violation.impact)) fault(where, what);
      else console.log(`note  ${where}: ${what}`);
    }
  }
  if (shots && (scheme === "light" || size.name === "laptop")) {
    await page.screenshot({ path: join(shots, `${name}-${size.name}-${scheme}.png`), fullPage: true });
  }
}

try {
  for (const { name, arguments: told, ready } of pages) {
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
        if (shots && size.media === "print") {
          const format = size.name === "a4" ? "A4" : "Letter";
          await page.pdf({ path: join(shots, `${name}-${size.name}.pdf`), format });
        }
        await context.close();
      }
    }
    console.log(`${name}: ${statSync(file).size} bytes`);
  }
} finally {
  await browser.close();
  rmSync(work, { recursive: true, force: true });
}
console.log(faults.length ? `${faults.length} faults` : "no faults");
process.exitCode = faults.length ? 1 : 0;
