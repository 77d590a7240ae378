// What this device keeps: each record with what was typed, why the site refused it, and what can be done about it.
const holder = document.querySelector("[data-kept-list]"), pattern = document.querySelector("[data-kept-pattern]");
const empty = document.querySelector("[data-kept-none]"), others = document.querySelector("[data-kept-others]");
const taken = document.querySelector("[data-taken-list]");
const person = document.body.dataset.person, HIDDEN = /^(?:id|csrf|initial-|device_at|attempt|kept_|replaces|by$)/;
const stamp = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

function sent_by_hand(one) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = one.url;
  for (const [name, value] of [...one.fields, ["csrfmiddlewaretoken", kept.token()]]) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    form.append(field);
  }
  document.body.append(form);
  return form;
}

// In the words of the form, where it was taken along.
async function typed(one) {
  const known = await caches.match(one.url), page = new DOMParser().parseFromString(known ? await known.text() : "", "text/html");
  const words = [];
  for (const [name, value] of one.fields.filter(([name, value]) => value && !HIDDEN.test(name))) {
    const field = page.querySelector(`[name="${name}"]:not([type=radio])`);
    // The label alone, without the sign beside it that the field is needed.
    const label = page.querySelector(`label[for="id_${name}"]`)?.firstChild.textContent.trim().toLowerCase() || name.replaceAll("_", " ");
    words.push(`${label} ${field?.querySelector(`option[value="${value}"]`)?.textContent.trim() ?? value}`);
  }
  return words.join(" · ");
}

async function row(one) {
  const made = pattern.content.cloneNode(true), part = (name) => made.querySelector(`[data-part=${name}]`);
  part("words").textContent = one.words;
  part("at").textContent = `kept ${stamp.format(new Date(one.at))}`;
  part("refused").textContent = one.refused;
  part("refused").hidden = part("mend").hidden = part("drop").hidden = !one.refused;
  part("typed").textContent = await typed(one);
  part("joint").href = kept.card_of(one.url);
  part("mend").addEventListener("click", () => sent_by_hand(one).submit());
  part("drop").addEventListener("click", async () => {
    if (!confirm(`Throw away ${one.words}? What stands here is not recorded.`)) return;
    await kept.remove(one.id);
    await show();
    document.querySelector("[data-kept-send]").focus();
  });
  return made;
}

let shown = "";

async function show() {
  const all = await kept.all(), mine = all.filter((one) => one.by === person);
  // Whoever is on one of its buttons stays there while nothing changes.
  const now = JSON.stringify(all);
  if (shown === now) return;
  shown = now;
  const rows = await Promise.all(mine.map(row));
  // Another change came while the forms were read: what it shows is the newer.
  if (shown !== now) return;
  holder.replaceChildren(...rows);
  empty.hidden = mine.length > 0;
  others.hidden = all.length === mine.length;
  others.querySelector("b").textContent = String(all.length - mine.length);
}

async function show_taken() {
  const cache = await caches.open("pages");
  const joints = (await cache.keys()).map((one) => one.url).filter((url) => /\/joints\/[0-9a-f-]{36}\/$/.test(url));
  const rows = [];
  for (const url of joints) {
    // The keeper may take a page away, or renew it, while this one reads.
    const card = await cache.match(url);
    if (!card) continue;
    const page = new DOMParser().parseFromString(await card.text(), "text/html");
    const link = Object.assign(document.createElement("a"), { href: url });
    const places = [...page.querySelectorAll(".joint-place")].map((one) => one.textContent.trim().replace(/\s+/g, " "));
    link.textContent = [page.querySelector("h1")?.textContent.trim() ?? "Joint", ...places.reverse()].join(" · ");
    const line = document.createElement("li");
    line.append(link);
    rows.push(line);
  }
  taken.replaceChildren(...rows);
  taken.parentElement.hidden = !rows.length;
}

document.querySelector("[data-kept-send]").addEventListener("click", () => dispatchEvent(new Event("send-kept")));
addEventListener("kept-changed", show);
if ("caches" in self) await show_taken();
await show();
