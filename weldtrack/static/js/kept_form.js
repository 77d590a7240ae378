// A form that was taken along is older than what it is for: another record than the last one, of this day and hour, and the
// pass after those that this device keeps. Needs kept.js, quantity.js and asked.js.
const form = document.querySelector("form[data-zone]");
const field = (name) => form.elements.namedItem(name);

function set_now() {
  const parts = Object.fromEntries(new Intl.DateTimeFormat("en-CA", {
    timeZone: form.dataset.zone, year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", hourCycle: "h23",
  }).formatToParts(new Date(Date.now() + Number(localStorage.getItem("behind") ?? 0))).map((one) => [one.type, one.value]));
  if (field("date")) field("date").value = `${parts.year}-${parts.month}-${parts.day}`;
  if (field("time")) field("time").value = `${parts.hour}:${parts.minute}`;
}

async function follow_kept_passes() {
  const here = location.origin + location.pathname;
  const passes = (await kept.all()).filter((one) => one.url.split("?")[0] === here).map((one) => Object.fromEntries(one.fields))
    .filter((one) => one.attempt === field("attempt").value);
  const last = passes.at(-1);
  if (!last?.order || !field("order")) return;
  const known = JSON.parse(document.querySelector("[data-dial]")?.dataset.dial ?? '{"before": []}').before;
  const segments = [...known.filter((one) => one.order === Number(last.order)),
    ...passes.filter((one) => one.order === last.order).map((one) => ({ start: quantity.degrees(one.start ?? ""), stop: quantity.degrees(one.stop ?? "") }))];
  const is_open = !asked.is_all_round(segments), first = field("initial-order");
  field("order").value = String(Number(last.order) + (is_open ? 0 : 1));
  // The site holds it against what the page proposed.
  if (first) first.value = field("order").value;
  for (const one of form.querySelectorAll("[name=role]")) one.checked = is_open && one.value === last.role;
  field("kept_words").value = field("kept_words").value.replace(/^Pass \d+/, `Pass ${field("order").value}`);
  const note = document.createElement("p");
  note.textContent = `${passes.length} ${passes.length === 1 ? "pass" : "passes"} of this joint ${passes.length === 1 ? "is" : "are"} kept on this device; this one is pass ${field("order").value}.`;
  form.prepend(note);
}

// A record that was refused and is mended here waits to be sent as it is now: sent twice, it is still one.
async function follow_mending() {
  const known = (await kept.all()).find((one) => one.id === field("id").value);
  if (!known) return;
  form.addEventListener("submit", () => {
    const fields = [...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken");
    kept.put({ ...known, fields, refused: "" });
  });
}

if (form && "takenAlong" in document.body.dataset) {
  field("id").value = crypto.randomUUID();
  set_now();
  await follow_kept_passes();
} else if (form && isSecureContext && "indexedDB" in self) {
  await follow_mending();
}
