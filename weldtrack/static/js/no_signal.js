// Work without signal: whoever uses a phone or tablet takes the pages of their joints along, and what it kept goes out.
// Needs kept.js.
const PAGES = "pages", KEPT = "/kept/", SIGN_IN = "/sign-in/";
const WAIT_MS = 3_000, AGAIN_MS = 10 * 60_000, SEND_EVERY_MS = 30_000, ANSWER_MS = 60_000, MOST_PAGES = 60;
// Somebody must sign in again, or the site is away: what is kept waits on.
const LATER = new Set([401, 429, 502, 503, 504]);
const JOINT = /^\/jobs\/[^/]+\/joints\/[0-9a-f-]{36}\/$/;
const STAMP = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
const person = document.body.dataset.person ?? "";
const is_able = isSecureContext && "serviceWorker" in navigator && "caches" in self && matchMedia("(any-pointer: coarse)").matches;

// Pages of one person are not for the next one with this device; what they were made with goes with them.
async function forget() {
  localStorage.removeItem("taken-along");
  await caches.delete(PAGES);
  await caches.delete("made");
}

async function take_along(addresses) {
  const cache = await caches.open(PAGES), made = new Set();
  for (const address of addresses.slice(0, MOST_PAGES)) {
    const answer = await fetch(address, { credentials: "same-origin", priority: "low" });
    if (!answer.ok || answer.redirected) continue;
    // A phone's clock may be wrong: without signal its forms go by the site's, as far as it is known.
    localStorage.setItem("behind", String(Date.parse(answer.headers.get("Date")) - Date.now() || 0));
    for (const [found] of (await answer.clone().text()).matchAll(/\/static\/[^"'\s]+/g)) made.add(found);
    await cache.put(answer.url, answer);
  }
  // The keeper keeps each of them as it passes.
  for (const address of made) await fetch(address, { priority: "low" });
}

function of_joints() {
  const found = new Set([location.href, new URL(KEPT, location).href]);
  for (const link of document.querySelectorAll("[data-take-along] a[href*='/joints/']")) {
    found.add(link.href);
    // After the fit-up come the passes.
    if (link.href.endsWith("/fit-up/")) found.add(link.href.replace(/fit-up\/$/, "pass/"));
  }
  return [...found];
}

// The forms of the card on the screen propose what follows what is recorded by now.
function of_card() {
  if (!JOINT.test(location.pathname) || "takenAlong" in document.body.dataset) return [];
  const forms = [...document.querySelectorAll("main a[href$='/fit-up/'], main a[href$='/pass/'], main a[href*='/examination/']")];
  return [...new Set(forms.map((link) => link.href))];
}

async function start() {
  if (localStorage.getItem("person") !== person) {
    await forget();
    localStorage.setItem("person", person);
  }
  await navigator.serviceWorker.register("/keeper.js");
  await navigator.serviceWorker.ready;
  if (!(await caches.match(KEPT))) await take_along([new URL(KEPT, location).href]);
  const last = Number(localStorage.getItem("taken-along") ?? 0);
  if (document.querySelector("[data-take-along]") && Date.now() - last > AGAIN_MS) {
    await take_along(of_joints());
    localStorage.setItem("taken-along", String(Date.now()));
  }
  // Who only passes by needs no forms.
  await new Promise((done) => { setTimeout(done, WAIT_MS); });
  await take_along(of_card());
}

// Sent in the order in which they were made; one that the site refuses stays, with the reason, and the next one goes. The
// site refuses what is of somebody else than who is signed in by now.
async function send() {
  if (!kept.token()) return;
  const taken = new Set();
  for (const one of (await kept.all()).filter((one) => one.by === person && !one.refused)) {
    const body = new URLSearchParams(one.fields);
    let answer;
    try {
      answer = await fetch(one.url, { method: "POST", body, headers: { "X-CSRFToken": kept.token() }, signal: AbortSignal.timeout(ANSWER_MS) });
    } catch {
      break;
    }
    if (new URL(answer.url).pathname.startsWith(SIGN_IN) || (!answer.redirected && LATER.has(answer.status))) break;
    if (answer.redirected) {
      await kept.remove(one.id);
      taken.add(one.url).add(kept.card_of(one.url));
    } else await kept.put({ ...one, refused: reason(answer.status, await answer.text()) });
  }
  return [...taken];
}

// A page from before what the site took now would propose the same again.
async function renew(addresses) {
  const cache = await caches.open(PAGES);
  for (const address of addresses) await cache.delete(address, { ignoreSearch: true });
  await take_along(addresses);
}

function reason(status, text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = [...page.querySelectorAll("#faults li, .refused li")].map((one) => one.textContent.trim().replace(/\s+/g, " "));
  return said.join(" ") || page.querySelector("main p")?.textContent.trim() || `The site answered ${status}.`;
}

function age(then) {
  if (location.pathname === KEPT) return "No signal. ";
  if (document.querySelector("[data-kept-list]")) return "No signal, and the page you asked for was not taken along. ";
  return `No signal: this page is as it was ${then ? `on ${STAMP.format(new Date(then))}` : "before"}. `;
}

// Only what changed, or it would be read aloud again and again.
function say(place, words) {
  if (place.textContent !== words) place.textContent = words;
  place.hidden = !words;
}

async function tell() {
  const bar = document.querySelector("[data-kept-bar]");
  const mine = (await kept.all()).filter((one) => one.by === person);
  const refused = mine.filter((one) => one.refused).length, waiting = mine.length - refused;
  const words = [];
  if (waiting) words.push(`${waiting} ${waiting === 1 ? "record waits" : "records wait"} on this device for signal`);
  if (refused) words.push(`${refused} ${refused === 1 ? "was" : "were"} refused`);
  const then = document.body.dataset.takenAlong;
  say(bar.querySelector("span"), then === undefined ? "" : age(then));
  say(bar.querySelector("a"), words.join(", "));
  bar.hidden = !mine.length && then === undefined;
  // A browser that runs short of room deletes what it was not asked to hold on to.
  if (mine.length) navigator.storage?.persist?.();
  dispatchEvent(new CustomEvent("kept-changed"));
}

async function send_and_tell() {
  // One page at a time, or they would send the same.
  const taken = await navigator.locks.request("send kept records", { ifAvailable: true }, (lock) => (lock ? send() : []));
  await tell();
  if (taken?.length) await renew(taken).catch(() => {});
}

if (is_able && person) {
  for (const words of document.querySelectorAll("[data-if-able]")) words.hidden = false;
  addEventListener("online", send_and_tell);
  addEventListener("send-kept", send_and_tell);
  document.querySelector("form.leave")?.addEventListener("submit", () => { forget(); });
  await tell();
  send_and_tell();
  setInterval(send_and_tell, SEND_EVERY_MS);
  setTimeout(() => start().catch(() => {}), document.querySelector("[data-take-along]") ? WAIT_MS : 0);
} else if (is_able) {
  await forget();
}
