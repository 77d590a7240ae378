// The keeper stands between a phone and the site: with signal it lets everything through, without it pages that were
// taken along still open, and a record is kept on the phone. Needs kept.js, which its first line brings in.
const PAGES = "pages", MADE = "made", KEPT = "/kept/";
const JOINT = "/jobs/[^/]+/joints/[0-9a-f-]{36}/";
const TAKEN_ALONG = new RegExp(`^(?:${KEPT}|/jobs/[^/]+/|${JOINT}(?:fit-up/|pass/|examination/[^/]+/)?)$`);
const RECORD = new RegExp(`^${JOINT}(?:fit-up|pass|examination/[^/]+)/$`);
const NAMED_BY_CONTENT = /\.[0-9a-f]{12}\.\w+$/;
const PATIENCE_MS = 8_000, PATIENCE_WITH_A_RECORD_MS = 25_000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(caches.delete(MADE).then(() => self.clients.claim())));

self.addEventListener("fetch", (event) => {
  const asked = event.request, { origin, pathname } = new URL(asked.url);
  if (origin !== location.origin) return;
  if (asked.method === "GET" && pathname.startsWith("/static/")) event.respondWith(made(asked));
  else if (asked.mode !== "navigate") return;
  else if (asked.method === "GET" && TAKEN_ALONG.test(pathname)) event.respondWith(page(event));
  // A form of another site is never kept: later it would go out with this person's own token.
  else if (asked.method === "POST" && RECORD.test(pathname) && asked.referrer.startsWith(`${origin}/`)) event.respondWith(recorded(asked));
});

function within(ms, answer) {
  return Promise.race([answer, new Promise((_, failed) => { setTimeout(failed, ms, new Error("no answer")); })]);
}

// Style sheets and scripts; one that is named by its content never changes.
async function made(asked) {
  const cache = await caches.open(MADE), known = await cache.match(asked);
  if (known && NAMED_BY_CONTENT.test(new URL(asked.url).pathname)) return known;
  try {
    const answer = await fetch(asked);
    if (answer.ok) await cache.put(asked, answer.clone());
    return answer;
  } catch (fault) {
    if (known) return known;
    throw fault;
  }
}

async function page(event) {
  const url = new URL(event.request.url), cache = await caches.open(PAGES);
  const known = (await cache.match(url.href)) ?? (await cache.match(url.href, { ignoreSearch: true }));
  const coming = fetch(event.request);
  try {
    const answer = await (known ? within(PATIENCE_MS, coming) : coming);
    if (answer.ok && answer.type === "basic" && !url.searchParams.has("replaces")) {
      event.waitUntil(cache.put(url.href, answer.clone()));
    }
    return answer;
  } catch {
    return (await taken_along(known ?? (await cache.match(KEPT)))) ?? bare("No signal, and this page was not taken along. Go back, or try again later.");
  }
}

// The page says of itself that it is older: its form is for another record than the last one.
async function taken_along(known) {
  if (!known) return undefined;
  const at = known.headers.get("Date") ?? "", words = await known.text();
  return new Response(words.replace("<body", `<body data-taken-along="${at}"`), { headers: known.headers });
}

// The site takes a record or the phone keeps it. Both may come true where the answer is lost: its identity makes it one.
async function recorded(asked) {
  const copy = asked.clone();
  try {
    return await within(PATIENCE_WITH_A_RECORD_MS, fetch(asked));
  } catch {
    const said = [...(await copy.formData())].filter(([name]) => name !== "csrfmiddlewaretoken");
    const { id, kept_by: by, kept_words: words, replaces } = Object.fromEntries(said);
    if (!id || !by || replaces) return bare("No signal. This was not recorded: go back, and send it again later.");
    await keep({ id, by, words, url: asked.url, at: new Date().toISOString(), fields: said, refused: "" });
    return Response.redirect(KEPT, 303);
  }
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
