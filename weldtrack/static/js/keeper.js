// The keeper stands between a phone and the site: with signal it lets everything through, without it pages that were
// taken along still open, and a record is kept on the phone. Needs kept.js, which its first line brings in.
const PAGES = "pages", MADE = "made", KEPT = "/kept/";
const JOINT = "/jobs/[^/]+/joints/[0-9a-f-]{36}/";
const TAKEN_ALONG = new RegExp(`^(?:${KEPT}|/jobs/[^/]+/|${JOINT}(?:fit-up/|pass/|examination/[^/]+/)?)$`);
const RECORD = new RegExp(`^${JOINT}(?:fit-up|pass|examination/[^/]+)/$`);
const NAMED_BY_CONTENT = /\.[0-9a-f]{12}\.\w+$/;
const AWAY = new Set([502, 503, 504]), FORM_AGAIN = new Set([409, 422]);
const PATIENCE_MS = 8_000, PATIENCE_WITH_A_RECORD_MS = 25_000;

self.addEventListener("install", () => self.skipWaiting());
// Pages that were taken along still need the styles and scripts of their own version: those go with the pages.
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const asked = event.request, { origin, pathname } = new URL(asked.url);
  if (origin !== location.origin) return;
  if (asked.method === "GET" && pathname.startsWith("/static/")) event.respondWith(made(asked));
  else if (asked.mode !== "navigate") return;
  else if (asked.method === "GET" && TAKEN_ALONG.test(pathname)) event.respondWith(page(event));
  // A form of another site is never kept: later it would go out with this person's own token.
  else if (asked.method === "POST" && RECORD.test(pathname) && asked.referrer.startsWith(`${origin}/`)) event.respondWith(recorded(event));
});

function within(ms, answer) {
  return Promise.race([answer, new Promise((_, failed) => { setTimeout(failed, ms, new Error("no answer")); })]);
}

// A device that is full, or keeps nothing, must serve what the site answers all the same.
function if_it_can(act) {
  return act.catch(() => undefined);
}

// Style sheets and scripts; one that is named by its content never changes.
async function made(asked) {
  const cache = await if_it_can(caches.open(MADE)), known = cache && (await if_it_can(cache.match(asked)));
  if (known && NAMED_BY_CONTENT.test(new URL(asked.url).pathname)) return known;
  try {
    const answer = await fetch(asked);
    if (cache && answer.ok) await if_it_can(cache.put(asked, answer.clone()));
    return answer;
  } catch (fault) {
    if (known) return known;
    throw fault;
  }
}

async function page(event) {
  const url = new URL(event.request.url), coming = fetch(event.request);
  // The form of a new record must never open where a correction was asked for.
  if (url.searchParams.has("replaces")) return coming.catch(() => bare("No signal. A correction needs signal: go back, and correct it later."));
  const cache = await if_it_can(caches.open(PAGES));
  const find = async (address, how) => cache && (await if_it_can(cache.match(address, how)));
  const known = (await find(url.href)) ?? (await find(url.href, { ignoreSearch: true }));
  let answer;
  try {
    answer = await (known ? within(PATIENCE_MS, coming) : coming);
  } catch {
    return (await taken_along(known ?? (await find(KEPT)))) ?? bare("No signal, and this page was not taken along. Go back, or try again later.");
  }
  if (known && AWAY.has(answer.status)) return taken_along(known);
  if (cache && answer.ok && answer.type === "basic") event.waitUntil(if_it_can(cache.put(url.href, answer.clone())));
  // What somebody may no longer see goes off their device too.
  if (known && (answer.status === 403 || answer.status === 404)) event.waitUntil(if_it_can(cache.delete(url.href, { ignoreSearch: true })));
  return answer;
}

// The page says of itself that it is older: its form is for another record than the last one.
async function taken_along(known) {
  if (!known) return undefined;
  const at = known.headers.get("Date") ?? "", words = await known.text();
  return new Response(words.replace("<body", `<body data-taken-along="${at}"`), { headers: known.headers });
}

// The site takes a record, or shows its form again with what is wrong, or the phone keeps it: while the site is away, when
// somebody must sign in again, or may not record it. Both may come true where the answer is lost: its identity makes it one.
async function recorded(event) {
  const { request: asked } = event, said = [...(await asked.clone().formData())].filter(([name]) => name !== "csrfmiddlewaretoken");
  const { id, kept_by: by, kept_words: words, replaces } = Object.fromEntries(said);
  if (!id || !by || replaces) return fetch(asked).catch(() => bare("No answer: this may not have been recorded. Load this page again once there is signal; sent twice, it is written once."));
  const answer = await within(PATIENCE_WITH_A_RECORD_MS, fetch(asked)).catch(() => undefined);
  if (answer?.type === "opaqueredirect") event.waitUntil(if_it_can(taken(id, asked.url)));
  if (answer && (answer.type === "opaqueredirect" || answer.ok || FORM_AGAIN.has(answer.status))) return answer;
  try {
    await keep({ id, by, words, url: asked.url, at: new Date().toISOString(), fields: said, refused: "" });
  } catch {
    return answer ?? bare("No signal, and this device could not keep it. This was not recorded: write it down, or go back and send it again once there is signal.");
  }
  return Response.redirect(KEPT, 303);
}

// Card and form from before a record would make one think that it was never taken: the next card brings others.
async function taken(id, address) {
  await kept.remove(id);
  const cache = await caches.open(PAGES);
  for (const old of [address, new URL(address.includes("/examination/") ? "../../" : "../", address).href]) await cache.delete(old, { ignoreSearch: true });
}

// The same form sent again says the same record; where it says another, both are kept.
async function keep(record) {
  const told = ({ fields }) => JSON.stringify(fields.filter(([name]) => name !== "device_at"));
  const before = (await kept.all()).find((one) => one.id === record.id);
  if (before && !before.refused && told(before) !== told(record)) {
    record.id = crypto.randomUUID();
    record.fields = record.fields.map(([name, value]) => [name, name === "id" ? record.id : value]);
  }
  await kept.put(record);
}

function bare(sentence) {
  const words = `<!doctype html><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>No signal</title><h1>No signal</h1><p>${sentence}</p>`;
  return new Response(words, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
