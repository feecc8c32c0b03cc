// Nothing typed is lost. Forms with data-keep="what it is" are kept on this device: while they are
// typed (a draft, put back after a reload), and once they are sent until the server has them (the
// outbox, sent in order, and once each: the server knows a form by its key and what is in it).
"use strict";
(() => {
  const { person, token: tokenUrl, signIn, signOut } = document.currentScript.dataset;
  if (!person) return;
  const DRAFT = `pathproof:draft:${person}:`;
  const OUT = `pathproof:out:${person}:`;
  const AGAIN_MS = 15000;
  const TOO_LONG_MS = 20000;
  const OLD_MS = 60 * 24 * 3600 * 1000;
  const MOMENT = { dateStyle: "medium", timeStyle: "short" };
  const QUESTION = "The page asks something before it is saved.";
  const NOT_KEPT = ["csrfmiddlewaretoken"];
  const NOT_TYPED = ["key", "based_on", "at"];

  // ---- What this device holds

  const read = (name) => {
    try {
      return JSON.parse(localStorage.getItem(name));
    } catch {
      return null;
    }
  };
  const write = (name, value) => {
    try {
      localStorage.setItem(name, JSON.stringify(value));
      return true;
    } catch {
      return false; // full, or not allowed
    }
  };
  const names = (start) => Object.keys(localStorage).filter((n) => n.startsWith(start)).sort();
  const outbox = () => names(OUT).map((n) => ({ ...read(n), name: n })).filter((i) => i.fields);
  const waiting = () => outbox().filter((i) => !i.refused && !i.contest);
  const put = ({ name, ...item }) => write(name, item);
  const drop = (item) => localStorage.removeItem(item.name);

  const newKey = () => {
    const b = crypto.getRandomValues(new Uint8Array(16));
    b[6] = (b[6] & 15) | 64;
    b[8] = (b[8] & 63) | 128;
    const hex = Array.from(b, (x) => x.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  };

  // ---- Forms

  const kept = (form) => form instanceof HTMLFormElement && "keep" in form.dataset;
  const part = (form, name) => form.querySelector(`input[type=hidden][name="${name}"]`);
  const action = (form, by) =>
    by?.getAttribute("formaction") || form.getAttribute("action") || location.pathname + location.search;
  const draftName = (form) =>
    [DRAFT + location.pathname, form.id || form.dataset.keep, form.elements.about?.value, action(form)]
      .join("|");
  const secrets = (form) =>
    [...form.elements].filter((c) => c.type === "password").map((c) => c.name);

  const fieldsOf = (form, by) =>
    [...new FormData(form, by ?? null)]
      .filter(([n, v]) => typeof v === "string" && ![...NOT_KEPT, ...secrets(form)].includes(n))
      .map(([n, v]) => [n, v.replace(/\r\n|\r|\n/g, "\r\n")]); // as browsers send them
  const typedIn = (fields) =>
    JSON.stringify(fields.filter(([n]) => !NOT_TYPED.includes(n)).map(([n, v]) => [n, v]));
  const hasFile = (form) => [...form.elements].some((c) => c.type === "file" && c.files.length);

  function fill(form, fields) {
    const left = new Map();
    for (const [n, v] of fields) left.set(n, [...(left.get(n) ?? []), v]);
    for (const c of form.elements) {
      if (!c.name || NOT_KEPT.includes(c.name)) continue;
      if (["file", "password", "submit", "button", "reset", "image"].includes(c.type)) continue;
      const values = left.get(c.name) ?? [];
      if (c.type === "checkbox" || c.type === "radio") c.checked = values.includes(c.value);
      else if (c.type === "select-multiple")
        for (const o of c.options) o.selected = values.includes(o.value);
      else if (values.length) c.value = values.shift().replace(/\r\n/g, "\n");
    }
  }

  function say(form, text, ...more) {
    let line = form.querySelector(":scope > .kept-line");
    if (!line) {
      line = document.createElement("p");
      line.className = "kept-line";
      line.setAttribute("role", "status");
      form.prepend(line);
    }
    line.replaceChildren(text, ...more.flatMap((m) => [" ", m]));
  }

  function button(text, press) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "plain";
    made.textContent = text;
    made.addEventListener("click", press);
    return made;
  }

  function link(text, url) {
    const made = document.createElement("a");
    made.href = url;
    made.textContent = text;
    return made;
  }

  // ---- Drafts

  // What each form held when its page came, so that a draft brings back what was changed alone.
  const start = new WeakMap();

  function keepDraft(form) {
    write(draftName(form), { fields: fieldsOf(form), start: start.get(form), at: Date.now() });
  }

  const byName = (fields) => {
    const found = new Map();
    for (const [n, v] of fields) found.set(n, [...(found.get(n) ?? []), v]);
    return found;
  };
  const differ = (one, other, name) =>
    JSON.stringify(one.get(name) ?? []) !== JSON.stringify(other.get(name) ?? []);

  // The page's fields with those of a draft that somebody changed, and whether the page has other
  // values in them by now: then the draft's own revision stays, and both sides are kept.
  function changedIn(draft, before) {
    if (!draft.start) return { fields: draft.fields, apart: true };
    const [typed, was, now] = [draft.fields, draft.start, before].map(byName);
    const names = [...new Set([...typed.keys(), ...was.keys()])];
    const changed = names.filter((n) => !NOT_TYPED.includes(n) && differ(typed, was, n));
    const apart = changed.some((n) => differ(was, now, n));
    const ofDraft = [...changed, "key", "at", ...(apart ? ["based_on"] : [])];
    return {
      fields: [
        ...before.filter(([n]) => !ofDraft.includes(n)),
        ...draft.fields.filter(([n]) => ofDraft.includes(n)),
      ],
      apart,
    };
  }

  const arrived = performance.getEntriesByType("navigation")[0]?.type;

  function restore(form) {
    if (form.dataset.kept) return;
    form.dataset.kept = "yes";
    const name = draftName(form);
    const draft = read(name);
    const before = fieldsOf(form);
    if (!document.getElementById("refused")) start.set(form, before);
    if (!draft?.fields || typedIn(draft.fields) === typedIn(before)) return;
    if (draft.plainly && arrived === "navigate") return localStorage.removeItem(name); // taken
    const { fields, apart } = changedIn(draft, before);
    if (apart) start.set(form, draft.start);
    if (typedIn(fields) === typedIn(before)) return localStorage.removeItem(name);
    fill(form, fields);
    const when = new Date(draft.at).toLocaleString("en-GB", MOMENT);
    say(form, `What you typed here on ${when} is back.`, button("Start anew", () => {
      localStorage.removeItem(name);
      fill(form, before);
      form.querySelector(":scope > .kept-line").remove();
    }));
    form.dispatchEvent(new CustomEvent("pathproof:filled", { bubbles: true }));
  }

  function onTyped(event) {
    const form = event.target.form;
    if (!form || !kept(form)) return;
    const at = part(form, "at");
    if (at && event.target !== at) at.value = ""; // another thing is typed: its moment is anew
    keepDraft(form);
  }

  // ---- Sending

  class AwayError extends Error {}

  async function ask(url, options = {}) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), TOO_LONG_MS);
    try {
      const got = await fetch(url, {
        ...options,
        credentials: "same-origin",
        signal: stop.signal,
        headers: { "X-Pathproof-Keep": "1", ...options.headers },
      });
      return { status: got.status, type: got.headers.get("Content-Type") ?? "", text: await got.text() };
    } catch {
      throw new AwayError("The network or the server is away.");
    } finally {
      clearTimeout(timer);
    }
  }

  async function freshToken() {
    const got = await ask(tokenUrl);
    if (got.status === 401) throw new AwayError("Sign in again to send this.");
    if (got.status !== 200) throw new AwayError("The server is away.");
    const told = JSON.parse(got.text);
    if (told.person !== person) throw new AwayError("Somebody else is signed in now.");
    return told.token;
  }

  // What became of a form: {go}, {refused} with a sentence, or AwayError where it has to wait.
  async function post(item, form) {
    const token = await freshToken();
    const body = form ? new FormData(form) : new URLSearchParams(item.fields);
    body.set("csrfmiddlewaretoken", token);
    const got = await ask(item.action, { method: "POST", body });
    if (got.status === 401) throw new AwayError("Sign in again to send this.");
    if ([202, 429, 502, 503, 504].includes(got.status)) throw new AwayError("The server is busy.");
    if (got.type.startsWith("application/json")) {
      const { go } = JSON.parse(got.text);
      if (go) return { go };
    }
    if (got.status < 300) return { shown: true };
    return { refused: sentence(got) };
  }

  function sentence(got) {
    if (got.status >= 500) return "The server failed on it. Send it again later.";
    const page = new DOMParser().parseFromString(got.text, "text/html");
    const said = page.querySelectorAll("main [role=alert], main .error, main .errorlist, main .problem");
    const text = [...said].map((x) => x.textContent.replace(/\s+/g, " ").trim()).filter(Boolean);
    return text.join(" ").slice(0, 600) || page.querySelector("main p")?.textContent || "It was refused.";
  }

  // Two pages of this device do not send at the same time.
  async function alone(work, wait) {
    if (navigator.locks) {
      return navigator.locks.request(`${OUT}lock`, wait ? {} : { ifAvailable: true },
        (lock) => (lock ? work() : null));
    }
    const lease = `pathproof:lease:${person}`;
    const held = read(lease);
    if (held && held.until > Date.now()) return null;
    const mine = newKey();
    write(lease, { by: mine, until: Date.now() + TOO_LONG_MS * 2 });
    await new Promise((done) => setTimeout(done, 50));
    if (read(lease)?.by !== mine) return null;
    try {
      return await work();
    } finally {
      localStorage.removeItem(lease);
    }
  }

  let why = "";
  const isContest = (go) => /\/history\/\d+\/$/.test(go ?? "");

  // Sends what waits, oldest first; gives what became of each by its name.
  function flush(wait) {
    return alone(async () => {
      const became = new Map();
      try {
        for (const item of waiting()) {
          const got = await post(item);
          became.set(item.name, got);
          if (got.refused || got.shown) put({ ...item, refused: got.refused ?? QUESTION });
          else if (isContest(got.go)) put({ ...item, contest: got.go });
          else drop(item);
          if (got.go) {
            forget(item);
            tellSent(item, got.go);
          }
          why = "";
        }
      } catch (error) {
        if (!(error instanceof AwayError)) throw error;
        why = error.message;
      }
      show();
      return became;
    }, wait);
  }

  // The line that said that it waits says that it got through, where its page is still open.
  function tellSent(item, go) {
    for (const line of document.querySelectorAll(".kept-line"))
      if (line.dataset.item === item.name) {
        delete line.dataset.item;
        line.replaceChildren(isContest(go)
          ? `Sent: ${item.label}. Somebody changed the same meanwhile; both are kept. `
          : `Sent, and saved: ${item.label}. `);
        if (go) line.append(link("See what it brought", go));
      }
  }

  // A form that got through: earlier tries of it that were refused are settled.
  function forget(item) {
    const key = keyOf(item);
    for (const other of outbox())
      if (other.refused && key && keyOf(other) === key) drop(other);
    if (item.draft && typedIn(read(item.draft)?.fields ?? []) === typedIn(item.fields))
      localStorage.removeItem(item.draft);
  }
  const keyOf = (item) => item.fields.find(([n]) => n === "key")?.[1];

  function labelOf(form) {
    const by = form.elements[form.dataset.keepBy]?.value;
    return [form.dataset.keep || "a form", by].filter(Boolean).join(" ");
  }

  // Forms that save into a job tell when they were typed, whenever they are sent.
  function momentOf(form) {
    if (form.elements.based_on && !form.elements.at) {
      const made = document.createElement("input");
      [made.type, made.name] = ["hidden", "at"];
      form.append(made);
    }
    const at = part(form, "at");
    if (at && !at.value) at.value = new Date().toISOString();
  }

  function itemOf(form, by) {
    momentOf(form);
    const there = new URL(action(form, by), location.href);
    return {
      name: `${OUT}${String(Date.now()).padStart(15, "0")}:${newKey()}`,
      action: there.pathname + there.search,
      page: location.pathname + location.search,
      draft: draftName(form),
      label: labelOf(form),
      fields: fieldsOf(form, by),
      at: Date.now(),
    };
  }

  // What was refused before stands in the page as the form's start; that is kept now, so it goes.
  function afresh(form) {
    const refused = form.querySelectorAll("[role=alert]");
    form.reset();
    refused.forEach((line) => line.remove());
    if (refused.length)
      for (const c of form.elements)
        if (["text", "textarea", "number", "datetime-local"].includes(c.type)) c.value = "";
    for (const [name, value] of [["key", newKey()], ["at", ""]])
      if (part(form, name)) part(form, name).value = value;
    localStorage.removeItem(draftName(form));
  }

  function sayKept(form, item) {
    say(form, `Kept on this device, not sent yet: ${item.label}. ${why}`);
    const line = form.querySelector(":scope > .kept-line");
    line.dataset.item = item.name;
    show();
    line.scrollIntoView({ block: "center" });
  }

  function go(url) {
    const there = new URL(url, location.href);
    const same = there.pathname + there.search === location.pathname + location.search;
    location.assign(there);
    if (same && there.hash) location.reload();
  }

  function leaves(form) {
    write(draftName(form), { fields: fieldsOf(form), at: Date.now(), plainly: true });
  }

  function plainly(form, by) {
    form.dataset.plainly = "yes";
    leaves(form);
    form.requestSubmit(by ?? undefined);
  }

  async function onSubmit(event) {
    const form = event.target;
    if (signsOut(form)) return warnBeforeSignOut(event);
    if (!kept(form) || form.method !== "post") return;
    if (form.dataset.plainly) {
      delete form.dataset.plainly;
      return;
    }
    if (secrets(form).length) return leaves(form); // a password is never kept, so nothing waits
    event.preventDefault();
    if (form.dataset.sending) return;
    form.dataset.sending = "yes";
    say(form, "Sending…");
    try {
      const by = event.submitter;
      if (hasFile(form)) await sendWithFile(form, by);
      else await sendKept(form, by);
    } finally {
      delete form.dataset.sending;
    }
  }

  async function sendKept(form, by) {
    const item = itemOf(form, by);
    keepDraft(form);
    if (!put(item)) return plainly(form, by);
    const became = (await flush(true)) ?? new Map();
    const got = became.get(item.name);
    if (got?.go) {
      drop(item);
      localStorage.removeItem(item.draft);
      return go(got.go);
    }
    if (got) {
      drop(item); // the page itself says what is wrong with it, beside the field
      show();
      return plainly(form, by);
    }
    if (!localStorage.getItem(item.name)) return go(item.page); // another page sent it
    afresh(form);
    sayKept(form, item);
  }

  async function sendWithFile(form, by) {
    keepDraft(form);
    try {
      const got = await post(itemOf(form, by), form);
      if (got.go) {
        localStorage.removeItem(draftName(form));
        return go(got.go);
      }
      plainly(form, by);
    } catch (error) {
      if (!(error instanceof AwayError)) throw error;
      say(form, `Not sent: ${error.message} What you typed is kept; a file is not. Send it again ` +
        "from this page when the network is back.");
    }
  }

  // ---- The bar that says what waits

  const signsOut = (form) => form.getAttribute("action") === signOut;

  function warnBeforeSignOut(event) {
    const count = waiting().length;
    if (count && !confirm(`${count === 1 ? "One form waits" : `${count} forms wait`} on this device ` +
      "and will only be sent when you sign in here again. Sign out all the same?"))
      event.preventDefault();
  }

  function row(item) {
    const made = document.createElement("li");
    const when = new Date(item.at).toLocaleString("en-GB", MOMENT);
    const away = button("Throw away", () => {
      if (!confirm(`Throw away "${item.label}", typed ${when}?`)) return;
      drop(item);
      show();
    });
    if (item.contest) {
      const look = link("See both sides", item.contest);
      look.addEventListener("click", () => drop(item));
      made.append(`${item.label}, ${when}: somebody changed the same meanwhile; both are kept. `, look);
    } else if (item.refused) {
      const open = link("Open it again", item.page);
      open.addEventListener("click", () => write(item.draft, { fields: item.fields, at: item.at }));
      const again = button("Send again", () => {
        put({ ...item, refused: undefined });
        flush(true);
      });
      made.append(`${item.label}, ${when}, was not taken: ${item.refused} `, open, " ", again, " ", away);
    } else {
      made.append(`${item.label}, ${when} `, away);
    }
    return made;
  }

  function show() {
    const items = outbox();
    const others = Object.keys(localStorage)
      .some((n) => n.startsWith("pathproof:out:") && !n.startsWith(OUT));
    let bar = document.getElementById("kept-bar");
    if (!items.length && !others) return bar?.remove();
    if (!bar) {
      bar = document.createElement("section");
      bar.id = "kept-bar";
      bar.setAttribute("role", "status");
      bar.setAttribute("aria-label", "Kept on this device");
      document.querySelector("main").before(bar);
    }
    const count = items.filter((i) => !i.refused && !i.contest).length;
    const head = document.createElement("p");
    if (count) {
      head.append(`Kept on this device, not sent yet: ${count}. ${why} `, button("Send now", () => flush(true)));
      if (why.startsWith("Sign in")) head.append(" ", link("Sign in", `${signIn}?next=${encodeURIComponent(location.pathname)}`));
    } else if (items.length) head.append("Kept on this device:");
    if (others) head.append(" Something of another account waits here until they sign in.");
    const list = document.createElement("ul");
    list.append(...items.map(row));
    bar.replaceChildren(head, ...(items.length ? [list] : []));
  }

  // ---- Start

  const restoreIn = (root) => root.querySelectorAll("form[data-keep]").forEach(restore);
  const started = () => {
    for (const name of names(DRAFT))
      if (!(Date.now() - (read(name)?.at ?? 0) < OLD_MS)) localStorage.removeItem(name);
    restoreIn(document);
    show();
    flush(false);
  };
  document.addEventListener("input", onTyped);
  document.addEventListener("change", onTyped);
  document.addEventListener("submit", onSubmit);
  document.addEventListener("htmx:load", (e) => {
    if (kept(e.target)) restore(e.target);
    restoreIn(e.target);
  });
  window.addEventListener("online", () => flush(false));
  window.addEventListener("storage", show);
  setInterval(() => waiting().length && flush(false), AGAIN_MS);
  started();
  document.getElementById("refused")?.focus();
})();
