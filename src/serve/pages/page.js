// Drops files into the forms, follows the reading, and changes the answer as questions are answered.
// Without it every form works by its own button.
"use strict";

document.documentElement.classList.add("js");

const $ = (id) => document.getElementById(id);

// --- Handing over ------------------------------------------------------------------------------

function fault(form, words) {
  const place = form.querySelector(".fault");
  place.textContent = words;
  place.hidden = !words;
}

function chosen(form) {
  return [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);
}

for (const form of document.querySelectorAll("form.drop")) {
  const most = Number(form.dataset.most);
  const inputs = [...form.querySelectorAll("input[type=file]")];
  form.addEventListener("submit", (event) => {
    const size = chosen(form).reduce((sum, file) => sum + file.size, 0);
    const empty = inputs.filter((input) => input.files.length === 0);
    const text = form.querySelector("textarea")?.value.trim();
    let words = "";
    if (size > most) {
      words = `These files have more than ${most >> 20} MB together. Hand over only the pages of the letter, and photos in a smaller size.`;
    } else if (form.id === "club") {
      if (empty.length === inputs.length) words = "Choose files or a folder first.";
    } else if (inputs.length > 1 && empty.length > 0) {
      words = "Choose a file for each of the two letters.";
    } else if (inputs.length === 1 && empty.length > 0 && !text) {
      words = "Choose a file first, or paste the text.";
    }
    fault(form, words);
    if (words) {
      event.preventDefault();
      empty[0]?.focus();
    }
  });
  for (const zone of form.id === "two" ? form.querySelectorAll(".zone") : [form]) {
    const input = zone.querySelector("input[type=file]");
    for (const type of ["dragenter", "dragover"]) {
      zone.addEventListener(type, (event) => {
        event.preventDefault();
        event.stopPropagation();
        zone.classList.add("over");
      });
    }
    zone.addEventListener("dragleave", (event) => {
      if (!zone.contains(event.relatedTarget)) zone.classList.remove("over");
    });
    zone.addEventListener("drop", (event) => {
      event.preventDefault();
      event.stopPropagation();
      zone.classList.remove("over");
      if (form.id === "club" && [...event.dataTransfer.items].some((i) => i.webkitGetAsEntry?.()?.isDirectory)) {
        fault(form, "A folder cannot be dropped here in every browser: choose it with the button below.");
        return;
      }
      if (event.dataTransfer.files.length === 0) return;
      input.files = event.dataTransfer.files;
      if (form.id === "club" || inputs.every((i) => i.files.length > 0)) form.requestSubmit();
    });
  }
}

// What misses a zone is not opened by the browser in place of the page.
for (const type of ["dragover", "drop"]) {
  document.addEventListener(type, (event) => event.preventDefault());
}

// --- While a letter is read --------------------------------------------------------------------

const wait = $("wait");
if (wait) {
  const bar = wait.querySelector("progress");
  const status = wait.querySelector("[role=status]");
  const source = new EventSource(wait.dataset.events);
  source.addEventListener("far", (event) => {
    const [done, all, ...words] = event.data.split(" ");
    if (Number(all) > 0) {
      bar.max = Number(all);
      bar.value = Number(done);
    }
    status.textContent = words.join(" ");
  });
  source.addEventListener("over", () => {
    source.close();
    location.reload();
  });
}

// --- Questions ---------------------------------------------------------------------------------

function rows(page) {
  return [...page.querySelectorAll("#answer tbody tr")].map((row) => [
    row.cells[0].textContent.trim(),
    row.cells[1].textContent.trim(),
  ]);
}

function changes(before, after) {
  const old = new Map(before);
  const now = after.filter(([who, answer]) => old.get(who) !== answer);
  if (after.length === 0) return "The page is up to date.";
  // Rows of the same answer become one, so that the number alone tells nothing.
  if ((before.length === 1) !== (after.length === 1)) return "The answer below is for whom you chose.";
  if (now.length === 0) return "The answer stays the same.";
  return `Changed: ${now.map(([who, answer]) => `${who}: ${answer}`).join("; ")}.`;
}

// Pictures that are shown already are not fetched again.
function keepPictures(fresh) {
  const shown = new Map([...document.querySelectorAll("#rest image")].map((i) => [i.getAttribute("href"), i]));
  for (const image of fresh.querySelectorAll("#rest image")) {
    const old = shown.get(image.getAttribute("href"));
    if (old) image.replaceWith(old);
  }
}

let latest = 0;

async function show(url, options) {
  latest += 1;
  const mine = latest;
  const first = $("first");
  first.classList.add("busy");
  try {
    const response = await fetch(url, options);
    const words = await response.text();
    if (mine !== latest) return;
    const fresh = new DOMParser().parseFromString(words, "text/html");
    if (!fresh.getElementById("first")) {
      location.assign(response.url);
      return;
    }
    const told = changes(rows(document), rows(fresh));
    const focus = document.activeElement?.id;
    keepPictures(fresh);
    for (const id of ["ask", "rest"]) $(id).replaceChildren(...fresh.getElementById(id).childNodes);
    // The place that is read aloud stays in the page; everything around it is new.
    const status = $("told");
    const parts = [...fresh.getElementById("first").childNodes];
    const at = parts.findIndex((node) => node.id === "told");
    for (const node of [...first.childNodes]) if (node !== status) node.remove();
    status.before(...parts.slice(0, at));
    status.after(...parts.slice(at + 1));
    document.title = fresh.title;
    history.replaceState(null, "", response.url);
    status.textContent = told;
    if (focus) $(focus)?.focus({ preventScroll: true });
  } catch {
    $("told").textContent = "The program does not answer. Look at the terminal where whomay serve runs.";
  } finally {
    first.classList.remove("busy");
  }
}

function asked(form) {
  const query = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (value) query.append(name, value);
  return `${form.getAttribute("action")}?${query}`;
}

document.addEventListener("change", (event) => {
  const form = event.target.closest?.("#asked");
  if (form) show(asked(form));
});

document.addEventListener("submit", (event) => {
  if (event.target.id === "asked") {
    event.preventDefault();
    show(asked(event.target));
  }
  if (event.target.id === "look") {
    event.preventDefault();
    show(event.target.action, { method: "POST", body: new URLSearchParams(new FormData(event.target)) });
  }
});

document.addEventListener("click", async (event) => {
  if (event.target.id !== "copy") return;
  const area = $("short");
  let said = "Copied.";
  try {
    await navigator.clipboard.writeText(area.value);
  } catch {
    area.focus();
    area.select();
    said = "Copy the marked text with your keyboard.";
  }
  $("copied").textContent = said;
});

// Typing says "something else".
document.addEventListener("input", (event) => {
  const name = /^o(\d+)$/.exec(event.target.name ?? "");
  if (name) $(`w${name[1]}-other`).checked = true;
});
