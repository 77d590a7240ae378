// What an entry would show, while it is typed: the site judges the form as it stands and writes nothing. Where it can't be
// asked, the form is held against what it brought along. Needs kept.js, quantity.js and asked.js.
const ANSWER_MS = 8_000, LATER = new Set([502, 503, 504]);

function line(name, words) {
  const made = document.createElement(name);
  made.textContent = words;
  return made;
}

function finding([severity, sentence]) {
  const made = line("li", ""), words = line("p", ` ${sentence}`), mark = line("span", severity[0].toUpperCase() + severity.slice(1));
  made.className = "finding";
  mark.className = `severity ${severity}`;
  words.prepend(mark);
  made.append(words);
  return made;
}

// The segments of the pass before: those that the page came with, and those that wait on this device.
async function passes_before(form, fields, how) {
  const known = JSON.parse(document.querySelector("[data-dial]")?.dataset.dial ?? '{"before": []}').before
    .map(({ order, start, stop }) => ({ order, start_degrees: quantity.exact(start), stop_degrees: quantity.exact(stop) }));
  const here = location.origin + location.pathname;
  const waiting = (await kept.all()).filter((one) => one.url.split("?")[0] === here).map((one) => Object.fromEntries(one.fields))
    .filter((one) => one.attempt === fields.attempt && one.id !== fields.id)
    .map((one) => ({ order: Number(one.order), start_degrees: quantity.read(one.start ?? "", "clock", how), stop_degrees: quantity.read(one.stop ?? "", "clock", how) }));
  const earlier = [...known, ...waiting].filter((one) => one.order < Number(fields.order));
  return earlier.filter((one) => one.order === Math.max(...earlier.map((one) => one.order)));
}

async function without_signal(form, place) {
  const brought = document.getElementById("carried");
  if (!brought) return place.replaceChildren(line("p", "No signal: what this would show is told once the site has it."));
  const carried = JSON.parse(brought.content.textContent), fields = Object.fromEntries(new FormData(form));
  const before = carried.kind === "pass" ? await passes_before(form, fields, carried.reading) : [];
  const { findings, unread } = asked.told(carried, fields, before);
  const said = unread.map(([name, typed]) => {
    const label = form.querySelector(`label[for="id_${name}"]`)?.firstChild.textContent.trim() ?? name;
    return Object.assign(line("p", `${label}: “${typed}” can’t be read; the site would send it back.`), { className: "fault" });
  });
  if (findings.length) {
    const head = line("p", "");
    head.append(line("b", `This entry would show ${findings.length} ${findings.length === 1 ? "finding" : "findings"}.`), " What happened is recorded all the same.");
    const list = line("ul", "");
    list.className = "plain";
    list.append(...findings.map(finding));
    said.push(head, list);
  } else if (!unread.length) said.push(line("p", "Nothing in this entry is out of the limits on this page."));
  const small = line("p", "No signal: the site judges it again, with everything recorded, once it has it.");
  small.className = "small";
  place.replaceChildren(...said, small);
}

for (const place of document.querySelectorAll("[data-preview]")) {
  const form = place.closest("form");
  let timer = 0, asked_for = 0;
  const ask = async () => {
    const mine = ++asked_for;
    const said = new FormData(form);
    said.set("preview", "1");
    try {
      const answer = await fetch(form.action, { method: "POST", body: said, signal: AbortSignal.timeout(ANSWER_MS) });
      if (LATER.has(answer.status)) throw new Error("the site is away");
      // The door of the site is no answer, and what was told of an older text stands no longer.
      const told = answer.ok && !answer.redirected ? await answer.text() : "";
      // A slower answer to an older question is not shown.
      if (mine === asked_for) place.innerHTML = told;
    } catch {
      if (mine === asked_for) await without_signal(form, place);
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, 500);
  });
}
