// What every page is looked at for, whoever wrote it: nothing wider than the page, every link of the
// page leads to one place, nothing that keeps people out.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Elements that stand out at the right, and links and names that are wrong, as sentences. */
export function crooked(page) {
  return page.evaluate(() => {
    const edge = document.documentElement.clientWidth;
    const wide = document.documentElement.scrollWidth <= edge ? [] : [...document.querySelectorAll("body *")]
      .filter((e) => e.getBoundingClientRect().right > edge + 1)
      .slice(0, 3)
      .map((e) => `wider than the page: <${e.localName} class="${e.className}"> ${e.textContent.slice(0, 40)}`);
    const dead = [...document.querySelectorAll("a[href^='#']")]
      .map((e) => e.getAttribute("href").slice(1))
      .filter((id) => !document.getElementById(id));
    const twice = [...document.querySelectorAll("[id]")].map((e) => e.id)
      .filter((id, n, all) => all.indexOf(id) !== n);
    return [
      ...wide,
      ...dead.slice(0, 1).map((id) => `leads nowhere: #${id}`),
      ...twice.slice(0, 1).map((id) => `two have the id ${id}`),
    ];
  });
}

/** What keeps people out: `grave` are the faults, the rest are notes. */
export async function barred(page) {
  const found = await page.evaluate(`${axe}; window.axe.run(document)`);
  return found.violations.map((violation) => ({
    grave: ["serious", "critical"].includes(violation.impact),
    what: `${violation.id} (${violation.impact}): ${violation.help}; ${violation.nodes[0].html.slice(0, 160)}`,
  }));
}
