// Work without signal: whoever uses a phone or tablet takes the pages of their joints along, and what it kept goes out.
// Needs kept.js.
const PAGES = "pages", KEPT = "/kept/", SIGN_IN = "/sign-in/";
const WAIT_MS = 3_000, AGAIN_MS = 10 * 60_000, SEND_EVERY_MS = 30_000, MOST_PAGES = 60;
const STAMP = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
const person = document.body.dataset.person ?? "";
const is_able = isSecureContext && "serviceWorker" in navigator && "caches" in self && matchMedia("(any-pointer: coarse)").matches;

// Pages of one person are not for the next one with this device.
async function forget() {
  localStorage.removeItem("taken-along");
  await caches.delete(PAGES);
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
}

// Sent in the order in which they were made; one that the site refuses stays, with the reason, and the next one goes.
async function send() {
  if (!token()) return;
  for (const one of (await kept.all()).filter((one) => one.by === person && !one.refused)) {
    const body = new URLSearchParams(one.fields);
    let answer;
    try {
      answer = await fetch(one.url, { method: "POST", body, headers: { "X-CSRFToken": token() } });
    } catch {
      return;
    }
    if (new URL(answer.url).pathname.startsWith(SIGN_IN) || answer.status >= 500 || answer.status === 429) return;
    if (answer.ok && answer.redirected) await kept.remove(one.id);
    else await kept.put({ ...one, refused: reason(answer.status, await answer.text()) });
  }
}

function token() {
  return document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "";
}

function reason(status, text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = [...page.querySelectorAll("#faults li")].map((one) => one.textContent.trim().replace(/\s+/g, " "));
  return said.join(" ") || page.querySelector("main p")?.textContent.trim() || `The site answered ${status}.`;
}

function age(then) {
  if (location.pathname === KEPT) return "No signal. ";
  return `No signal: this page is as it was ${then ? `on ${STAMP.format(new Date(then))}` : "before"}. `;
}

async function tell() {
  const bar = document.querySelector("[data-kept-bar]");
  const mine = (await kept.all()).filter((one) => one.by === person);
  const refused = mine.filter((one) => one.refused).length, waiting = mine.length - refused;
  const words = [];
  if (waiting) words.push(`${waiting} ${waiting === 1 ? "record waits" : "records wait"} on this device for signal`);
  if (refused) words.push(`${refused} ${refused === 1 ? "was" : "were"} refused`);
  const then = document.body.dataset.takenAlong;
  bar.querySelector("span").textContent = then === undefined ? "" : age(then);
  bar.querySelector("a").textContent = words.join(", ");
  bar.hidden = !mine.length && then === undefined;
  dispatchEvent(new CustomEvent("kept-changed"));
}

async function send_and_tell() {
  // One page at a time, or they would send the same.
  await navigator.locks.request("send kept records", send);
  await tell();
}

if (is_able && person) {
  addEventListener("online", send_and_tell);
  addEventListener("send-kept", send_and_tell);
  document.querySelector("form.leave")?.addEventListener("submit", () => { forget(); });
  await tell();
  await send_and_tell();
  setInterval(send_and_tell, SEND_EVERY_MS);
  setTimeout(() => start().catch(() => {}), document.querySelector("[data-take-along]") ? WAIT_MS : 0);
} else if (is_able) {
  await forget();
}
